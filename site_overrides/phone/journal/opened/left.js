// What steps of older worksheets opened and closed, and the worksheet in use no longer says. It stays open until a step
// closes it, or a person says what became of it. The same table as generator/journal/opened/left.py. A job that never changed
// its worksheet has nothing of this.

import { canonical } from '../../base/canonical.js';
import { isWhole, said } from '../answers.js';
import { after, ANSWERS, gather } from '../entries.js';
import { homeOf } from '../step.js';
import { entriesOf } from '../view.js';
import { anchorBefore, checksOf, names, openedOf, put, stepOf, takesOf, wholeCount } from './claims.js';

/** @param {Map<string,string>} roots @param {string} path @returns {string} */
export const rootOf = (roots, path) => {
  let root = path;
  while (roots.has(root)) root = roots.get(root);
  return root;
};

// {path: the path under which the same step was answered as well}. A step that moved and was answered there too is one
// step.
/** @param {Map<string,Used>} used @param {Map<string,Entry[]>} checks @returns {Map<string,string>} */
const rootsOf = (used, checks) => {
  const pathOf = new Map([...checks].flatMap(([path, entries]) => entries.map(({ id }) => [id, path])));
  const last = (path) => checks.get(path).at(-1);
  const roots = new Map();
  for (const path of [...checks.keys()].sort()) {
    for (const old of checks.get(path).flatMap(({ seen }) => seen.map((id) => pathOf.get(id)))) {
      if (old === undefined || old === path || !after(last(path), last(old))) continue;
      if (!roots.has(old) || after(last(path), last(roots.get(old)))) roots.set(old, path);
    }
  }
  for (const path of [...checks.keys()].sort()) {
    const old = checks.get(path).flatMap(({ sheet }) => used.get(sheet)?.homes.get(path) ?? []);
    for (const one of old.filter((each) => checks.has(each))) { // answered on two phones that did not see each other
      if (!roots.has(one) && rootOf(roots, path) !== one) roots.set(one, path);
    }
  }
  return roots;
};

// --- what was closed -------------------------------------------------------------------------------------------------

/**
 * The entries without the answers to steps that closed other things on the worksheet they were made on.
 * @param {View} view
 * @param {string} digest
 */
export const withoutOthers = (view, digest) => {
  const { steps } = view.sheets[digest];
  const closes = new Map(steps.flatMap((step) => [step.path, ...step.was].map((path) => [path, step.closes])));
  const isOther = (entry) => {
    if (entry.sheet === digest || !ANSWERS.has(entry.kind) || !closes.has(entry.step)) return false;
    const then = view.stepAsAnswered(entry);
    return then === null || canonical(then.closes) !== canonical(closes.get(entry.step));
  };
  return gather(view.gathered.entries.filter((entry) => !isOther(entry)));
};

// True if a step was done by its own worksheet, whatever a later one asks in its place.
/** @param {StepState} seen */
const wasDone = ({ state, why }) => (
  state === 'done' || (state === 'recheck' && why.every(({ code }) => code === 'duty'))
);

// {root: what its present steps close}
/** @param {View} view @param {Older} older @returns {Map<string,Set<string>>} */
const closedNow = (view, { roots }) => {
  const present = new Map();
  for (const { path, closes } of view.sheet.steps) {
    for (const one of view.homes.get(path)) {
      const root = rootOf(roots, one);
      present.set(root, new Set([...present.get(root) ?? [], ...closes.map(({ what }) => what)]));
    }
  }
  return present;
};

// Find what was closed on older worksheets. Each step counts once, as the worksheet has it on which it was answered last.
/** @param {View} view @param {Older} older */
const findClosed = (view, older, judged) => {
  const present = closedNow(view, older);
  const all = new Map();
  const note = (here, root, path, { what, count }) => {
    if (!Object.hasOwn(view.items, what) || present.get(root)?.has(what) || !here.isDone()) return;
    const key = JSON.stringify([root, what]);
    const before = all.get(key);
    const at = [...before?.closed.at ?? [], here];
    all.delete(key);
    if (before?.closed.at.some(({ last }) => !after(here.last, last))) {
      all.set(key, { ...before, closed: { ...before.closed, at } });
      return;
    }
    const counted = count === null ? null : wholeCount(view, here.used, what, count);
    const anchor = homeOf(view, anchorBefore(here.used, path, view.home));
    all.set(key, { anchor, closed: { what, count: counted, at } });
  };
  for (const used of older.used.values()) {
    if (used.digest === view.digest) continue;
    for (const [place, { path, closes }] of used.sheet.steps.entries()) {
      const last = (older.checks.get(path) ?? []).findLast(({ sheet }) => sheet === used.digest);
      if (!closes.length || !last) continue;
      const root = rootOf(older.roots, path);
      const here = { used, place, last, isDone: () => wasDone(judged(used.digest).steps[path]) };
      put(older.answered, root, here);
      for (const closed of closes) note(here, root, path, closed);
    }
  }
  for (const { anchor, closed } of all.values()) put(older.closed, anchor, closed);
};

// True if a step before it opened it there; or if it had been open there before, from another worksheet.
/** @param {At} at @param {Lot} lot */
const isCovered = ({ used, place, last }, { what, path, of }) => {
  const there = of === null ? [path] : of.joins;
  const opened = there.filter((one) => names(stepOf(used, one)?.opens ?? [], what)).map((one) => used.place.get(one));
  if (opened.length) return Math.min(...opened) <= place;
  if (of === null || !after(last, of.last)) return false;
  if (used.place.has(path)) return used.place.get(path) < place;
  const anchor = anchorBefore(of.used, path, used.place);
  return anchor === '' || used.place.get(anchor) < place;
};

/**
 * True if a closing could mean this lot, on one of the worksheets on which it was answered.
 * @param {At[]} at
 * @param {Lot} lot
 */
export const covers = (at, lot) => lot.open > 0 && at.some((one) => isCovered(one, lot) && one.isDone());

/**
 * olderOf(view, judged) -> what older worksheets add, null if the job has had one only. Adds their things to those in
 * view. judged(digest) -> the job judged by another of its worksheets, without what still others add.
 * @param {View} view
 * @returns {Older|null}
 */
export const olderOf = (view, judged) => {
  const takes = takesOf(view);
  const { used } = takes;
  if (view.sheet === null || ![...used.keys()].some((digest) => digest !== view.digest)) return null;
  const checks = checksOf(view, takes);
  const roots = rootsOf(used, checks);
  const older = { used, checks, roots, opened: new Map(), closed: new Map(), answered: new Map() };
  for (const opened of openedOf(view, takes, checks)) {
    const now = homeOf(view, opened.path);
    const anchor = view.homes.has(now) ? now : homeOf(view, anchorBefore(opened.used, opened.path, view.home));
    put(older.opened, anchor, opened);
  }
  findClosed(view, older, judged);
  return older;
};

/**
 * How many of a thing are back (of two answers the smaller), and the last entry that says so: {count, entry} or null.
 * @param {View} view
 */
export const putBack = (view, what) => {
  const heads = entriesOf(view.inJob(`put-back:${what}`));
  const sound = heads.filter(({ value }) => isWhole(value.count, 1) && said(value.reason));
  for (const entry of heads) if (!sound.includes(entry)) view.inert.add(entry);
  return sound.length ? { count: Math.min(...sound.map(({ value }) => value.count)), entry: sound.at(-1) } : null;
};
