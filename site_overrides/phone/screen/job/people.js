// Who is working now: one tap on the initials. Every entry carries them.

import { initialsOf } from '../../journal/people.js';
import { W } from '../../words/words.js';
import { field } from '../common/form.js';
import { fold, keyed, make, say, sayOrHide, set } from '../common/nodes.js';

const MOST = 3;

/** people({take}) -> {node, more, update({me, people, recent})}: chips for the few who are on this job, the rest behind. */
export const people = ({ take }) => {
  const chips = make('div', { class: 'people', role: 'group', 'aria-label': W.workingNow });
  const chip = (initials) => {
    const node = make('button', { type: 'button', onclick: () => take(initials) }, initials);
    return { node, update: ({ on, name }) => { set(node, 'aria-pressed', on ? 'true' : 'false'); set(node, 'aria-label', name); } };
  };
  const drawChips = keyed(chips, chip);
  const all = make('div');
  const drawAll = keyed(all, (initials) => {
    const node = make('button', { type: 'button', class: 'small-press plain-press', onclick: () => take(initials) });
    return { node, update: ({ on, name }) => { set(node, 'aria-pressed', on ? 'true' : 'false'); say(node, `${initials}, ${name}${on ? ` (${W.workingNow.toLowerCase()})` : ''}`); } };
  });
  const typed = field({ name: 'who', label: W.initials });
  const lacking = make('p', { class: 'message', role: 'alert' });
  let shop = [];
  const takeTyped = make('button', { type: 'button', class: 'small-press', onclick: () => {
    const initials = initialsOf(shop, typed.value());
    sayOrHide(lacking, initials ? '' : W.required(W.initials));
    if (!initials) return;
    take(initials);
    typed.clear();
  } }, W.takeThem);
  const more = fold({ class: 'form' }, W.workingNow, make('div', { class: 'inside' }, all, typed.node, lacking, takeTyped));
  sayOrHide(lacking, '');
  const update = ({ me: mine, people: known, recent: written }) => {
    shop = known;
    const [me, ...recent] = [mine, ...written].map((who) => initialsOf(known, who) || who);
    const nameOf = (initials) => known.find((one) => one.initials === initials)?.name ?? W.otherPerson;
    const few = [...new Set([...recent.slice(0, MOST), me, ...known.map((one) => one.initials)])].slice(0, MOST);
    const shown = few.includes(me) ? few : [...few.slice(0, MOST - 1), me];
    drawChips(shown.sort().map((initials) => [initials, { on: initials === me, name: nameOf(initials) }]));
    const everybody = [...new Set([...known.map((one) => one.initials), me, ...recent])];
    drawAll(everybody.map((initials) => [initials, { on: initials === me, name: nameOf(initials) }]));
  };
  return { node: chips, more, update };
};
