// One step: a row in the list, and, when it is looked at, the sheet with its cautions, text, values and check-off.

import { STATES, W, keptBy } from '../../words/words.js';
import { flag, keyed, make, mark, say, set, show } from '../common/nodes.js';
import { gateLists } from './bolt_list.js';
import { badge } from './cautions.js';
import { controls } from './controls.js';
import { isForLater, notYet } from './not_yet.js';
import { preparation } from './prep.js';
import { stepResults } from './result.js';
import { sheetText } from './sheet_text.js';
import { stepValues } from './value.js';

const makeSheet = (about) => {
  const { step, sheet, send } = about;
  const first = notYet({ step });
  const slot = make('div'); // for what concerns the whole job and must be seen before this step
  const text = sheetText(about);
  const results = stepResults({ step, sheet, send });
  const values = stepValues({ step, sheet, send });
  const prep = step.gate?.ready ? preparation({ sheet, send }) : null;
  const lists = gateLists({ step, sheet });
  const doing = controls({ step, sheet, send });
  const node = make('div', { class: `sheet ${step.check.kind}` }, first.node, slot, text.first, values.nodes, results.nodes, text.rest, prep?.node ?? null, lists.nodes, doing.nodes);
  const update = (view) => {
    first.update(view);
    flag(node, 'for-later', isForLater(view.seen));
    text.update(view.shared.names);
    results.update(view);
    values.update(view);
    prep?.update(view);
    lists.update(view);
    doing.update(view);
  };
  return { node, slot, failed: doing.failed, update };
};

// What stands of a step's answers; one that must be given again is not shown as kept.
const keptAnswers = (seen, { journal: { isInert }, saved: { kept } }) => seen.answers
  .filter(({ id, part, kind }) => !isInert(id) && (kind !== 'check' || ['done', 'failed'].includes(seen.state) || seen.done.includes(part)))
  .map(({ id }) => [id, kept(id)]);

const saysOf = (seen, isNext, { saved: { kept } }) => {
  const last = seen.answers.at(-1);
  if (seen.answers.some(({ id }) => kept(id).unkept)) return W.unkeptShort;
  if (seen.state === 'done' && last) return keptBy(last);
  if (isNext && seen.state === 'open') return W.next;
  if (seen.state === 'open' && seen.done.length) return W.partly(STATES.open, seen.done.length, seen.of.length);
  return STATES[seen.state];
};

/** stepView({step, stage, isFirst, sheet, send, look, pictures}) -> {node, update({seen, isAt, isNext, shared, notices})}. */
export const stepView = ({ step, stage, isFirst, sheet, send, look, pictures }) => {
  const no = make('span', { class: 'no' });
  const line = make('span', { class: 'line-text' });
  const says = make('span', { class: 'says' });
  const sign = badge(step.cautions);
  const summary = make('summary', {}, no, make('span', {}, sign, line), says);
  const node = make('details', { class: 'step', 'data-step': step.path }, summary);
  summary.addEventListener('click', (event) => {
    event.preventDefault();
    look(node.open ? null : step.path);
  });
  const marks = make('span', { class: 'marks' });
  const drawMarks = keyed(marks, () => {
    const one = make('i');
    return { node: one, update: (kept) => mark(one, kept) };
  });
  summary.append(marks);
  let body = null;
  let drawn = null;
  const drawBody = (seen, shared) => {
    body ??= makeSheet({ step, stage, isFirst, sheet, send, pictures });
    if (!body.node.parentNode) node.append(body.node);
    body.update({ step, seen, shared, legal: shared.journal.legal(step.path) });
  };
  const update = ({ seen, isAt, isNext, shared, notices }) => {
    set(node, 'data-state', seen.state);
    show(node, seen.state !== 'hidden');
    flag(node, 'next', isNext);
    say(no, shared.names.number(step.path));
    say(line, isAt ? stage?.title ?? W.extraWork : shared.names.text(step.path));
    if (sign) show(sign, !isAt);
    say(says, saysOf(seen, isNext, shared));
    flag(node, 'unkept', seen.answers.some(({ id }) => shared.saved.kept(id).unkept));
    // A step's sheet is made when it is first looked at, and drawn again when its answers change. Until then what was
    // kept of it is marked and no more: a long job must come up at once.
    const now = JSON.stringify([seen, seen.answers.map(({ id }) => shared.saved.kept(id))]);
    if (isAt || (now !== drawn && body)) drawBody(seen, shared);
    drawMarks(body ? [] : keptAnswers(seen, shared));
    drawn = now;
    if (isAt && notices.parentNode !== body.slot) body.slot.append(notices);
    if (node.open !== isAt) node.open = isAt;
  };
  return { node, update, focus: () => summary.focus({ preventScroll: true }), failed: () => body.failed() };
};
