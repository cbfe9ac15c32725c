// What answers opened, path by path, whichever worksheet is in use: the most that any worksheet says on which they count.
// Nothing here depends on the worksheet in use, so an adoption alone changes nothing of it. The same table as
// generator/journal/opened/claims.py.

import { asks } from '../duty.js';
import { after, found, homesOf, isKnown, kindIn, textsOf } from '../entries.js';
import { readCount } from '../view.js';

/** @type {Set<string>} */
const LEFT_OUT = new Set(['skip', 'not-fitted', 'refuse']);
export const names = (moved, what) => moved.some((one) => one.what === what);

/** @param {Map<string,any[]>} map @param {string} key */
export const put = (map, key, one) => {
  if (map.has(key)) map.get(key).push(one);
  else map.set(key, [one]);
};

/** @param {Entry[]} entries @returns {Map<string,Entry[]>} */
const namedBy = (entries) => {
  const named = new Map();
  for (const entry of entries) for (const id of entry.seen) put(named, id, entry);
  return named;
};

/** @param {Entry} one @param {Entry} other */
const newer = (one, other) => (after(one, other) ? one : other);

// --- which answers count on which worksheet --------------------------------------------------------------------------

/**
 * The step of a path on a worksheet, also of one that it had before. null if it has none.
 * @param {Used} used
 * @param {string} path
 * @returns {Step|null}
 */
export const stepOf = ({ sheet, place }, path) => (place.has(path) ? sheet.steps.at(place.get(path)) : null);

// All paths that the step of a path has on this worksheet.
/** @param {Used} used @param {string} path @returns {string[]} */
const joinedOn = (used, path) => used.homes.get(stepOf(used, path).path);

/**
 * The worksheets at hand that entries were made on, and who took them.
 * @param {View} view
 * @returns {Takes}
 */
export const takesOf = ({ gathered, sheets }) => {
  const { entries } = gathered;
  const adopts = entries.filter((entry) => entry.kind === 'adopt' && isKnown(entry) && entry.value.sheet === entry.sheet);
  const started = new Set(entries.filter(({ kind }) => kind === 'start').map(({ sheet }) => sheet));
  const undone = new Set();
  let newestUndoing = null;
  for (const { id } of adopts) {
    for (const taker of found(gathered, 'take-back', id)) {
      undone.add(id);
      newestUndoing = newestUndoing === null ? taker : newer(taker, newestUndoing);
    }
  }
  const used = new Map();
  for (const entry of entries) {
    const digest = entry.sheet;
    if (used.has(digest) || !Object.hasOwn(sheets, digest) || !isKnown(entry)) continue;
    const sheet = sheets[digest];
    const homes = homesOf(sheet);
    const places = new Map(sheet.steps.map(({ path }, at) => [path, at]));
    const place = new Map([...homes].flatMap(([now, paths]) => paths.map((path) => [path, places.get(now)])));
    const adoptions = adopts.filter((one) => one.sheet === digest);
    used.set(digest, { digest, sheet, place, homes, adoptions, isFirst: started.has(digest) });
  }
  return { used, undone, newestUndoing };
};

/** @param {Entry} adoption @param {Entry} old */
const replaces = (adoption, old) => adoption.seen.includes(old.id) && after(adoption, old);

// True if whoever answered knew adoptions of the answer's own worksheet that replaced every one of this one.
/** @param {Takes} takes @param {Entry} entry @param {Used} used */
const isReplaced = ({ used: all, undone }, entry, { adoptions }) => {
  const own = all.get(entry.sheet);
  if (!own) return false; // it is not at hand: any other may be in use in its place
  const before = own.adoptions.filter((one) => after(entry, one));
  const kept = before.filter(({ id }) => !undone.has(id));
  // Of each group at least one was in view.
  const inView = kept.filter(({ writer }) => writer === entry.writer).map((one) => [one]);
  if (before.length && kept.length === before.length && !own.isFirst) inView.push(before);
  const isGone = (old) => inView.some((ones) => ones.every((one) => replaces(one, old)));
  return inView.length > 0 && adoptions.every(isGone);
};

