// What the fold is given while something is not saved. Every entry counts at once, except an answer that closes a stop:
// it waits until the store has it, or somebody has it in a saved file. Pure.

import { ANSWERS, after, found, gather, homesOf, isReturn, textsOf } from '../journal/entries.js';
import { judge } from '../journal/journal.js';

// A hidden stop is closed, and nobody passed it.
/** @type {Set<StateName>} */
const PASSED = new Set(['done', 'skipped', 'not-fitted', 'refused']);

/**
 * A step that nobody can pass, or that ends the job.
 * @param {Step} step
 */
export const isStop = ({ hold, gate, completion }) => Boolean(hold || gate || completion);

// The entries that this one names and that came before it.
/** @param {Entry} entry */
const named = (all, entry) => textsOf(entry.seen).flatMap((id) => found(all, 'id', id)).filter((one) => after(entry, one));

/** @param {Entry} entry */
const stepsOf = (all, entry) => {
  const { kind, step, value } = entry;
  if (kind === 'back') return [step, ...textsOf(value.disturbs), ...textsOf(value.rest)];
  if (kind === 'take-back' || kind === 'not-disturbed') return named(all, entry).flatMap((one) => stepsOf(all, one));
  return [step];
};

// Whether it could close a step of these paths: an answer, or something that restores one.
/** @param {string[]} paths */
const mayClose = (all, paths) => (entry) => {
  const restores = ['take-back', 'not-disturbed'].includes(entry.kind) && named(all, entry).some(isReturn);
  return (ANSWERS.has(entry.kind) || entry.kind === 'elapsed' || restores) && stepsOf(all, entry).some((path) => paths.includes(path));
};

/** @param {State} state @param {Sheet} sheet */
const lastThatCloses = (all, state, sheet, loose) => {
  const homes = homesOf(sheet);
  const closed = sheet.steps.filter((step) => isStop(step) && PASSED.has(state.steps[step.path]?.state));
  return closed.map(({ path }) => loose.findLast(mayClose(all, homes.get(path)))).find(Boolean);
};

/**
 * judgeKept({all, sheets, unkept, saved}) -> {gathered, state, withheld}. all: every entry, gathered; unkept: ids the store
 * has not confirmed; saved: ids that are in a file somebody has. withheld: the entries that wait; gathered and state are
 * of all others. While nothing waits, gathered is `all` itself.
 */
export const judgeKept = ({ all, sheets, unkept, saved }) => {
  const withheld = [];
  for (;;) {
    const gathered = withheld.length ? gather(all.entries.filter((entry) => !withheld.includes(entry))) : all;
    const state = judge(gathered, sheets);
    const sheet = sheets[state.sheet];
    const loose = all.entries.filter((entry) => unkept.has(entry.id) && !saved.has(entry.id) && !withheld.includes(entry));
    const last = sheet && loose.length ? lastThatCloses(all, state, sheet, loose) : null;
    if (!last) return { gathered, state, withheld };
    withheld.push(last);
  }
};
