// A new entry, and what it writes in `seen`: the ids it answers. It replaces what was in view and nothing else. The
// same as generator/journal/seen.py.

import { found, homesOf, isReturn, members, ofJob, ofStep } from './entries.js';

/** @param {Sheet} sheet */
const pathsOf = (sheet, step) => homesOf(sheet).get(step) ?? [step];

/**
 * The ids a new answer writes in `seen`: all of its slot in view, and the go-backs that ask about its step.
 * `part` is a part of the check-off, 'depart:<part>', 'elapsed' or 'wording'; with step '' it is 'job', 'sheet',
 * 'confirm:<part>', 'value:<name>', 'count:<item>', 'decline' or 'pass'. `sheet` tells which steps have moved.
 * @param {Gathered} gathered
 */
export const slotIds = (gathered, step, part, sheet = null) => {
  if (step === '') return ofJob(gathered, part).map(({ id }) => id);
  const name = /^(depart:.*|elapsed|wording)$/s.test(part) ? part : `part:${part}`;
  const paths = pathsOf(sheet, step);
  const asked = paths.flatMap((path) => found(gathered, 'rest', path));
  return [...new Set([...ofStep(gathered, paths, name), ...asked].map(({ id }) => id))];
};

/**
 * The ids that a go-back writes in `seen`: everything in view in every slot of these steps.
 * @param {Gathered} gathered
 */
export const stepIds = (gathered, steps, sheet = null) => {
  const paths = steps.flatMap((step) => pathsOf(sheet, step));
  const own = paths.flatMap((path) => [...found(gathered, 'step', path), ...found(gathered, 'back', path)]);
  return members(gathered, own).map(({ id }) => id);
};

/**
 * The ids that a take-back of a step's answers writes in `seen`. Only answers, so no go-back is undone.
 * @param {Gathered} gathered
 */
export const answerIds = (gathered, step, part, sheet = null) => {
  const inView = new Set(slotIds(gathered, step, part, sheet));
  return gathered.entries.filter((entry) => inView.has(entry.id) && !isReturn(entry)).map(({ id }) => id);
};

/**
 * 1 + the greatest lamport in view.
 * @param {Gathered} gathered
 */
export const nextLamport = (gathered) => (gathered.entries.at(-1)?.lamport ?? 0) + 1;

const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');

/** A random id: `random(n)` gives n random bytes. */
export const newId = (random) => hex(random(12));

/**
 * newEntry('check', {step, part, value, seen}, {job, device, writer, prev, lamport, who, sheet, now, random}) -> entry.
 * `now` is milliseconds of phone time; `random(n)` gives n random bytes.
 */
export const newEntry = (kind, fields, { now, random, job, device, writer, prev, lamport, who, sheet }) => ({
  v: 1, id: newId(random), job, device, writer, prev, lamport, at: new Date(now).toISOString(), who, sheet,
  step: fields.step ?? '', part: fields.part ?? '', kind, value: fields.value ?? {}, seen: [...fields.seen ?? []],
});
