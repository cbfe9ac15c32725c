// What may be done at a step now. The fold counts entries by the same rules. The same table as
// generator/journal/legal.py.

import { asksQualified, rulesOf } from './answers.js';
import { extraStep } from './entries.js';
import { ownResults } from './figures.js';
import { BLOCKING, CLOSED } from './tables.js';

/** @param {State} state @param {Sheet} sheet @param {string} path @returns {Step} */
const stepOf = (state, sheet, path) => {
  if (!Object.hasOwn(state.extras, path)) return sheet.steps.find((step) => step.path === path);
  return extraStep(path, state.extras[path].kind === 'took-off');
};

// The parts that may be answered now: one at a time for a wait or turns, in any order otherwise.
/** @param {Step} step @param {StepState} seen @param {boolean} isHeld */
const partsLeft = ({ check }, { of, done }, isHeld) => {
  const open = of.filter((part) => !done.includes(part));
  const left = (open.length ? open : of).filter((part) => !isHeld || part !== of.at(-1));
  return rulesOf(check).inTurn ? left.slice(0, 1) : left;
};

// True if the step is held by a result that does not depend on what the step itself takes or finds.
/** @param {Sheet} sheet @param {Step} step @param {StepState} seen */
const heldFrom = (sheet, step, { why }) => {
  const held = why.filter(({ code }) => code === 'result').map(({ name }) => name);
  const own = held.length ? ownResults(sheet, step) : null;
  return held.some((name) => !own.has(name));
};

// True if an earlier step is not done, in a stage whose order nobody may leave.
/** @param {State} state @param {Sheet} sheet @param {Step} step */
const isBound = (state, sheet, step) => {
  const before = sheet.steps.slice(0, sheet.steps.findIndex(({ path }) => path === step.path));
  return before.some(({ path, stage }) => {
    const now = state.steps[path].state;
    return !CLOSED.has(now) && now !== 'waiting' && sheet.stages.at(stage).order === 'absolute';
  });
};

/**
 * legal(state, sheet, path) -> for each kind of entry, whether it may be written at this step now.
 * `check` with the `parts` that wait for it, `correct` (parts whose answer may be given again), `skip`: own, lead or
 * false; `read`: the values that are missing; `take-back`, `settle`, `back`, `finish`, `not-fitted`, `refuse`,
 * `depart` (from the order), `elapsed`, `confirm` (the new wording), `not-disturbed`. `take-back` is 'lead' where a failed
 * answer stops the job: it is taken back as a mistake alone, with a reason and a lead.
 * @param {State} state
 * @param {Sheet} sheet
 * @param {string} path
 */
export const legal = (state, sheet, path) => {
  const step = stepOf(state, sheet, path);
  const seen = state.steps[path];
  const now = seen.state;
  const read = seen.why.filter(({ code }) => code === 'value').map(({ name }) => name);
  const blocked = seen.why.some(({ code }) => BLOCKING.has(code));
  const ready = ['open', 'recheck', 'failed', 'waiting'].includes(now) && !blocked;
  const isStopped = now === 'failed' && step.stop === true;
  const goesBack = now === 'failed' && Boolean(step.if_failed?.back_to);
  const leave = ready && now !== 'failed' && !step.completion ? step.leave : 'never';
  const byQualified = asksQualified(step.check);
  const isHeld = heldFrom(sheet, step, seen);
  const parts = partsLeft(step, seen, isHeld);
  const check = ready && !goesBack && !isStopped && !read.length && parts.length > 0 && !step.completion;
  return {
    check,
    parts: check ? parts : [],
    correct: seen.of.filter((part) => seen.answers.some((answer) => answer.part === part)),
    read,
    skip: leave === 'never' ? false : leave,
    'not-fitted': leave !== 'never' && !byQualified,
    refuse: step.may_refuse && !byQualified && ['open', 'recheck', 'waiting', 'blocked'].includes(now),
    finish: step.completion && ready && !isHeld,
    settle: now === 'disputed',
    back: goesBack,
    depart: seen.why.some(({ code }) => code === 'order') && !step.hold && !step.gate && !isBound(state, sheet, step),
    elapsed: now === 'waiting',
    'take-back': isStopped ? 'lead' : seen.answers.length > 0,
    confirm: seen.reworded,
    'not-disturbed': seen.why.some(({ code }) => code === 'disturbed'),
  };
};
