// Answers that nobody can easily pass: a failed one at a stop, a good one despite a figure that is not good, a permit, a
// second look by somebody qualified.
// Whoever has the job cannot give a permit to himself, and whoever gave it does none of the work it allows: an answer to
// a later step takes it back. The same table as generator/journal/stops.py. All depend on fields of a step that older
// worksheets do not have, so old records read as before.

import { own } from '../base/own.js';
import { phoneMs } from '../quantities/dates.js';
import { asksQualified, isFailure, partsOf, said } from './answers.js';
import { after, answeredIn, found, textsOf } from './entries.js';
import { below } from './figures.js';
import { isOneOf, person } from './people.js';
import { qualifiedOf, qualifiedOthers } from './trade.js';
import { entriesOf } from './view.js';

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

// --- Permits: signatures that stand before the work and allow it to begin ---------------------------------------------

/** @param {Check} check */
export const isPermit = (check) => check.kind === 'sign' && check.permit !== undefined;

// The entries by which somebody has the job: the last who passed it on or took it over, else the start.
/** @param {View} view */
const holders = (view) => {
  const last = entriesOf(view.inJob('pass')).at(-1);
  return last ? [last] : entriesOf(view.inJob('job'));
};

/** @param {View} view @param {string} path */
const workers = (view, path) => {
  const steps = view.sheet?.steps ?? [];
  const at = steps.findIndex((step) => step.path === path);
  return (at < 0 ? [] : steps.slice(at + 1))
    .filter(({ check, completion }) => check.kind !== 'sign' && !completion)
    .flatMap((step) => partsOf(step.check, view.values)
      .flatMap((part) => answeredIn(view.gathered, view.undone, view.pathsOf(step.path), part)))
    .filter(({ kind }) => kind === 'check');
};

/**
 * The entries whose writers cannot give the permit. `has`: who has the job, or answered what the permit looks at. `did`:
 * who did a part of the work that it allows.
 * @param {View} view
 * @param {Step} step
 * @param {Entry[]} lookedAt
 */
export const barredOf = (view, step, lookedAt) => ({ has: [...holders(view), ...lookedAt], did: workers(view, step.path) });

/**
 * Who cannot give it, each once by each of the two reasons.
 * @param {{ has: Entry[], did: Entry[] }} barred
 * @returns {NotBy[]}
 */
export const notBy = ({ has, did }) => {
  const found = new Map();
  for (const [entries, work] of /** @type {[Entry[], boolean][]} */ ([[has, false], [did, true]])) {
    for (const { who, at } of entries) found.set(`${work}:${person(who)}`, { who, at, work });
  }
  return [...found.values()];
};

/**
 * True if another person gives the permit, or the same one after the break where the procedure allows it.
 * @param {Check} check
 * @param {{ has: Entry[], did: Entry[] }} barred
 * @param {Entry} entry
 */
export const permits = (check, { has, did }, entry) => {
  const me = person(entry.who);
  if (!me || !has.length) return false;
  if ([...has, ...did].every(({ who }) => person(who) !== me)) return true;
  const given = phoneMs(entry.at);
  if (!check.alone || !entry.value.self || given === null) return false;
  return has.map(({ at }) => phoneMs(at)).every((at) => at !== null && given - at >= check.self_check_after * 1000);
};

// --- Signatures that ask for somebody qualified -----------------------------------------------------------------------

// True if the worksheet in use says so; of a person it does not list, the worksheet that the entry was made on.
/** @param {View} view @param {Entry} entry */
const isQualified = (view, { who, sheet: mark }) => {
  const people = (view.sheet?.shop.people ?? []).map(({ initials }) => initials);
  return isOneOf(qualifiedOf(isOneOf(people, who) ? view.sheet : own(view.sheets, mark) ?? view.sheet), who);
};

/**
 * True if the signature asks for nobody special, or whoever signs is qualified. Who did the work (`did`) signs only
 * where the worksheet in use lists nobody else who is qualified.
 * @param {View} view
 * @param {Check} check
 * @param {Entry[]} did
 * @param {Entry} entry
 */
export const maySign = (view, check, did, entry) => {
  if (!asksQualified(check)) return true;
  if (!isQualified(view, entry)) return false;
  return did.every(({ who }) => person(who) !== person(entry.who)) || qualifiedOthers(view.sheet, did).length === 0;
};
