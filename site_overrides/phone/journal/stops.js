// Answers that nobody can easily pass: a failed one at a stop, and a good one despite a figure that is not good. The
// same table as generator/journal/stops.py. Both depend on fields of a step that older worksheets do not have, so old
// records read as before.

import { own } from '../base/own.js';
import { isFailure, said } from './answers.js';
import { after, found, textsOf } from './entries.js';
import { below } from './figures.js';
import { isOneOf, person } from './people.js';

// True if the take-back has a reason and the initials of a lead; of anybody, in a shop that names no lead.
/** @param {View} view @param {Entry} entry */
const isMistake = (view, { value }) => (
  said(value.reason) && (view.leads.size === 0 ? person(value.with) !== '' : isOneOf(view.leads, value.with))
);

/** @param {View} view @param {Step} step @param {Entry} back @param {Entry} entry */
const goesBack = (view, step, back, entry) => {
  const paths = view.pathsOf(step.path);
  const { to } = back.value;
  const isMeant = Boolean(step.if_failed?.back_to) && typeof to === 'string' && !paths.includes(to) && paths.includes(back.step);
  return isMeant && view.isAlive(back) && back.seen.includes(entry.id) && after(back, entry);
};

/** @param {View} view @param {Step} step @param {Entry} entry */
const stops = (view, step, entry) => {
  const then = entry.kind === 'check' ? view.stepAsAnswered(entry) : null;
  if (then?.stop !== true || !isFailure(step.check, entry.value)) return false;
  const takers = found(view.gathered, 'take-back', entry.id);
  if (takers.some((taker) => view.isAlive(taker) && after(taker, entry) && isMistake(view, taker))) return false;
  return !found(view.gathered, 'back', entry.step).some((back) => goesBack(view, step, back, entry));
};

/**
 * stoppedBy(view, step) -> the failed answers that stop it. Each stands until a lead calls it a mistake, or the work
 * goes back to where the step says. A later answer does not undo one, and neither does a take-back without reason and
 * lead.
 * @param {View} view
 * @param {Step} step
 */
export const stoppedBy = (view, step) => {
  if (step.stop !== true) return [];
  return view.pathsOf(step.path).flatMap((path) => found(view.gathered, 'step', path)).filter((entry) => stops(view, step, entry));
};

/**
 * Figures that are known and not good, among those the step shows or that no earlier step looked at.
 * @param {View} view
 * @param {Step} step
 */
export const doubted = (view, { doubts }) => (doubts ?? []).filter((name) => {
  const worth = own(view.results, name);
  return worth && worth.known && worth.bad;
});

/** @param {View} view @param {string} name @param {Entry} entry */
const isNewer = (view, name, entry) => {
  const result = view.sheet.results.find((one) => one.name === name);
  const known = new Map([...view.readBy, ...view.takenBy]);
  return [...below(view.sheet, result)].some((input) => known.has(input) && after(known.get(input), entry));
};

/**
 * True if an answer says why it is good despite these figures. It cannot speak of a figure that was read later.
 * @param {View} view
 * @param {Entry} entry
 */
export const isDespite = (view, names, entry) => {
  if (!names.length) return true;
  const { despite } = entry.value;
  if (despite === null || typeof despite !== 'object' || !said(despite.reason)) return false;
  const meant = textsOf(despite.results);
  return names.every((name) => meant.includes(name) && !isNewer(view, name, entry));
};
