// What steps of older worksheets opened and closed, and the worksheet in use no longer says. It stays open until a step
// closes it, or a person says what became of it. The same table as generator/journal/opened/left.py. A job that never changed
// its worksheet has nothing of this.

import { canonical } from '../../base/canonical.js';
import { isWhole, said } from '../answers.js';
import { asks } from '../duty.js';
import { after, ANSWERS, found, gather, homesOf, isKnown, kindIn } from '../entries.js';
import { homeOf } from '../step.js';
import { entriesOf, readCount } from '../view.js';

/** @type {Set<string>} */
const LEFT_OUT = new Set(['skip', 'not-fitted', 'refuse']);
const names = (moved, what) => moved.some((one) => one.what === what);

/** @param {Map<string,any[]>} map @param {string} key */
const put = (map, key, one) => {
  if (map.has(key)) map.get(key).push(one);
  else map.set(key, [one]);
};

/** @param {Entry[]} entries @returns {Map<string,Entry[]>} */
const namedBy = (entries) => {
  const named = new Map();
  for (const entry of entries) for (const id of entry.seen) put(named, id, entry);
  return named;
};

// The worksheets that entries of the job were made on.
/** @param {View} view @returns {Map<string,Used>} */
const usedBy = ({ gathered, sheets }) => {
  const used = new Map();
  const isAdoption = ({ kind, value, sheet }) => kind === 'adopt' && value.sheet === sheet;
  const adopts = gathered.entries.filter(isAdoption);
  const adopted = new Map(adopts.map((entry) => [entry.sheet, entry]));
  const givenUp = new Set(adopts.flatMap(({ id }) => found(gathered, 'take-back', id)));
  const again = gathered.entries.findLast((entry) => givenUp.has(entry)) ?? null;
  const newestOf = (digest) => {
    const newest = adopted.get(digest) ?? null;
    return again !== null && (newest === null || after(again, newest)) ? again : newest; // any sheet may be back in use
  };
  for (const entry of gathered.entries) {
    const digest = entry.sheet;
    if (used.has(digest) || !Object.hasOwn(sheets, digest) || !isKnown(entry)) continue;
    const sheet = sheets[digest];
    const homes = homesOf(sheet);
    const places = new Map(sheet.steps.map(({ path }, at) => [path, at]));
    const place = new Map([...homes].flatMap(([now, paths]) => paths.map((path) => [path, places.get(now)])));
    used.set(digest, { digest, sheet, place, homes, adopted: newestOf(digest) });
  }
  return used;
};

/** @param {Used} used @param {string} path @returns {Step|null} */
const stepOf = ({ sheet, place }, path) => (place.has(path) ? sheet.steps.at(place.get(path)) : null);

// The kind of an answer, of a settlement that of the answer it chose.
/** @param {View} view @param {Entry} entry */
const chosen = (view, entry) => kindIn(entry.seen.flatMap((id) => found(view.gathered, 'id', id)), entry);

// The check-offs at each path that nobody took back or went back on, also those corrected later.
/** @param {View} view @returns {Map<string,Entry[]>} */
const checksOf = (view) => {
  const known = view.gathered.entries.filter((entry) => isKnown(entry) && view.isAlive(entry));
  const backs = namedBy(known.filter(({ kind }) => kind === 'back'));
  const checks = new Map();
  for (const entry of known) {
    const isReopened = (backs.get(entry.id) ?? []).some((back) => after(back, entry));
    const isAnswer = entry.kind === 'check' || (entry.kind === 'settle' && entry.step && chosen(view, entry) === 'check');
    if (isAnswer && !isReopened) put(checks, entry.step, entry);
  }
  return checks;
};

/** @param {Map<string,string>} roots @param {string} path @returns {string} */
const rootOf = (roots, path) => {
  let root = path;
  while (roots.has(root)) root = roots.get(root);
  return root;
};

