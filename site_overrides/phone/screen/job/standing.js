// What stands in a job's journal beside the folded state: what was read, measured, told and gone back over. Pure.

import { ANSWERS, undoneOf } from '../../journal/entries.js';
import { keptBy } from '../../words/words.js';


const namesOne = (list, names) => Array.isArray(list) && names.some((name) => list.includes(name));

// Whether an entry was taken back, or closed nothing.
const lifeOf = ({ state, gathered }) => {
  const undone = new Set([...undoneOf(gathered)].map(({ id }) => id));
  return { isAlive: (id) => !undone.has(id), isInert: (id) => state.inert.includes(id) };
};

// What was read, measured and told, and by whom.
const saidOf = ({ entries, homes, isAlive, isInert }) => ({
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
  /** Who last said that something of a list is missing, or took its confirmation back: 'LM 10:41', or ''. */
  whoDenied: (section) => {
    const told = new Set(entries.filter(({ kind, step, part }) => kind === 'confirm' && !step && part === section).map(({ id }) => id));
    const denies = ({ id, kind, seen, value }) => (
      (kind === 'confirm' && told.has(id) && value.except?.length > 0) || (kind === 'take-back' && seen.some((one) => told.has(one)))
    );
    const last = entries.findLast((entry) => isAlive(entry.id) && denies(entry));
    return last ? keptBy(last) : '';
  },
  /** Who wrote anything here, the last one first. */
  recent: [...new Set(entries.map(({ who }) => who).reverse())],
});

// What was gone back over, and what that asks about.
const backsOf = ({ state, entries, homes, isAlive }) => {
  const pathOf = (seen) => state.order.find((path) => state.steps[path] === seen);
  return {
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
    disturbedSteps: () => state.order.filter((path) => state.steps[path].why.some(({ code }) => code === 'disturbed')),
  };
};

// The steps that an entry, a value or a thing leads to.
const stepsOf = ({ state, entries, sheet, homes, isInert }) => {
  const stands = new Set(state.order.flatMap((path) => state.steps[path].answers.map(({ id }) => id)));
  const isWaitedFor = (path) => !['done', 'hidden'].includes(state.steps[path].state);
  return {
    /** Where the step of an entry is now. */
    pathNow: (step) => state.order.find((path) => homes(path).includes(step)) ?? step,
    stepUsing: (name) => sheet.steps.find(({ path, values }) => values.includes(name) && state.steps[path].state !== 'hidden')?.path ?? null,
    closerOf: (item) => {
      if (Object.hasOwn(state.extras, item)) return item;
      return sheet.steps.find(({ path, closes }) => closes.some(({ what }) => what === item) && isWaitedFor(path))?.path ?? null;
    },
    /** The last answer that still stands. */
    lastAnswer: () => entries.findLast(({ kind, step, id }) => ANSWERS.has(kind) && step && !isInert(id) && stands.has(id)),
  };
};

/** standing({state, gathered, entries, sheet, homes}) -> what the elements ask of the journal; entries: those that are known. */
export const standing = (about) => {
  const life = lifeOf(about);
  const all = { ...about, ...life };
  return { ...life, ...saidOf(all), ...backsOf(all), ...stepsOf(all) };
};
