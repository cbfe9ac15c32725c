// One step by itself: what its answers make of it, wherever it stands in the work. The same table as
// generator/journal/step.py.

import { canonical } from '../base/canonical.js';
import { isElapsed, isFailure, partsOf, said, unmetValues, verdict, waitSeconds } from './answers.js';
import { askingNew, isNew } from './bolts.js';
import { after, answeredIn, found } from './entries.js';
import { counts, heldBy } from './figures.js';
import { isPull } from './limits.js';
import { barredOf, doubted, isDespite, isPermit, maySign, notBy, permits, stoppedBy } from './stops.js';
import { CLOSED } from './tables.js';
import { entriesOf } from './view.js';

/** @param {Why[]} whys @returns {Why[]} */
export const once = (whys) => [...new Map(whys.map((why) => [canonical(why), why])).values()];

/** @param {View} view @param {string} path */
export const homeOf = (view, path) => view.home.get(path) ?? path;

/** @param {View} view */
const lookedAt = (view, of = []) => of.flatMap((path) => {
  const step = view.byPath.get(path);
  const parts = step ? partsOf(step.check, view.values) : [];
  return parts.flatMap((part) => answeredIn(view.gathered, view.undone, view.pathsOf(path), part));
});

/**
 * @param {View} view
 * @param {Step} step
 * @param {Set<string>} departs
 * @param {Map<string,Standing>} slots
 * @param {string[]} of
 * @param {string[]} doubts
 * @param {Entry[]} seen
 * @param {null | { has: Entry[], did: Entry[] }} bars
 */
const askOf = (view, step, departs, slots, of, doubts, seen, bars) => {
  const words = view.inStep(view.pathsOf(step.path), 'elapsed');
  for (const entry of entriesOf(words)) if (!isElapsed(entry)) view.inert.add(entry);
  return {
    step,
    of,
    leads: view.leads,
    unmet: unmetValues(step, view.classes, view.values, departs),
    held: heldBy(view.results, step),
    counts: (name, value) => counts(view.sheet ?? /** @type {Sheet} */ ({}), name, value),
    isPull: (value) => isPull(view.sheet, step.check, value),
    seconds: step.check.kind === 'wait' ? waitSeconds(step.check, view.values) : null,
    lookedAt: seen,
    starts: slots.has('start') ? entriesOf(slots.get('start')) : [],
    elapsed: words.disputed ? [] : entriesOf(words),
    later: after,
    despite: (entry) => isDespite(view, doubts, entry),
    isNew: (part, entry) => isNew(view, step, slots, part, entry),
    permits: (entry) => bars !== null && permits(step.check, bars, entry),
    maySign: (entry) => maySign(view, step.check, bars?.has ?? seen, entry),
  };
};

// Why an answer that stands must be given again.
/** @param {View} view @param {Ask} ask @param {Entry} entry */
const staleOf = (view, { step, lookedAt: seen }, entry) => {
  /** @type {Why[]} */
  const whys = [];
  if (!step.path.startsWith('extra/') && view.askedOtherwise(entry, step).duty) whys.push({ code: 'duty' });
  const disturbed = view.backsOn(view.pathsOf(step.path), entry).map((back) => homeOf(view, back.step));
  for (const path of new Set(disturbed)) whys.push({ code: 'disturbed', step: path });
  for (const name of step.values) {
    if (view.readBy.has(name) && after(view.readBy.get(name), entry)) whys.push({ code: 'again', name });
  }
  for (const answer of seen) {
    if (after(answer, entry)) whys.push({ code: 'again', step: homeOf(view, answer.step) });
  }
  return once(whys);
};

/** @param {View} view @param {Ask} ask @param {string} part @param {Answer} answer */
const markOf = (view, ask, part, answer) => {
  const said = verdict(ask, answer, part);
  const given = answer.kind === 'check' && !ask.of.includes(part) && said !== 'failed' ? null : said;
  if (given === null) view.inert.add(answer.entry);
  return { part, answer, given, stale: staleOf(view, ask, answer.entry) };
};

/** @param {Entry} entry @returns {Mark} */
const stopMark = (entry) => ({ part: entry.part, answer: { entry, kind: 'check' }, given: 'failed', stale: [] });

/** @param {Mark[]} marks */
const bestOf = (marks) => {
  const closing = marks.filter(({ given }) => CLOSED.has(given));
  return closing.find(({ stale }) => !stale.length) ?? closing[0] ?? null;
};

// {state, whys}. state null: it counts as unanswered.
/**
 * @param {Step} step
 * @param {string[]} of
 * @param {Mark[]} marks
 * @param {Map<string,Mark>} best
 * @param {boolean} disputed
 * @returns {{ state: StateName | null, whys: Why[] }}
 */
const stateOfMarks = (step, of, marks, best, disputed) => {
  const left = best.get('') && best.get('').answer.kind !== 'check' ? best.get('') : null;
  const whole = !left || !(of.length === 1 && of[0] === '');
  const mine = whole ? of.map((part) => best.get(part)).filter(Boolean) : [];
  const complete = whole && mine.length === of.length && mine.every(({ given }) => given === 'done');
  const whys = once((left ? [left] : mine).flatMap(({ stale }) => stale));
  const isFailed = marks.some(({ given }) => given === 'failed');
  if (disputed || (left && complete && !(isFailed && step.stop === true))) return { state: 'disputed', whys: [] };
  if (isFailed) return { state: 'failed', whys };
  if (whys.length) return { state: 'recheck', whys };
  if (left) return { state: left.given, whys };
  if (complete) return { state: 'done', whys };
  return { state: step.check.kind === 'wait' && best.get('start') ? 'waiting' : null, whys };
};