// Since when an answer counts on a worksheet, null if it never did. It counts on its own, and on any that may have been
// in use with the answer in view: all but those that its author knew to be replaced.
/** @param {Takes} takes @param {Entry} entry @param {Used} used @returns {Entry|null} */
const countedSince = (takes, entry, used) => {
  if (entry.sheet === used.digest) return entry;
  if (isReplaced(takes, entry, used)) return null;
  const since = [...used.adoptions, ...takes.newestUndoing ? [takes.newestUndoing] : []];
  return since.reduce((newest, one) => newer(one, newest), entry);
};

// True if a path is the same step as one of others, on every worksheet that has it.
/** @param {Takes} takes @param {string} path @param {string[]} others */
const areOne = ({ used }, path, others) => others.includes(path) || [...used.values()].every((one) => (
  !one.place.has(path) || joinedOn(one, path).some((other) => others.includes(other))
));

// The kind of an answer, of a settlement that of the answer it chose.
/** @param {View} view @param {Entry} entry */
const chosen = (view, entry) => kindIn(entry.seen.flatMap((id) => found(view.gathered, 'id', id)), entry);

/**
 * The check-offs at each path that nobody took back or went back on, also those corrected later.
 * @param {View} view
 * @param {Takes} takes
 * @returns {Map<string,Entry[]>}
 */
export const checksOf = (view, takes) => {
  const known = view.gathered.entries.filter((entry) => isKnown(entry) && view.isAlive(entry));
  const backs = namedBy(known.filter(({ kind }) => kind === 'back'));
  const reopens = (back, entry) => (
    after(back, entry) && areOne(takes, entry.step, [back.step, ...textsOf(back.value.disturbs)])
  );
  const checks = new Map();
  for (const entry of known) {
    const isReopened = (backs.get(entry.id) ?? []).some((back) => reopens(back, entry));
    const isAnswer = entry.kind === 'check' || (entry.kind === 'settle' && entry.step && chosen(view, entry) === 'check');
    if (isAnswer && !isReopened) put(checks, entry.step, entry);
  }
  return checks;
};

// The entries that leave a step out, and the settlements that chose one of these.
/** @param {View} view */
const leavesOf = (view) => view.gathered.entries.filter((entry) => {
  if (!(LEFT_OUT.has(entry.kind) || entry.kind === 'settle') || !entry.step) return false;
  if (!isKnown(entry) || !view.isAlive(entry)) return false;
  return LEFT_OUT.has(chosen(view, entry));
});

// True if somebody left out the very step that an answer had opened a thing with: so it was not opened. A step that asks
// something else by then was left out for itself. What it had opened before is open.
/** @param {View} view @param {Takes} takes @param {Entry} leave @param {Entry} entry @param {string} what */
const leavesOut = (view, takes, leave, entry, what) => {
  const [then, now] = [view.stepAsAnswered(entry), view.stepAsAnswered(leave)];
  if (then === null || now === null || !after(leave, entry) || !areOne(takes, entry.step, [leave.step])) return false;
  const [asked, wanted] = [asks(view.sheets[entry.sheet], then), asks(view.sheets[leave.sheet], now)];
  return names(now.opens, what) && asked.duty === wanted.duty;
};

// --- what they opened ------------------------------------------------------------------------------------------------

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

/** @param {Map<string,Claim>} claims @param {string} path @param {Claim} more */
const addClaim = (claims, path, more) => {
  const before = claims.get(path);
  if (!before) {
    claims.set(path, more);
    return;
  }
  const { count, used } = more.count > before.count ? more : before;
  const joins = before.joins.filter((one) => more.joins.includes(one));
  claims.set(path, { count, used, last: newer(more.last, before.last), joins });
};

