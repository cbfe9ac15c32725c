// A check-off of several parts, bolt by bolt or turn by turn. The next part is large. The others are beside it, or on a
// map, and show which are saved. A tap on a small one makes it the large one; only the large one saves.

import { W, answeredSo } from '../../words/words.js';
import { flag, keyed, make, mark, say, sayOrHide, set, show } from '../common/nodes.js';
import { isDone, pressable } from '../common/press.js';

const shortOf = (id) => id.split('.').at(-1);

const keptShort = (kept) => (kept.unkept ? W.unkeptShort : W.keptShort);

const spoken = ({ label, figure, kept }) => [label, figure, kept && keptShort(kept)].filter(Boolean).join(', ');

const partButton = (id, { kind, keep, choose }) => {
  const short = make('span', { class: 'short' }, shortOf(id));
  const long = make('span', { class: 'long' });
  const figure = make('span', { class: 'figure' });
  const node = make('button', { type: 'button', class: 'part' }, short, long, figure);
  let shown = {};
  const onPress = async () => {
    if (!shown.big) choose(id);
    else if (!shown.kept) return keep(shown);
    else if (shown.kept.unkept) return shown.kept.again();
    return null;
  };
  const draw = () => {
    flag(node, 'big', shown.big);
    say(long, press.isBusy() ? W.busy : shown.kept ? answeredSo(shown.kept, shown.label) : shown.label);
    sayOrHide(figure, shown.figure);
    const here = !shown.isOnMap; // on a map, its bolt stands for it there
    set(node, 'data-check', here ? kind : null);
    set(node, 'data-part', here ? id : null);
    mark(node, here ? shown.kept : null);
    set(node, 'aria-disabled', shown.big && !shown.kept && shown.off ? 'true' : null);
    set(node, 'aria-label', spoken(shown));
    set(node, 'aria-current', shown.big ? 'step' : null);
    show(node, shown.visible && here);
  };
  const press = pressable({ node, onPress, onBusy: () => draw() });
  return { node, message: press.message, update: (next) => { shown = next; draw(); } };
};

/**
 * partsCheck({kind, send, above, below, map, onChoose}) -> {node, big(parts), update({parts, off})}. parts: [{id, label, figure, kept,
 * value, pull}] in the order of work; `pull` groups them, and only the pull at work is shown. big(parts): the one at
 * work. map: {node, update({parts, choose})} shows the small ones instead; onChoose() when a small one was tapped. above
 * and below: nodes before the large one, which a thumb must find without looking for it, and after the map.
 */
export const partsCheck = ({ kind, send, above = [], below = [], map = null, onChoose = () => {} }) => {
  const pull = make('p', { class: 'pull' });
  const grid = make('div', { class: 'parts' });
  const messages = make('div');
  const node = make('div', {}, pull, above, messages, grid, map?.node ?? null, below);
  let chosen = null;
  const big = (parts) => parts.find((part) => part.id === chosen) ?? parts.find((part) => !part.kept) ?? parts.at(-1);
  const keep = async (part) => {
    const answer = await send(part.id, part.value);
    if (isDone(answer)) choose(null); // on to what is next, also after one that was pulled out of its order
    return answer;
  };
  let last = { parts: [], off: false };
  const choose = (id) => {
    chosen = id;
    onChoose();
    draw();
  };
  const drawParts = keyed(grid, (id) => {
    const button = partButton(id, { kind, keep, choose });
    messages.append(button.message);
    return button;
  });
  const draw = () => {
    const { off } = last;
    const large = big(last.parts);
    const parts = last.parts.map((part) => ({ ...part, off, big: part.id === large.id, visible: part.pull === large.pull }));
    const pulls = [...new Set(parts.map((part) => part.pull))];
    sayOrHide(pull, pulls.length > 1 && !map ? W.pass(pulls.indexOf(large.pull) + 1, pulls.length) : '');
    map?.update({ parts: parts.filter(({ visible }) => visible), choose });
    drawParts(parts.map((part) => [part.id, { ...part, isOnMap: map !== null && part.visible && !part.big }]));
  };
  const update = (data) => {
    last = data;
    draw();
  };
  return { node, big, update };
};
