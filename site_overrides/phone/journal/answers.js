// What closes a step: which answers count, by kind of check-off and by way of leaving a step out. Only a sign looks at
// other steps. The same table as generator/journal/answers.py.

import { canonical } from '../base/canonical.js';
import { own, table } from '../base/own.js';
import { phoneMs } from '../quantities/dates.js';
import { plainQuantity, turnsOf } from '../quantities/quantity.js';
import { isOneOf, person } from './people.js';
import { SECONDS } from './tables.js';

/** True for a text that is not blank. */
export const said = (text) => typeof text === 'string' && /[^ \t\r\n\u00a0]/.test(text);

const isNumber = (number) => typeof number === 'number';

export const isWhole = (number, least) => Number.isInteger(number) && least <= number && number <= 9999;

const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);

/**
 * True if what was read has a figure or words, and a source.
 * @param {Said} value
 * @param {string} fastener
 */
export const isReading = (value, fastener) => {
  if (value.not_published === true) return fastener !== 'critical';
  const { source } = value;
  const hasSource = source !== null && typeof source === 'object' && said(source.document) && said(source.where);
  return hasSource && (said(value.text) || (isNumber(value.number) && said(value.unit)));
};

/** @param {Said} value */
const readingOf = (value) => {
  const both = isNumber(value.number) && said(value.unit);
  const { number, unit } = value.margin ?? {};
  return {
    ...value.sure === true ? { sure: true } : {},
    ...isNumber(number) && typeof unit === 'string' ? { margin: { number, unit } } : {},
    text: said(value.text) ? value.text : both ? `${canonical(value.number)} ${value.unit}` : null,
    number: both ? value.number : null,
    unit: both ? value.unit : null,
    source: value.not_published === true ? null : value.source ?? null,
    not_published: value.not_published === true,
  };
};

/**
 * The state of a value, and the readings that do not count: {value, inert}. isCredible(read): true if it is possible.
 * @param {Value} given
 * @param {Standing} reads
 * @param {(read: Said) => boolean} [isCredible]
 */
export const valueState = (given, reads, isCredible = () => true) => {
  const value = {
    text: given.text, number: null, unit: null, source: given.source, missing: false, not_published: false,
    filled: false, disputed: false,
  };
  const entries = reads.answers.map(({ entry }) => entry);
  if (given.text !== null && (isObject(given.source) || given.class === 'clip')) return { value, inert: entries };
  const missing = { ...value, text: null, source: null, missing: true, disputed: reads.disputed };
  const inert = entries.filter((entry) => !isReading(entry.value, given.class) || !isCredible(entry.value));
  if (reads.disputed || inert.length || !entries.length) return { value: missing, inert };
  return { value: { ...missing, ...readingOf(entries[0].value), missing: false, filled: true }, inert };
};

/**
 * How long a wait lasts: as the worksheet says, or as the value was read on the phone. null while unknown.
 * @param {Check} check
 * @param {Names<ValueState>} values
 */
export const waitSeconds = (check, values) => {
  if (check.seconds !== null) return check.seconds;
  const read = plainQuantity(values[check.value]?.text);
  const seconds = read ? own(SECONDS, read.unit) : null;
  return read && seconds ? read.figure * seconds : null;
};

/** @param {Check} check @param {Names<ValueState>} values */
const turnCount = (check, values) => {
  if (check.count !== null) return Math.max(2, check.count);
  const told = turnsOf(values[check.value]?.text);
  return told === null ? null : Math.max(2, told);
};

/**
 * The parts of a check-off, [''] if it is of one piece.
 * @param {Check} check
 * @param {Names<ValueState>} values
 */
export const partsOf = (check, values) => rulesOf(check).parts(check, values);

/** @param {ValueState} value */
const hasSource = (value) => Boolean(value) && value.text !== null && value.source !== null;

/**
 * The values a step still lacks: critical ones that it uses, and what its check-off cannot do without.
 * @param {Step} step
 * @param {Map<string,string>} classes
 * @param {Names<ValueState>} values
 * @param {Set<string>} departs
 */
export const unmetValues = (step, classes, values, departs) => {
  const { check } = step;
  const mine = check.value;
  const critical = new Set(step.values.filter((name) => classes.get(name) === 'critical'));
  if (mine !== undefined && check.fastener === 'critical') critical.add(mine);
  const lacking = new Set([...critical].filter((name) => !hasSource(values[name])));
  if (rulesOf(check).lacks(check, values, classes.get(mine) ?? '', departs)) lacking.add(mine);
  return [...lacking].sort();
};

/**
 * True if this answer says that the step failed.
 * @param {Check} check
 * @param {Said} value
 */
export const isFailure = (check, value) => {
  const named = check.outcomes?.find(({ name }) => name === value.outcome);
  return named ? named.fails : value.outcome === 'failed';
};

/** @param {Entry} entry */
export const isElapsed = ({ value }) => isNumber(value.seconds) && said(value.why);

/** @param {Ask} ask @param {Entry} start @param {Entry} end */
const waited = (ask, start, end) => {
  const [began, ended] = [phoneMs(start.at), phoneMs(end.at)];
  return began !== null && ended !== null && ask.seconds !== null && ended - began >= ask.seconds * 1000;
};

// An end counts if the start is on the same phone, or if somebody said how much time has passed.
/** @param {Ask} ask @param {Entry} entry @param {string} part */
const checkWait = (ask, entry, part) => {
  const { watch = null } = ask.step.check;
  if (watch && !ask.counts(own(watch, part), entry.value)) return false;
  if (part === 'start') return true;
  const starts = ask.starts.filter((start) => ask.later(entry, start));
  const longEnough = (word) => ask.seconds !== null && isElapsed(word) && word.value.seconds >= ask.seconds;
  return ask.elapsed.some((word) => longEnough(word) && starts.some((start) => ask.later(word, start)))
    || starts.some((start) => start.device === entry.device && waited(ask, start, entry));
};