// Thing -> path -> all that worksheets say was opened there.
/** @param {View} view @param {Takes} takes @param {Map<string,Entry[]>} checks @returns {Map<string,Map<string,Claim>>} */
const claimsOf = (view, takes, checks) => {
  const leaves = namedBy(leavesOf(view));
  const claims = new Map();
  const note = (entry, used, last, { what, count }) => {
    if ((leaves.get(entry.id) ?? []).some((leave) => leavesOut(view, takes, leave, entry, what))) return;
    declare(view, used, what);
    if (!claims.has(what)) claims.set(what, new Map());
    const joins = joinedOn(used, entry.step);
    addClaim(claims.get(what), entry.step, { count: wholeCount(view, used, what, count), used, last, joins });
  };
  for (const [path, entries] of checks) {
    for (const entry of entries) {
      for (const used of takes.used.values()) {
        const opens = stepOf(used, path)?.opens ?? [];
        const last = opens.length ? countedSince(takes, entry, used) : null;
        if (last !== null) for (const opened of opens) note(entry, used, last, opened);
      }
    }
  }
  return claims;
};

/** @param {Map<string,string>} parents @param {string} path */
const upFrom = (parents, path) => {
  const up = [path];
  while (parents.has(up.at(-1))) up.push(parents.get(up.at(-1)));
  return up;
};

// Path -> the path that is one step with it, also on every worksheet that says something of that one.
/** @param {Map<string,Claim>} claims @param {string[]} paths @returns {Map<string,string>} */
const parentsOf = (claims, paths) => {
  const parents = new Map();
  const size = (path) => claims.get(path).joins.length;
  for (const path of paths) {
    const over = paths.filter((one) => one !== path && claims.get(one).joins.includes(path));
    over.sort((one, other) => size(one) - size(other));
    const parent = over.find((one) => upFrom(parents, one).at(-1) !== path);
    if (parent !== undefined) parents.set(path, parent);
  }
  return parents;
};

// A path that is one step with others on every worksheet that says something of it adds only what is more than what
// these opened. So a step that moved opened its things once, and two steps that a worksheet takes for one opened what
// each had.
/** @param {Map<string,Claim>} claims @returns {{path:string,claim:Claim,count:number}[]} */
const sharedOut = (claims) => {
  const paths = [...claims.keys()].sort();
  const parents = parentsOf(claims, paths);
  const depth = (path) => upFrom(parents, path).length;
  const byDepth = [...paths].sort((one, other) => depth(one) - depth(other));
  const said = new Map(claims);
  for (const path of byDepth.filter((one) => parents.has(one))) { // opened again under its later path
    said.set(path, { ...said.get(path), last: newer(said.get(parents.get(path)).last, said.get(path).last) });
  }
  const whole = new Map();
  return [...paths].sort((one, other) => depth(other) - depth(one)).map((path) => {
    const under = paths.filter((one) => parents.get(one) === path).reduce((sum, one) => sum + whole.get(one), 0);
    const claim = said.get(path);
    whole.set(path, Math.max(claim.count, under));
    return { path, claim, count: whole.get(path) - under };
  });
};

/**
 * Every lot of the job.
 * @param {View} view
 * @param {Takes} takes
 * @param {Map<string,Entry[]>} checks
 * @returns {OpenedAt[]}
 */
export const openedOf = (view, takes, checks) => {
  const claims = claimsOf(view, takes, checks);
  return [...claims.keys()].sort().flatMap((what) => sharedOut(claims.get(what)).map(({ path, claim, count }) => {
    const { used, last, joins } = claim;
    return { what, path, count, used, last, joins, answers: checks.get(path) };
  }));
};

/**
 * The last step at a path or before it, as one worksheet has it, that another has as well; '' if none is.
 * @param {Used} used
 * @param {string} path
 * @param {Map<string,any>} there
 * @returns {string}
 */
export const anchorBefore = ({ sheet, place }, path, there) => (
  sheet.steps.slice(0, place.get(path) + 1).findLast((step) => there.has(step.path))?.path ?? ''
);
