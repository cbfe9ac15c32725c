// Why a step does not go. What must come first stands at the top of its sheet, before anything that could be read as an
// order; why it must be looked at again stands where it is answered.

import { W, why } from '../../words/words.js';
import { keyed, make, say, set, show } from '../common/nodes.js';

const FIRST = new Set(['hold', 'order', 'after', 'open', 'list', 'ready', 'value', 'result']);
const ELSEWHERE = new Set(['hold', 'order', 'after', 'open', 'list', 'value']);

const reasonLine = () => {
  const text = make('p');
  const link = make('button', { type: 'button', class: 'small-press plain-press', onclick: () => go() });
  const node = make('div', { class: 'reason' }, text, link);
  let go = () => {};
  const update = ({ reason, shared, path }) => {
    set(node, 'data-gate-reason', reason.code);
    const { state, names, journal } = shared;
    say(text, why(reason, { ...names, state, items: state.items, closerOf: journal.closerOf }));
    const isOpen = reason.code === 'open' || reason.code === 'list';
    const elsewhere = reason.step === path ? null : reason.step; // a gate may wait for itself to be answered anew
    const at = elsewhere ?? (isOpen && reason.items ? journal.closerOf(reason.items[0]) : null);
    show(link, Boolean(at));
    if (at) say(link, W.goTo(names.number(at)));
    go = () => shared.look(at);
  };
  return { node, update };
};

const keyOf = (reason) => JSON.stringify([reason.code, reason.step, reason.name, reason.section, reason.list]);

const lines = ({ node, step: { path } }) => {
  const draw = keyed(node, reasonLine);
  return (reasons, shared) => draw(reasons.map((reason) => [keyOf(reason), { reason, shared, path }]));
};

/** notYet({step}) -> {node, update(view)}: "Not yet" with what to do first; hidden where nothing comes first. */
export const notYet = ({ step }) => {
  const list = make('div');
  const node = make('section', { class: 'not-yet' }, make('h3', {}, W.notYetTitle), list);
  const draw = lines({ node: list, step });
  const update = ({ seen, shared }) => {
    const reasons = seen.why.filter(({ code }) => FIRST.has(code));
    show(node, reasons.length > 0);
    draw(reasons, shared);
  };
  return { node, update };
};

/** Is a step's instruction for later: something must be done elsewhere, or a figure must be known, before it is followed? */
export const isForLater = ({ answers, why: reasons }) => reasons.some(({ code }) => ELSEWHERE.has(code) || (code === 'result' && answers.length === 0));

/** lookAgain({step}) -> {node, update(view)}: why what was answered must be looked at again. */
export const lookAgain = ({ step }) => {
  const node = make('div');
  const draw = lines({ node, step });
  // "Disturbed" has a card of its own, with the word that settles it.
  const isSaid = ({ state }, code) => FIRST.has(code) || code === 'disturbed' || (code === 'doubt' && state === 'failed');
  const update = ({ seen, shared }) => draw(seen.why.filter(({ code }) => !isSaid(seen, code)), shared);
  return { node, update };
};