// True if the signer answered nothing of what is signed, or signs after a break, recorded as a self-check.
/** @param {Ask} ask @param {Entry} entry */
const checkSign = (ask, entry) => {
  const { self } = entry.value;
  const signer = person(entry.who);
  if (typeof self !== 'boolean' || !signer || !ask.maySign(entry)) return false;
  if (ask.step.check.permit !== undefined) return ask.permits(entry);
  if (!ask.lookedAt.length) return false;
  if (ask.lookedAt.every(({ who }) => person(who) !== signer)) return true;
  const [signed, answered] = [phoneMs(entry.at), ask.lookedAt.map(({ at }) => phoneMs(at))];
  const rest = ask.step.check.self_check_after * 1000;
  return self && signed !== null && answered.every((at) => at !== null && signed - at >= rest);
};

/**
 * True for a signature that only somebody qualified gives. It is left out with the lead alone: nobody calls it not
 * fitted, and no customer refuses it.
 * @param {Check} check
 */
export const asksQualified = (check) => check.qualified === true;

// True if a tightening lacks its figure. A clip needs none.
/** @type {CheckRules['lacks']} */
const ofPull = ({ value }, values, fastener, departs) => {
  const known = hasSource(values[value]) || values[value]?.not_published || departs.has(`value:${value}`);
  return fastener !== 'clip' && !known;
};

/** @type {CheckRules['takes']} */
const watched = ({ watch }) => (watch ? [[watch.start, 'start'], [watch.end, 'end']] : []);

const whole = () => [''];
const nothing = () => [];
const never = () => false;
const always = () => true;

/**
 * How check-offs of each kind are judged. Every kind states all of it, so that nothing is forgotten.
 * @type {Record<CheckKind, CheckRules>}
 */
const RULES = {
  tick: { parts: whole, inTurn: false, lacks: never, takes: nothing, counts: always },
  tighten: {
    parts: (check) => check.parts.map(({ id }) => id),
    inTurn: false,
    lacks: ofPull,
    takes: nothing,
    counts: (ask, entry, part) => ask.isPull(entry.value) && ask.isNew(part, entry),
  },
  measure: {
    parts: whole,
    inTurn: false,
    lacks: never,
    takes: ({ reading }) => (reading ? [[reading, '']] : []),
    counts: (ask, { value }) => ask.counts(ask.step.check.reading, value),
  },
  inspect: {
    parts: whole,
    inTurn: false,
    lacks: never,
    takes: nothing,
    counts: (ask, { value }) => ask.step.check.outcomes.some(({ name }) => name === value.outcome),
  },
  wait: {
    parts: () => ['start', 'end'],
    inTurn: true,
    lacks: (check, values) => waitSeconds(check, values) === null,
    takes: watched,
    counts: checkWait,
  },
  turn: {
    parts: (check, values) => Array.from({ length: turnCount(check, values) ?? 2 }, (_, turn) => String(turn + 1)),
    inTurn: true,
    lacks: (check, values) => turnCount(check, values) === null,
    takes: nothing,
    counts: always,
  },
  photo: { parts: whole, inTurn: false, lacks: never, takes: nothing, counts: (_, { value }) => said(value.kept_at) },
  sign: { parts: whole, inTurn: false, lacks: never, takes: nothing, counts: checkSign },
};
const BY_KIND = table(RULES);

/** @param {Check} check @returns {CheckRules} */
export const rulesOf = ({ kind }) => BY_KIND[kind];

/** @param {Ask} ask @param {Said} value */
const mayLeave = ({ step, leads }, value) => (
  step.leave === 'own' || (step.leave === 'lead' && isOneOf(leads, value.with))
);

const LEAVES = table({
  skip: (ask, value) => (said(value.reason) && mayLeave(ask, value) ? 'skipped' : null),
  'not-fitted': ({ step }, value) => (
    said(value.reason) && step.leave !== 'never' && !asksQualified(step.check) ? 'not-fitted' : null
  ),
  'refuse': ({ step }, value) => (
    step.may_refuse && !asksQualified(step.check) && said(value.how) && said(value.told_by) ? 'refused' : null
  ),
  finish: ({ step }) => (step.completion ? 'done' : null),
});

/**
 * The state an answer gives its part: done, failed, skipped, refused, not-fitted. null: it closes nothing. ask: {step,
 * of, leads, unmet, held, counts, isPull, seconds, lookedAt, starts, elapsed, later, despite, isNew, permits, maySign}.
 * maySign(entry): true if its writer is one whom the signature asks for. held: results that stop it from being closed. counts(reading, value): true for a figure of that reading. isPull(value): true if a
 * bolt can be set to it. despite(entry): true if it says why it stands despite a bad figure. isNew(part, entry): true
 * if the bolt of this part is said to be new.
 * @param {Ask} ask
 * @param {Answer} answer
 * @param {string} part
 */
export const verdict = (ask, { entry, kind }, part) => {
  if (kind === 'finish' && ask.held.length) return null;
  if (Object.hasOwn(LEAVES, kind)) return LEAVES[kind](ask, entry.value);
  if (kind !== 'check') return null;
  if (isFailure(ask.step.check, entry.value)) return 'failed';
  if (ask.unmet.length) return null;
  if (part === ask.of.at(-1) && (ask.held.length || !ask.despite(entry))) return null;
  return rulesOf(ask.step.check).counts(ask, entry, part) ? 'done' : null;
};