// {path: the path under which the same step was answered as well}. A step that moved and was answered there too is one
// step. That a worksheet says so is not enough: of two steps that a worksheet takes for one, each may have opened
// something.
/** @param {Older} older @returns {Map<string,string>} */
const rootsOf = ({ checks, used }) => {
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

// --- what was opened -------------------------------------------------------------------------------------------------

// True if an answer was made on this worksheet, or stood when somebody took it.
/** @param {Entry} entry @param {Used} used */
const isCountedOn = (entry, { digest, adopted }) => (
  entry.sheet === digest || (adopted !== null && after(adopted, entry))
);

// The entries that leave a step out, and the settlements that chose one of these.
/** @param {View} view */
const leavesOf = (view) => view.gathered.entries.filter((entry) => {
  if (!(LEFT_OUT.has(entry.kind) || entry.kind === 'settle') || !entry.step) return false;
  if (!isKnown(entry) || !view.isAlive(entry)) return false;
  return LEFT_OUT.has(chosen(view, entry));
});

// True if somebody left out the very step that an answer had opened a thing with: so it was not opened. A step that asks
// something else by then was left out for itself. What it had opened before is open.
/** @param {View} view @param {Entry} leave @param {Entry} entry @param {string} what */
const leavesOut = (view, leave, entry, what) => {
  const [then, now] = [view.stepAsAnswered(entry), view.stepAsAnswered(leave)];
  if (then === null || now === null || !after(leave, entry)) return false;
  const [asked, wanted] = [asks(view.sheets[entry.sheet], then), asks(view.sheets[leave.sheet], now)];
  return names(now.opens, what) && asked.duty === wanted.duty;
};

/**
 * The corrected count in place of `count` if `count` is the whole thing on that worksheet.
 * @param {View} view
 * @param {Used} used
 * @param {string} what
 * @param {number} count
 */
export const wholeCount = (view, { sheet }, what, count) => (
  view.counts.has(what) && count === sheet.items[what].count ? view.counts.get(what) : count
);

/** @param {View} view @param {Used} used @param {string} what */
const declare = (view, { sheet }, what) => {
  const item = sheet.items[what];
  if (!Object.hasOwn(view.items, what)) {
    view.items[what] = { ...item, open: 0 };
    readCount(view, what);
  }
  const kinds = view.wasKinds.get(what) ?? [];
  if (!kinds.some(({ kind, list }) => kind === item.kind && list === item.list)) put(view.wasKinds, what, item);
};

// Path -> thing -> {count, used}: what was opened by the answers at each path, the most that a worksheet says on which
// they counted.
/** @param {View} view @param {Older} older */
const talliesOf = (view, { checks, used: all }) => {
  const leaves = namedBy(leavesOf(view));
  const tallies = new Map();
  const note = (entry, used, path, { what, count: opened }) => {
    if ((leaves.get(entry.id) ?? []).some((leave) => leavesOut(view, leave, entry, what))) return;
    declare(view, used, what);
    const count = wholeCount(view, used, what, opened);
    if (!tallies.has(path)) tallies.set(path, new Map());
    const before = tallies.get(path).get(what);
    if (!before || count > before.count) tallies.get(path).set(what, { count, used });
  };
  for (const [path, entries] of checks) {
    for (const entry of entries) {
      for (const used of all.values()) {
        if (!isCountedOn(entry, used)) continue;
        for (const opened of stepOf(used, path)?.opens ?? []) note(entry, used, path, opened);
      }
    }
  }
  return tallies;
};

// The last step at this place or before it that is still there.
/** @param {View} view @param {Used} used @param {number} place @returns {string} */
const anchorAt = (view, { sheet }, place) => {
  const there = sheet.steps.slice(0, place + 1).findLast(({ path }) => view.home.has(path));
  return there ? homeOf(view, there.path) : '';
};

// What was opened of a thing at one step of the worksheet in use, or at one that it does not have.
/** @param {View} view @param {Older} older */
const openedAt = (view, older, tallies, under, { now, what, tops }) => {
  const tallyOf = (path) => tallies.get(path)?.get(what);
  const below = (path) => under.get(path) ?? [];
  const countAt = (path) => Math.max(tallyOf(path)?.count ?? 0, below(path).reduce((sum, old) => sum + countAt(old), 0));
  const allUnder = (path) => [path, ...below(path).flatMap(allUnder)];
  const paths = tops.flatMap(allUnder);
  const told = paths.filter(tallyOf);
  const isGone = !view.homes.has(now);
  const [first] = told;
  const { used } = tallyOf(first);
  return {
    anchor: isGone ? anchorAt(view, used, used.place.get(first)) : now,
    opened: {
      what, path: now, isGone,
      paths: new Set([...paths, ...view.homes.get(now) ?? []]),
      count: tops.reduce((sum, path) => sum + countAt(path), 0),
      answers: told.flatMap((path) => older.checks.get(path)),
    },
  };
};

/** @param {View} view @param {Older} older @param {Map<string,string>} roots */
const findOpened = (view, older, roots) => {
  const tallies = talliesOf(view, older);
  const under = new Map();
  for (const [old, now] of roots) put(under, now, old);
  const groups = new Map();
  for (const path of [...tallies.keys()].sort()) {
    const root = rootOf(roots, path);
    for (const what of [...tallies.get(path).keys()].sort()) {
      const now = homeOf(view, root);
      const key = JSON.stringify([now, what]);
      if (!groups.has(key)) groups.set(key, { now, what, tops: [] });
      const { tops } = groups.get(key);
      if (!tops.includes(root)) tops.push(root);
    }
  }
  for (const group of groups.values()) {
    const { anchor, opened } = openedAt(view, older, tallies, under, group);
    put(older.opened, anchor, opened);
  }
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

// What was closed by steps that the worksheet in use no longer has, or that no longer close it. Each step counts once,
// as the worksheet has it on which it was answered last.
/** @param {View} view @param {Older} older @param {Map<string,string>} roots */
const findClosed = (view, older, roots, judged) => {
  const all = new Map();
  const note = (used, place, root, { what, count }) => {
    if (!Object.hasOwn(view.items, what)) return; // nothing that counts opened it
    const key = JSON.stringify([root, what]);
    const at = [...all.get(key)?.closed.at ?? [], { used, place }];
    const counted = count === null ? null : wholeCount(view, used, what, count);
    all.delete(key);
    all.set(key, { anchor: anchorAt(view, used, place), closed: { what, count: counted, at } });
  };
  for (const used of older.used.values()) {
    if (used.digest === view.digest) continue;
    for (const [place, step] of used.sheet.steps.entries()) {
      const root = rootOf(roots, step.path);
      const now = view.byPath.get(homeOf(view, root));
      const closes = step.closes.filter(({ what }) => !(now && names(now.closes, what)));
      const isAnswered = (older.checks.get(step.path) ?? []).some(({ sheet }) => sheet === used.digest);
      if (!closes.length || !isAnswered || !wasDone(judged(used.digest).steps[step.path])) continue;
      for (const closed of closes) note(used, place, root, closed);
    }
  }
  for (const { anchor, closed } of all.values()) put(older.closed, anchor, closed);
};

/**
 * True if a closing could mean this lot: on a worksheet on which it was answered, a step before it opened it.
 * @param {{used:Used,place:number}[]} at
 * @param {Lot} lot
 */
export const covers = (at, { what, paths }) => at.some(({ used, place }) => (
  used.sheet.steps.slice(0, place).some((step) => (
    names(step.opens, what) && used.homes.get(step.path).some((path) => paths.has(path))
  ))
));

/**
 * olderOf(view, judged) -> what older worksheets add, null if the job has had one only. Adds their things to those in
 * view. judged(digest) -> the job judged by another of its worksheets, without what still others add.
 * @param {View} view
 * @returns {Older|null}
 */
export const olderOf = (view, judged) => {
  const used = usedBy(view);
  if (view.sheet === null || ![...used.keys()].some((digest) => digest !== view.digest)) return null;
  const older = { used, opened: new Map(), closed: new Map(), checks: checksOf(view) };
  const roots = rootsOf(older);
  findOpened(view, older, roots);
  findClosed(view, older, roots, judged);
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
