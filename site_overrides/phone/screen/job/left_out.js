// What a page that met a fault says: which entries it goes on without, that they are still stored, and the file with all.

import { own } from '../../base/own.js';
import { W, clock, day } from '../../words/words.js';
import { keyed, make, say, sayOrHide, set, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';

/** saveCopy({carry}) -> {node}: a button that hands the whole job over as a file, whatever else the page can show. */
export const saveCopy = ({ carry }) => {
  const good = make('p', { class: 'message good', role: 'status' });
  const button = pressButton({
    attrs: { 'data-action': 'export' },
    look: 'small-press',
    onPress: async () => {
      const done = await carry.hand();
      sayOrHide(good, own(W.exported, done) ?? '');
      return done ? null : { kept: false, words: W.exportFailed };
    },
  });
  button.update({ label: W.saveCopy });
  return { node: make('div', {}, good, button.message, button.node) };
};

const lineOf = (number) => ({ kind, who, at, step, part }) => W.leftOutLine({
  kind, who, when: `${day(at)} ${clock(at)}`.trim(), step: step ? number(step) || step : '', part,
});

/** leftOutCard({carry}) -> {node, update({leftOut, number})}. leftOut: entries; number(path) -> a step's number, or ''. */
export const leftOutCard = ({ carry }) => {
  const title = make('p', { class: 'title' });
  const list = make('ul', { class: 'changes' });
  const draw = keyed(list, () => {
    const line = make('li');
    return { node: line, update: (text) => say(line, text) };
  });
  const copy = saveCopy({ carry });
  const node = make('div', { class: 'notice-card bad', role: 'alert' }, title, list, make('p', {}, W.leftOutSafe));
  const update = ({ leftOut, number }) => {
    show(node, leftOut.length > 0);
    set(node, 'data-left-out', leftOut.length || null);
    if (!leftOut.length) return copy.node.remove();
    if (!copy.node.parentNode) node.append(copy.node);
    carry.prepare();
    say(title, W.leftOutTitle(leftOut.length));
    return draw(leftOut.map(lineOf(number)).map((text, at) => [`${at}`, text]));
  };
  return { node, update };
};

/** A job that cannot be drawn at all: what is safe, and the file. brokenJob({carry, home}) -> node. */
export const brokenJob = ({ carry, home }) => {
  carry.prepare();
  return make(
    'main', { class: 'plain', 'data-broken': true },
    make('p', { class: 'note', role: 'alert' }, W.faultJob), saveCopy({ carry }).node, make('a', { class: 'row', href: home }, W.allJobs),
  );
};
