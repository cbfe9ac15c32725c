// One step: a row in the list, and, when it is looked at, the sheet with its cautions, text, values and check-off.

import { GATES, STATES, UNITS, W, keptBy, why } from '../words.js';
import { leftOut, takeBacks, twoAnswers } from './answers.js';
import { badge, caughtBefore, caution } from './cautions.js';
import { makeCheck } from './checks.js';
import { backPanel, failForm, notDisturbed } from './failed.js';
import { flag, fold, keyed, make, say, sayOrHide, set, show } from './nodes.js';
import { somethingElse } from './other.js';
import { preparation } from './prep.js';
import { pressButton } from './press.js';
import { plainText, richNodes } from './rich.js';
import { valueBlock } from './value.js';

const LEFT = new Set(['skipped', 'not-fitted', 'refused']);
const LONG = 130; // characters; longer text is set smaller

/** part -> id of the answer that stands for it, or null: an answer that must be given again is not shown as kept. */
const keptOf = (seen) => (part) => {
  if (part !== '' && !seen.done.includes(part)) return null;
  if (!seen.done.includes(part) && seen.state !== 'done') return null;
  return seen.answers.find((one) => one.part === part && ['check', 'settle', 'finish'].includes(one.kind))?.id ?? null;
};

const wordsFolds = (words) => Object.entries(words).map(([term, meaning]) => fold({}, term, make('p', {}, meaning)));

const reasonLine = () => {
  const text = make('span');
  const link = make('button', { type: 'button', class: 'small-press plain-press' });
  const node = make('div', { class: 'reason' }, text, link);
  let go = () => {};
  link.addEventListener('click', () => go());
  const update = ({ reason, shared }) => {
    set(node, 'data-gate-reason', reason.code);
    say(text, why(reason, shared));
    const at = reason.step ?? (reason.items ? shared.closerOf(reason.items[0]) : null);
    show(link, Boolean(at));
    if (at) say(link, W.goTo(shared.number(at)));
    go = () => shared.look(at);
  };
  return { node, update };
};

const rewordedPanel = ({ step, send }) => {
  const before = make('p', { class: 'old' });
  const button = pressButton({
    attrs: { 'data-action': 'confirm' },
    look: 'small-press',
    onPress: () => send({ kind: 'confirm', step: step.path, value: { same: step.wording } }),
  });
  const node = make('div', { class: 'notice-card' }, make('p', {}, W.reworded), before, button.message, button.node);
  const update = ({ seen, shared }) => {
    show(node, seen.reworded);
    sayOrHide(before, seen.reworded ? shared.wordingBefore(step.path) : '');
    button.update({ label: W.same });
  };
  return { node, update };
};

// An extra step has no sheet entry of its own: it is made from what was said when it was added.
export const extraStep = (path, { kind, value }) => ({
  path, stage: -1, do: [kind === 'took-off' ? `Put back: ${value.count} × ${value.label}` : value.label], why: null, words: {},
  cautions: [], check: { kind: 'tick' }, opens: [], closes: [], hold: false, gate: null, when: [], after: [], if_failed: null,
  leave: kind === 'took-off' ? 'never' : 'own', may_refuse: false, uses: [], takes: [], values: [], picture: null, was: [],
  completion: false, duty: '', wording: '',
});