// The longest time that somebody said has passed since the wait was started.
/** @param {Ask} ask */
const saidElapsed = ({ elapsed, starts }) => {
  const words = elapsed.filter((word) => isElapsed(word) && starts.some((start) => after(word, start)));
  return words.length ? Math.max(...words.map(({ value }) => value.seconds)) : null;
};

/** @param {Mark} mark */
const shown = ({ part, answer: { entry, kind } }) => {
  const { id, value, who, at, device } = entry;
  return { id, part, kind, value, who, at, device };
};

/** @param {View} view @param {Step} step @param {string[]} paths */
const failuresOf = (view, step, paths) => paths.flatMap((path) => found(view.gathered, 'step', path)).filter((entry) => (
  entry.kind === 'check' && view.isAlive(entry) && isFailure(step.check, entry.value)
));

/** @param {View} view @param {Step} step @param {string[]} paths @param {Mark[]} marks */
const isReworded = (view, step, paths, marks) => {
  if (!step.wording) return false;
  const told = view.inStep(paths, 'wording');
  for (const entry of entriesOf(told)) if (!said(entry.value.same)) view.inert.add(entry);
  if (!told.disputed && entriesOf(told).some(({ value }) => value.same === step.wording)) return false;
  return marks.some(({ answer }) => view.askedOtherwise(answer.entry, step).wording);
};

// A reason for each signature that counts for nothing because of who gave it: somebody whom it does not ask for, or, of a
// permit, whoever has the job or works under it.
/** @param {Ask} ask @param {Mark[]} marks @returns {Why[]} */
const barredWhys = (ask, marks) => {
  const entries = marks.filter(({ answer, given }) => answer.kind === 'check' && given === null).map(({ answer }) => answer.entry);
  const whys = (code, list) => list.map(({ who }) => ({ code, name: who }));
  const permit = isPermit(ask.step.check) ? entries.filter(ask.maySign) : [];
  return once([...whys('signer', entries.filter((entry) => !ask.maySign(entry))), ...whys('permit', permit)]);
};

/**
 * judgeStep(view, step, departs) -> {state, whys, marks, unmet, held, doubts, seen}. `state` null: it counts as
 * unanswered. `held`: results that stop it from being closed. `doubts`: results that are not good, so that a good
 * answer must say why. `seen` goes into the state of the step unchanged.
 * @param {View} view
 * @param {Step} step
 * @param {Set<string>} departs
 * @returns {Judged}
 */
export const judgeStep = (view, step, departs) => {
  const paths = view.pathsOf(step.path);
  const of = partsOf(step.check, view.values);
  const slots = new Map([...of, ''].map((part) => [part, null]));
  for (const part of slots.keys()) slots.set(part, view.inStep(paths, `part:${part}`));
  const doubts = doubted(view, step);
  const answered = lookedAt(view, step.check.of);
  const bars = isPermit(step.check) ? barredOf(view, step, answered) : null;
  const ask = askOf(view, step, departs, slots, of, doubts, answered, bars);
  const marks = [...slots].flatMap(([part, { answers }]) => (
    answers.map((answer) => markOf(view, ask, part, answer))
  ));
  for (const { part, answer, given } of doubts.length ? marks : []) {
    if (given === 'done' && part === of.at(-1) && answer.kind === 'check') view.departures.add(answer.entry);
  }
  const stopping = stoppedBy(view, step);
  marks.push(...stopping.filter((entry) => !marks.some(({ answer }) => answer.entry === entry)).map(stopMark));
  const best = new Map([...slots.keys()].map((part) => [part, bestOf(marks.filter((mark) => mark.part === part))]));
  const disputed = !stopping.length && [...slots.values()].some((slot) => slot.disputed);
  const isDone = (mark) => mark?.given === 'done' && !mark.stale.length && !stopping.length;
  const seen = {
    answers: marks.map(shown),
    done: of.filter((part) => isDone(best.get(part))),
    of,
    elapsed: saidElapsed(ask),
    failures: failuresOf(view, step, paths).length,
    reworded: isReworded(view, step, paths, marks),
    was: marks.some(({ answer }) => answer.entry.step !== step.path),
    extra: step.path.startsWith('extra/'),
    ...askingNew(view, step, slots, of),
    ...bars ? { not_by: notBy(bars) } : {},
  };
  const barred = barredWhys(ask, marks);
  return { ...stateOfMarks(step, of, marks, best, disputed), marks, unmet: ask.unmet, held: ask.held, doubts, barred, seen };
};

/**
 * The answers that closed their part: [[part, entry]].
 * @param {Judged} judged
 * @returns {[string, Entry][]}
 */
export const pullsOf = ({ marks }) => marks
  .filter(({ given, answer }) => given === 'done' && answer.kind === 'check')
  .map(({ part, answer }) => [part, answer.entry]);

/**
 * The part that was answered last, where each part counts by the first who answered it. null if there is none.
 * @param {Judged} judged
 */
export const answeredLast = ({ marks }) => {
  const first = new Map();
  for (const { part, answer } of marks) if (!first.has(part)) first.set(part, answer.entry);
  return [...first.values()].reduce((last, entry) => (last && !after(entry, last) ? last : entry), null);
};
