// An angle stage that was interrupted. The person who comes back looks at the witness mark first, then either goes on
// from the mark, or backs the bolt off and begins again.

import { W } from '../../words/words.js';
import { keyed, make, say } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';

const panel = ({ goOn, backOff }) => {
  const text = make('p');
  const there = pressButton({ attrs: { 'data-action': 'confirm' }, look: 'small-press', onPress: goOn });
  const lost = pressButton({ attrs: { 'data-action': 'take-back' }, look: 'small-press plain-press', onPress: backOff });
  const node = make('div', { class: 'notice-card where mark', role: 'status' }, text, there.message, there.node, lost.message, lost.node);
  const update = ({ label, once }) => {
    say(text, W.markLook(label));
    there.update({ label: W.markThere });
    lost.update({ label: W.markLost, sub: once ? W.markLostNew : '' });
  };
  return { node, update };
};

/**
 * markAsk({takeBack, onChange}) -> {node, update({big, half, back, once, parts})}, whether it asks. back: the coming back
 * in question, or null; half: has the bolt at work its torque and not its angle; parts: what is kept of it.
 */
export const markAsk = ({ takeBack, onChange }) => {
  const node = make('div');
  let met = null; // the coming back that was last looked at
  let asks = false;
  let now = null;
  const goOn = () => {
    asks = false;
    onChange();
    return null;
  };
  const backOff = async () => {
    for (const part of [...now.parts].reverse()) {
      const answer = await takeBack(part, W.markLostReason);
      if (!isDone(answer)) return answer;
    }
    return goOn();
  };
  const draw = keyed(node, () => panel({ goOn, backOff }));
  const update = (next) => {
    now = next;
    if (next.back && next.back !== met) asks = next.half;
    met = next.back ?? met;
    draw(asks && next.half ? [['mark', { label: next.big.label, once: next.once }]] : []);
    return asks && next.half;
  };
  return { node, update };
};