const makeSheet = ({ step, stage, isFirst, sheet, send, pictures }) => {
  const check = (part, value, who) => send({ kind: 'check', step: step.path, part, value, who });
  const shownValue = (state) => (name) => state.values[name]?.text ?? `[${sheet.values[name].label}]`;
  const doText = make('p', { class: 'do' });
  const whyText = step.why ? make('p', { class: 'ground' }) : null;
  const own = step.check.value;
  // A figure that a check-off turns on is large; what the text already says in words is not said twice.
  const inText = new Set(step.do.filter((part) => part.v).map((part) => part.v));
  const placeOf = (name) => {
    const main = name === own && step.check.kind !== 'tighten' && Boolean(UNITS[sheet.values[name].kind]);
    return { main, told: inText.has(name) && !main };
  };
  const values = step.values.map((name) => ({ name, block: valueBlock(name, sheet.values[name], send) }));
  const reasons = make('div');
  const drawReasons = keyed(reasons, reasonLine);
  const control = makeCheck({
    step, sheet,
    send: check,
    finish: () => send({ kind: 'finish', step: step.path, value: {} }),
    elapsed: (value) => send({ kind: 'elapsed', step: step.path, value }),
  });
  const fail = failForm({ step, send: (value) => check(firstOpen(), value) });
  const back = backPanel({ step, title: '', send });
  const failedNote = make('p', { class: 'message' });
  const failedBox = make('div', { class: 'notice-card bad' }, make('h3', {}, W.failedTitle), failedNote, back.node);
  const parts = [twoAnswers({ step, send }), rewordedPanel({ step, send }), notDisturbed({ send }), leftOut({ step }), takeBacks({ step, send }), somethingElse({ step, sheet, send })];
  const [two, reworded, undisturbed, left, takes, other] = parts;
  const prep = step.gate?.ready ? preparation({ sheet, send }) : null;
  const stop = step.gate || step.hold ? make('p', { class: 'stop' }, W.stopCheck + (step.gate ? `: ${GATES[step.gate.for].toLowerCase()}` : '')) : null;
  const picture = step.picture && pictures ? make('img', { class: 'picture', src: `${pictures}${step.picture.file}`, alt: step.picture.alt }) : null;
  const was = make('p', { class: 'small' }, W.was);
  let seen = null;
  const firstOpen = () => seen.of.find((part) => !seen.done.includes(part)) ?? seen.of.at(-1) ?? '';
  const slot = make('div');
  const node = make(
    'div', { class: 'sheet' },
    slot, (stage?.cautions ?? []).map(isFirst ? caution : caughtBefore), step.cautions.map(caution), stop, doText, whyText,
    make('div', { class: 'words' }, wordsFolds(step.words)), picture, values.map(({ block }) => block.node), prep?.node ?? null,
    make('div', { class: 'controls' }, was, two.node, reworded.node, failedBox, undisturbed.node, reasons, left.node, control.node),
    step.if_failed && step.check.kind !== 'inspect' ? fail.node : null, takes.node, other.node,
  );
  let lastText = null;
  const update = (view) => {
    seen = view.seen;
    const { shared, legal } = view;
    const text = plainText(step.do, shownValue(shared.state));
    flag(doText, 'long', text.length > LONG);
    if (text !== lastText) {
      doText.replaceChildren(...richNodes(step.do, shownValue(shared.state)));
      whyText?.replaceChildren(`${W.why}: `, ...richNodes(step.why, shownValue(shared.state)));
      lastText = text;
    }
    for (const { name, block } of values) {
      block.update({ state: shared.state.values[name], document: shared.document, answers: shared.readingsOf(name), ...placeOf(name) });
    }
    prep?.update(view);
    show(was, seen.was);
    const failed = seen.state === 'failed';
    show(failedBox, failed);
    if (failed) {
      back.update(view);
      sayOrHide(failedNote, seen.answers.find((one) => one.value.outcome === 'failed')?.value.note);
    }
    set(fail.node, 'hidden', failed || LEFT.has(seen.state) ? true : null);
    const whys = seen.why.filter(({ code }) => code !== 'disturbed');
    drawReasons(whys.map((reason, at) => [`${reason.code}${reason.step ?? reason.name ?? reason.section ?? reason.list ?? at}`, { reason, shared }]));
    for (const part of parts) part.update(view);
    show(other.node, !step.path.startsWith('extra/') || step.leave !== 'never');
    control.update({ ...view, off: !legal.check && !legal.finish, kept: keptOf(seen) });
  };
  return { node, slot, failed: failedBox, update };
};

const keptAnswers = (seen, { isInert }) => seen.answers
  .filter(({ id, part, kind }) => !isInert(id) && (kind !== 'check' || seen.state === 'done' || seen.done.includes(part)))
  .map(({ id }) => [id, null]);

const saysOf = (seen, isNext) => {
  const last = seen.answers.at(-1);
  if (seen.state === 'done' && last) return keptBy(last);
  if (isNext && seen.state === 'open') return W.next;
  const some = seen.state === 'open' && seen.done.length ? ` (${seen.done.length} of ${seen.of.length})` : '';
  return STATES[seen.state] + some;
};

/** stepView({step, stage, isFirst, sheet, send, look, pictures}) -> {node, update({seen, isAt, isNext, shared, notices})}. */
export const stepView = ({ step, stage, isFirst, sheet, send, look, pictures }) => {
  const no = make('span', { class: 'no' });
  const line = make('span', { class: 'line-text' });
  const says = make('span', { class: 'says' });
  const mark = badge(step.cautions);
  const summary = make('summary', {}, no, make('span', {}, mark, line), says);
  const node = make('details', { class: 'step', 'data-step': step.path }, summary);
  summary.addEventListener('click', (event) => {
    event.preventDefault();
    look(node.open ? null : step.path);
  });
  const marks = make('span', { class: 'marks' });
  const drawMarks = keyed(marks, (id) => ({ node: make('i', { 'data-kept': id }), update: () => {} }));
  summary.append(marks);
  let body = null;
  let drawn = null;
  const drawBody = (seen, shared) => {
    body ??= makeSheet({ step, stage, isFirst, sheet, send, pictures });
    if (!body.node.parentNode) node.append(body.node);
    body.update({ step, seen, shared, legal: shared.legal(step.path) });
  };
  const update = ({ seen, isAt, isNext, shared, notices }) => {
    set(node, 'data-state', seen.state);
    show(node, seen.state !== 'hidden');
    flag(node, 'next', isNext);
    say(no, shared.number(step.path));
    say(line, isAt ? stage?.title ?? W.extraWork : shared.text(step.path));
    if (mark) show(mark, !isAt);
    say(says, saysOf(seen, isNext));
    // A step's sheet is made when it is first looked at, and drawn again when its answers change. Until then what was
    // kept of it is marked and no more: a long job must come up at once.
    const now = JSON.stringify(seen);
    if (isAt || (now !== drawn && body)) drawBody(seen, shared);
    drawMarks(body ? [] : keptAnswers(seen, shared));
    drawn = now;
    if (isAt && notices.parentNode !== body.slot) body.slot.append(notices);
    if (node.open !== isAt) node.open = isAt;
  };
  return { node, update, focus: () => summary.focus({ preventScroll: true }), failed: () => body.failed };
};
