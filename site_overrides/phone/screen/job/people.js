// Who is working now: one tap on the initials. Every entry carries them.

import { W } from '../../words/words.js';
import { field } from '../common/form.js';
import { fold, keyed, make, say, set } from '../common/nodes.js';

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
  const takeTyped = make('button', { type: 'button', class: 'small-press', onclick: () => {
    const initials = typed.value().toUpperCase();
    if (!initials) return;
    take(initials);
    typed.clear();
  } }, W.takeThem);
  const more = fold({ class: 'form' }, W.workingNow, make('div', { class: 'inside' }, all, typed.node, takeTyped));
  const update = ({ me, people: known, recent }) => {
    const nameOf = (initials) => known.find((one) => one.initials === initials)?.name ?? W.otherPerson;
    const few = [...new Set([...recent.slice(0, MOST), me, ...known.map((one) => one.initials)])].slice(0, MOST);
    const shown = few.includes(me) ? few : [...few.slice(0, MOST - 1), me];
    drawChips(shown.sort().map((initials) => [initials, { on: initials === me, name: nameOf(initials) }]));
    const everybody = [...new Set([...known.map((one) => one.initials), me, ...recent])];
    drawAll(everybody.map((initials) => [initials, { on: initials === me, name: nameOf(initials) }]));
  };
  return { node: chips, more, update };
};
