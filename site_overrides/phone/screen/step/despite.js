// A good answer over a figure that is not good: it is kept once somebody says in words why it is good all the same.

import { isFailure } from '../../journal/journal.js';
import { S } from '../../words/stops.js';
import { answer, figureNotGood } from '../../words/words.js';
import { form } from '../common/form.js';
import { make, say, show } from '../common/nodes.js';
import { isDone } from '../common/press.js';
import { labelOf } from '../common/step_text.js';

/** The figures of a step that are not good: names of results. */
export const doubtsOf = ({ why }) => why.filter(({ code }) => code === 'doubt').map(({ name }) => name);

/**
 * despitePanel({step, send}) -> {node, check(part, value, who), update(view)}. check hands an answer on, or asks first why
 * it is good: then it gives null, and the panel keeps it with the reason.
 */
export const despitePanel = ({ step, send }) => {
  let view = null;
  let asked = null; // {part, value, who}
  const title = make('p', { class: 'ask' });
  const figures = make('p');
  const put = (part, value, who) => send({ kind: 'check', step: step.path, part, value, who });
  const reason = form({
    fields: [{ name: 'despite', label: S.despiteReason, required: true }],
    action: 'despite', keep: S.despiteKeep(''),
    onKeep: async ({ despite }) => {
      const { part, value, who } = asked;
      const done = await put(part, { ...value, despite: { results: doubtsOf(view.seen), reason: despite } }, who);
      if (isDone(done)) ask(null);
      return done;
    },
  });
  const not = make('button', { type: 'button', class: 'small-press plain-press', onclick: () => ask(null) }, S.despiteNot);
  const node = make('div', { class: 'notice-card bad despite', role: 'group' }, title, figures, reason.node, not);
  const ask = (given) => {
    asked = given;
    show(node, Boolean(given));
    if (!given) return;
    const said = answer({ kind: 'check', value: given.value }, labelOf(step));
    say(title, S.despiteTitle(said));
    say(figures, doubtsOf(view.seen).map((name) => figureNotGood(name, { ...view.shared.names, state: view.shared.state })).join('. '));
    reason.update({ keep: S.despiteKeep(said) });
    node.scrollIntoView({ block: 'nearest' });
    reason.fields[0].box.focus({ preventScroll: true });
  };
  const check = (part, value, who) => {
    const isAsked = view && doubtsOf(view.seen).length > 0 && part === view.seen.of.at(-1) && !isFailure(step.check, value);
    if (!isAsked) return put(part, value, who);
    ask({ part, value, who });
    return null;
  };
  show(node, false);
  const update = (next) => {
    view = next;
    if (asked && !doubtsOf(view.seen).length) ask(null);
  };
  return { node, check, update };
};
