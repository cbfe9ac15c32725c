// What every element of a job's screen may ask, by subject. Pure.

import { ANSWERS } from '../../journal/entries.js';
import { isKnown, legal } from '../../journal/journal.js';
import { W, keptBy } from '../../words/words.js';
import { answerLine } from '../common/step_text.js';
import { deedsOf, departuresOf } from './deeds.js';
import { namesOf } from './names.js';
import { standing } from './standing.js';


// What is not kept, and the answers that wait at a stop until they are.
const keeping = ({ state, entries, unkept, withheld, again, homes }) => {
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
  /** Whether what was last said of the whole job under this name is not kept. */
  const isUnkept = (kind, part) => unkept.ids.has(entries.findLast((one) => one.kind === kind && one.step === '' && one.part === part)?.id);
  return { kept, by, seenAt, isUnkept };
};

// Lines of what was done and said, and what a step may be answered with.
const linesOf = ({ entries, sheets, names, of }) => ({
  legal: (path) => legal(of.state, of.sheet, path),
  departures: () => departuresOf(entries, of),
  deeds: () => deedsOf(entries, of),
  wordingBefore: (path) => {
    const then = entries.findLast(({ kind, step }) => ANSWERS.has(kind) && names.homes(path).includes(step));
    return then && sheets[then.sheet] ? names.textIn(sheets[then.sheet], then.step) : '';
  },
  said: (entry) => (names.stepOf(entry.step) ? answerLine(names.stepOf(entry.step), entry) : ''),
});

/**
 * sharedBy({state, gathered, sheet, sheets, me, device, now, jumped, back, look, sound, hand, unkept, withheld, again}) -> what an
 * element of the screen may ask, by subject: {state, sheet, names, journal, saved, me, device, now, jumped, back, look, sound,
 * hand}. names as namesOf gives them; journal: what stands in it beside the folded state (standing.js), and lines of it; saved:
 * kept(id) -> null, the id, or {unkept: id, again()} while it is not. `hand`: {wrench} of this job.
 */
export const sharedBy = ({
  state, gathered, sheet, sheets, me, device, now, jumped, back, look, sound, hand, unkept, withheld, again,
}) => {
  const names = namesOf({ state, sheet });
  const { homes } = names;
  const entries = gathered.entries.filter(isKnown); // of what is not known, only the number is said
  const saved = keeping({ state, entries, unkept, withheld, again, homes });
  const stands = standing({ state, gathered, entries, sheet, homes });
  const lines = linesOf({ entries, sheets, names, of: { state, sheet, items: state.items, ...names, ...saved, ...stands } });
  return { state, sheet, names, journal: { ...stands, ...lines }, saved, me, device, now, jumped, back, look, sound, hand };
};
