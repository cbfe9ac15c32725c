// What is open and no step of this revision closes: it stays open until a person says what became of it.

import { S, leftOver } from '../../words/stops.js';
import { W } from '../../words/words.js';
import { isWithin } from '../../journal/limits.js';
import { BOXES } from '../../quantities/ranges.js';
import { form, numberOf } from '../common/form.js';
import { keyed, make, say } from '../common/nodes.js';

const isCount = (number) => isWithin(number, BOXES.pieces);

const card = (send) => (what) => {
  let opened = []; // the answers that opened it: whoever says that it is back had these in view
  const title = make('p');
  const look = make('p');
  const made = form({
    fields: [{ name: 'count', label: S.leftCount, type: 'number', required: true, tests: () => [isCount] }, { name: 'reason', label: S.leftReason, required: true }],
    action: 'put-back', attrs: { 'data-part': what }, keep: S.leftKeep,
    onKeep: ({ count, reason }) => {
      const back = numberOf(count);
      if (!isCount(back)) return { kept: false, words: W.needCount(S.leftCount) };
      return send({ kind: 'put-back', step: '', part: what, value: { count: back, reason, opened } });
    },
  });
  const node = make('div', { class: 'notice-card bad', role: 'alert' }, title, look, made.node);
  const update = ({ item, told, trade }) => {
    opened = item.left_by;
    say(title, S.leftTitle(item));
    say(look, S.leftSay(trade.whole));
    made.update({ fields: { count: { value: String(item.open + told) } } });
  };
  return { node, update };
};

/** leftCards({send}) -> {node, update({state, shared})}. */
export const leftCards = ({ send }) => {
  const node = make('div');
  const draw = keyed(node, card(send));
  const update = ({ state, shared }) => {
    const { trade } = shared.names;
    draw(leftOver(state.items, trade).map((item) => [item.name, { item, trade, told: shared.journal.toldBack(item.name) }]));
  };
  return { node, update };
};
