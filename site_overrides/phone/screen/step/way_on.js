// Where the screen goes on after an answer: a failed check, a half-done step and a time with moves to make stay. Pure.

import { ANSWERS } from '../../journal/entries.js';
import { ownResults } from '../../journal/figures.js';

const LEAVES_BEHIND = new Set(['done', 'skipped', 'refused', 'not-fitted', 'waiting', 'hidden']);

/** Does a step show what is worked out from its own answer? Then that is seen before the next step comes. */
export const showsItsOwn = (step, sheet) => {
  if (!step?.shows?.length || !sheet.results) return false;
  const own = ownResults(sheet, step);
  return step.shows.some((name) => own.has(name));
};

const stepAt = (sheet, path) => sheet.steps.find((step) => step.path === path);

const isPaced = (step) => Boolean(step?.check.every || step?.check.every_value);

// Its last part was answered, and what is worked out from that is to be seen: it may keep the step open.
const hasResult = ({ of, why, state }, part, isOwnShown) => {
  const isHeld = part === of.at(-1) && why.some(({ code }) => code === 'result');
  return isHeld || (state === 'done' && isOwnShown);
};

/**
 * wayOn({verb, answer}, {state, at, sheet}) -> {to}: the step to look at, or {shows}: what is brought into view, 'step',
 * 'failure', 'kept-back', 'form' (the step, once the form in it has closed), or nothing. state: what the fold says with the
 * answer; at: the step that is looked at, or null.
 */
export const wayOn = ({ verb, answer }, { state, at, sheet }) => {
  const step = stepAt(sheet, at);
  const seen = state.steps[at];
  const now = seen?.state ?? 'hidden';
  const isAnswered = (ANSWERS.has(verb.kind) && verb.step === at) || verb.kind === 'not-disturbed';
  if (verb.kind === 'back') return { to: verb.value.to };
  if (answer.isWithheld) return { shows: 'kept-back' };
  if (isAnswered && seen && hasResult(seen, verb.part ?? '', showsItsOwn(step, sheet))) return { shows: 'step' };
  if (now === 'waiting' && isPaced(step) && verb.kind === 'check') return {};
  if (isAnswered && LEAVES_BEHIND.has(now)) return { to: state.next ?? at };
  if (isAnswered && now === 'failed') return { shows: 'failure' };
  return verb.kind === 'check' ? {} : { shows: 'form' };
};

/** Where it goes on once the answer of the step that is looked at is in a saved file: as wayOn. */
export const wayOnSaved = ({ state, at }) => (LEAVES_BEHIND.has(state.steps[at]?.state) ? { to: state.next ?? at } : {});
