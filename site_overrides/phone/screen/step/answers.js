// What a step was answered, by whom and when: how to take it back, and how to choose where two answers stand.

import { tradeOf } from '../../journal/trade.js';
import { W, keptBy } from '../../words/words.js';
import { field } from '../common/form.js';
import { fold, keyed, make, mark, say, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';
import { answerLine } from '../common/step_text.js';

const taker = ({ step, send, reason }) => (key) => {
  let given;
  const button = pressButton({
    attrs: { 'data-action': 'take-back' },
    look: 'small-press plain-press',
    onPress: async () => {
      const about = { step: step.path, part: given.part, seen: given.seen };
      const done = await send({ ...about, kind: 'take-back', value: { reason: reason.value() } });
      if (isDone(done)) reason.clear();
      return done;
    },
  });
  const node = make('div', { 'data-key': key }, button.message, button.node);
  const update = (next) => {
    given = next;
    button.update({ label: W.takeBackSay(answerLine(step, given)), sub: keptBy(given) });
  };
  return { node, update };
};

/** The answers of a step, each with its way back. */
export const takeBacks = ({ step, send }) => {
  const reason = field({ name: 'reason', label: W.takeBackReason });
  const list = make('div');
  const draw = keyed(list, taker({ step, send, reason }));
  const node = fold({ class: 'form' }, W.takeBack, make('div', { class: 'inside' }, reason.node, list));
  // A step that was added on the phone is itself an answer, and can be taken back while nobody has done it.
  const added = ({ seen, shared }) => {
    const extra = shared.state.extras[step.path];
    if (!extra || seen.answers.length) return [];
    const id = step.path.slice('extra/'.length);
    return [{ ...extra, id, part: '', seen: [id], value: { text: extra.value.label } }];
  };
  const update = (view) => {
    const answers = [...view.seen.answers, ...added(view)];
    show(node, answers.length > 0 && view.legal['take-back'] !== 'lead'); // a stop is taken back as a mistake alone
    draw(answers.map((given) => [given.id, given]));
  };
  return { node, update };
};

const settler = ({ step, send }) => () => {
  let given;
  const button = pressButton({
    attrs: { 'data-action': 'settle' },
    look: 'outcome',
    onPress: () => send({ kind: 'settle', step: step.path, part: given.part, value: given.value }),
  });
  const node = make('div', {}, button.message, button.node);
  const update = (next) => {
    given = next;
    button.update({ label: answerLine(step, given), sub: keptBy(given) });
  };
  return { node, update };
};

/** Two answers, side by side, and a button for each: it holds. */
export const twoAnswers = ({ step, sheet, send }) => {
  const list = make('div', { class: 'controls' });
  const draw = keyed(list, settler({ step, send }));
  const node = make('div', { class: 'notice-card bad' }, make('p', {}, W.twoAnswers(tradeOf(sheet).whole)), list);
  const update = ({ seen }) => {
    const on = seen.state === 'disputed';
    show(node, on);
    const parts = seen.answers.filter((one) => seen.answers.some((other) => other !== one && other.part === one.part) || one.part === '');
    draw((on ? (parts.length > 1 ? parts : seen.answers) : []).map((given) => [given.id, given]));
  };
  return { node, update };
};

/** Left out, not fitted, refused: said plainly, with the reason. */
export const leftOut = ({ step }) => {
  const list = make('div');
  const draw = keyed(list, () => {
    const line = make('p', { class: 'reason' });
    const update = ({ given, shared }) => {
      say(line, `${answerLine(step, given)} (${shared.saved.by(given)})`);
      mark(line, shared.saved.kept(given.id));
    };
    return { node: line, update };
  });
  const update = ({ seen, shared }) => draw(seen.answers.filter(({ kind, id }) => ['skip', 'not-fitted', 'refuse'].includes(kind) && !shared.journal.isInert(id)).map((given) => [given.id, { given, shared }]));
  return { node: list, update };
};
