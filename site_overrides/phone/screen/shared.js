// What every element of a job's screen may ask: names, numbers, and what the journal says beside the folded state. Pure.

import { isKnown, legal } from '../journal.js';
import { undoneOf } from '../journal/entries.js';
import { W, keptBy } from '../words.js';
import { answerLine } from './answers.js';
import { deedsOf, departuresOf } from './deeds.js';
import { namesOf } from './names.js';

const ANSWERS = new Set(['check', 'finish', 'skip', 'not-fitted', 'refuse', 'settle']);

const namesOne = (list, names) => Array.isArray(list) && names.some((name) => list.includes(name));

// What stands in the journal beside the folded state.
const standing = ({ state, gathered, entries, sheet, names }) => {
  const { homes } = names;
  const undone = new Set([...undoneOf(gathered)].map(({ id }) => id));
  const isAlive = (id) => !undone.has(id);
  const isInert = (id) => state.inert.includes(id);
  const pathOf = (seen) => state.order.find((path) => state.steps[path] === seen);
  const stands = new Set(state.order.flatMap((path) => state.steps[path].answers.map(({ id }) => id)));
  const isWaitedFor = (path) => !['done', 'hidden'].includes(state.steps[path].state);
  return {
    isAlive, isInert,
    /** The document typed last, so that only the place has to be typed again. */
    document: entries.findLast(({ kind, value }) => kind === 'read' && value.source?.document)?.value.source.document ?? '',
    keptAt: entries.findLast(({ kind, value }) => kind === 'check' && value.kept_at)?.value.kept_at ?? '',
    entryOf: (id) => entries.find((entry) => entry.id === id),
    readingsOf: (name) => {
      const all = entries.filter(({ kind, step, part }) => (kind === 'read' || (kind === 'settle' && step === '')) && part === name);
      const answered = new Set(all.filter(({ id }) => isAlive(id)).flatMap(({ seen }) => seen));
      return all.filter(({ id }) => !answered.has(id) && isAlive(id));
    },
    /** Every number that was read for one part of a step and not taken back, the oldest first. */
    measured: (path, part) => entries.filter((entry) => (
      entry.kind === 'check' && homes(path).includes(entry.step) && entry.part === part && entry.value.number !== undefined && isAlive(entry.id)
    )),
    /** How many of a thing somebody says are back already. */
    toldBack: (name) => Math.max(0, ...entries
      .filter(({ kind, part, id, value }) => kind === 'put-back' && part === name && isAlive(id) && !isInert(id) && Number.isInteger(value.count))
      .map(({ value }) => value.count)),
    /** Every check-off that was kept at a step and was no failure, taken back since or not. */
    checksOf: (path) => entries.filter(({ kind, step, value }) => kind === 'check' && homes(path).includes(step) && value.outcome === undefined),
    /** The go-backs that ask whether a step was disturbed. */
    backsAbout: (seen) => entries
      .filter(({ kind, id, value }) => kind === 'back' && isAlive(id) && namesOne(value.rest, homes(pathOf(seen))))
      .map(({ id }) => id),
    /** Whether a go-back took away an answer of this step: its bolts were tight and are loose again. */
    loosenedAgain: (path) => {
      const own = new Set(entries.filter(({ kind, step }) => kind === 'check' && homes(path).includes(step)).map(({ id }) => id));
      return entries.some(({ kind, id, value, seen }) => (
        kind === 'back' && isAlive(id) && namesOne(value.disturbs, homes(path)) && seen.some((one) => own.has(one))
      ));
    },
    /** Where the step of an entry is now. */
    pathNow: (step) => state.order.find((path) => homes(path).includes(step)) ?? step,
    disturbedSteps: () => state.order.filter((path) => state.steps[path].why.some(({ code }) => code === 'disturbed')),
    stepUsing: (name) => sheet.steps.find(({ path, values }) => values.includes(name) && state.steps[path].state !== 'hidden')?.path ?? null,
    closerOf: (item) => {
      if (Object.hasOwn(state.extras, item)) return item;
      return sheet.steps.find(({ path, closes }) => closes.some(({ what }) => what === item) && isWaitedFor(path))?.path ?? null;
    },
    /** Who last said that something of a list is missing, or took its confirmation back: 'LM 10:41', or ''. */
    whoDenied: (section) => {
      const told = new Set(entries.filter(({ kind, step, part }) => kind === 'confirm' && !step && part === section).map(({ id }) => id));
      const denies = ({ id, kind, seen, value }) => (
        (kind === 'confirm' && told.has(id) && value.except?.length > 0) || (kind === 'take-back' && seen.some((one) => told.has(one)))
      );
      const last = entries.findLast((entry) => isAlive(entry.id) && denies(entry));
      return last ? keptBy(last) : '';
    },
    /** The last answer that still stands. */
    lastAnswer: () => entries.findLast(({ kind, step, id }) => ANSWERS.has(kind) && step && !isInert(id) && stands.has(id)),
    /** Who wrote anything here, the last one first. */
    recent: [...new Set(entries.map(({ who }) => who).reverse())],
  };
};

