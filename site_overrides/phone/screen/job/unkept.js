// What is not kept: how many, where they are meanwhile, and at a stop the file that they must be in before it closes.

import { own } from '../../base/own.js';
import { isStop } from '../../job/unkept.js';
import { W, unkeptSaid } from '../../words/words.js';
import { make, say, sayOrHide, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';

/** unkeptCard({carry, onSaved}) -> {node, update({unkept, saved, withheld, at, sheet, trouble})}. at: the step that is looked at. */
export const unkeptCard = ({ carry, onSaved }) => {
  const title = make('p', { class: 'title' });
  const text = make('p');
  const stop = make('p');
  const good = make('p', { class: 'message good', role: 'status' });
  const send = pressButton({
    attrs: { 'data-action': 'export' },
    look: 'small-press',
    onPress: async () => {
      const done = await carry.hand();
      sayOrHide(good, own(W.exported, done) ?? '');
      draw();
      return done ? null : { kept: false, words: W.exportFailed };
    },
  });
  const have = pressButton({
    attrs: { 'data-action': 'confirm', 'data-part': 'saved-file' },
    look: 'small-press plain-press',
    onPress: () => {
      if (!carry.isHanded()) return { kept: false, words: W.savedFirst };
      if (!carry.confirm()) return { kept: false, words: W.savedOld };
      onSaved();
      return null;
    },
  });
  const buttons = make('div', {}, send.message, send.node, good, have.message, have.node);
  const node = make('div', { class: 'notice-card unkept', role: 'status', 'data-unkept-count': true }, title, text, stop);
  const draw = () => have.update({ label: W.savedHave, sub: carry.isHanded() ? '' : W.savedFirst });
  send.update({ label: W.savedSend });
  const update = ({ unkept, saved, withheld, at, sheet, trouble }) => {
    const count = unkept.ids.size;
    show(node, count > 0);
    if (!count) buttons.remove();
    if (!count) return;
    const waits = withheld.length > 0;
    const isAtStop = sheet.steps.some((step) => step.path === at && isStop(step));
    const isSaved = [...unkept.ids].every((id) => saved.has(id));
    node.dataset.unkeptCount = count;
    say(title, W.unkeptTitle(count));
    say(text, unkeptSaid({ why: unkept.why, isMirrored: unkept.mirrored, isTold: trouble.some(({ what }) => what.startsWith('store-')), isSaved }));
    sayOrHide(stop, waits ? W.unkeptWaits : isAtStop && !isSaved ? W.unkeptStop : '');
    if (!waits) {
      buttons.remove();
      sayOrHide(good, '');
      return;
    }
    if (!buttons.parentNode) node.append(buttons);
    carry.prepare();
    draw();
  };
  return { node, update };
};
