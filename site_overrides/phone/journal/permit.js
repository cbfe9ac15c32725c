// Who can give a permit: a signature that stands before the work and allows it to begin. Whoever has the job cannot give
// it to himself, and whoever gave it does none of the work it allows: an answer to a later step takes it back. The same
// table as generator/journal/permit.py.

import { phoneMs } from '../quantities/dates.js';
import { partsOf } from './answers.js';
import { answeredIn } from './entries.js';
import { person } from './people.js';
import { entriesOf } from './view.js';

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