// What is not kept, and the answers that wait at a stop until they are.
const keeping = ({ state, unkept, withheld, again, homes }) => {
  const kept = (id) => {
    if (!id) return null;
    return unkept.ids.has(id) ? { unkept: id, again } : id;
  };
  const waiting = (path) => withheld
    .filter(({ kind, step }) => ANSWERS.has(kind) && homes(path).includes(step))
    .map(({ id, part, kind, value, who, at, device }) => ({ id, part, kind, value, who, at, device }));
  const by = (entry) => (unkept.ids.has(entry.id) ? `${keptBy(entry)}, ${W.unkeptShort}` : keptBy(entry));
  /** A step as it is drawn: with the answers that wait. */
  const seenAt = (path) => {
    const seen = state.steps[path];
    const waits = waiting(path);
    if (!waits.length) return seen;
    return { ...seen, answers: [...seen.answers, ...waits], done: [...seen.done, ...waits.map(({ part }) => part)] };
  };
  return { kept, by, seenAt, isWaiting: (path) => waiting(path).length > 0 };
};

/**
 * sharedBy({state, gathered, sheet, sheets, me, device, now, jumped, back, look, sound, hand, unkept, withheld, again}) -> what
 * the elements ask. `hand`: {wrench} of this job. kept(id) -> null, the id, or {unkept: id, again()} while it is not kept.
 */
export const sharedBy = ({
  state, gathered, sheet, sheets, me, device, now, jumped, back, look, sound, hand, unkept, withheld, again,
}) => {
  const names = namesOf({ state, sheet });
  const entries = gathered.entries.filter(isKnown); // of what is not known, only the number is said
  const held = keeping({ state, unkept, withheld, again, homes: names.homes });
  const about = { state, sheet, items: state.items, ...names, ...held, ...standing({ state, gathered, entries, sheet, names }) };
  return {
    ...about, now, jumped, back, device, me, look, sound, hand,
    people: sheet.shop.people,
    /** Whether what was last said of the whole job under this name is not kept. */
    isUnkept: (kind, part) => unkept.ids.has(entries.findLast((one) => one.kind === kind && one.step === '' && one.part === part)?.id),
    legal: (path) => legal(state, sheet, path),
    departures: () => departuresOf(entries, about),
    deeds: () => deedsOf(entries, about),
    wordingBefore: (path) => {
      const then = entries.findLast(({ kind, step }) => ANSWERS.has(kind) && names.homes(path).includes(step));
      return then && sheets[then.sheet] ? names.textIn(sheets[then.sheet], then.step) : '';
    },
    said: (entry) => (names.stepOf(entry.step) ? answerLine(names.stepOf(entry.step), entry) : ''),
  };
};
