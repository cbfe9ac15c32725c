// A check-off of several parts, bolt by bolt or turn by turn: the next one is large, the others stand beside it and show
// which are kept. A small one that is tapped becomes the large one; only the large one keeps.

import { W } from '../words.js';
import { flag, keyed, make, say, sayOrHide, set, show } from './nodes.js';
import { pressable } from './press.js';

const shortOf = (id) => id.split('.').at(-1);

const spoken = ({ label, figure, kept }) => [label, figure, kept ? 'kept' : ''].filter(Boolean).join(', ');

const partButton = (id, { kind, keep, choose }) => {
  const short = make('span', { class: 'short' }, shortOf(id));
  const long = make('span', { class: 'long' });
  const figure = make('span', { class: 'figure' });
  const node = make('button', { type: 'button', class: 'part', 'data-check': kind, 'data-part': id }, short, long, figure);
  let shown = {};
  const onPress = async () => {
    if (!shown.big) choose(id);
    else if (!shown.kept) return keep(shown);
    return null;
  };
  const draw = () => {
    flag(node, 'big', shown.big);
    say(long, press.isBusy() ? W.busy : shown.kept ? W.keptSo(shown.label) : shown.label);
    sayOrHide(figure, shown.figure);
    set(node, 'data-kept', shown.kept);
    set(node, 'aria-disabled', shown.big && !shown.kept && shown.off ? 'true' : null);
    set(node, 'aria-label', spoken(shown));
    set(node, 'aria-current', shown.big ? 'step' : null);
    show(node, shown.visible);
  };
  const press = pressable({ node, onPress, onBusy: () => draw() });
  return { node, message: press.message, update: (next) => { shown = next; draw(); } };
};

/**
 * partsCheck({kind, send}) -> {node, update({parts, off}), chosen()}. parts: [{id, label, figure, kept, value, pull}] in
 * the order of work; `pull` groups them, and only the pull at work is shown.
 */
export const partsCheck = ({ kind, send }) => {
  const pull = make('p', { class: 'pull' });
  const grid = make('div', { class: 'parts' });
  const messages = make('div');
  const node = make('div', {}, pull, messages, grid);
  let chosen = null;
  let last = { parts: [], off: false };
  const keep = async (part) => {
    const answer = await send(part.id, part.value);
    if (answer?.kept) chosen = null;
    return answer;
  };
  const choose = (id) => {
    chosen = id;
    draw();
  };
  const drawParts = keyed(grid, (id) => {
    const button = partButton(id, { kind, keep, choose });
    messages.append(button.message);
    return button;
  });
  const draw = () => {
    const { parts, off } = last;
    const big = parts.find((part) => part.id === chosen) ?? parts.find((part) => !part.kept) ?? parts.at(-1);
    const pulls = [...new Set(parts.map((part) => part.pull))];
    sayOrHide(pull, pulls.length > 1 ? W.pass(pulls.indexOf(big.pull) + 1, pulls.length) : '');
    drawParts(parts.map((part) => [part.id, { ...part, off, big: part === big, visible: part.pull === big.pull }]));
  };
  const update = (data) => {
    last = data;
    draw();
  };
  return { node, update };
};
