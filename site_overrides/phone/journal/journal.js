// Folds a journal: judges entries and the worksheets they name into the state that the screen shows. The same table as
// generator/journal/fold.py. Pure. Entries are ordered by (lamport, writer, id), never by a clock; phone time counts
// only where a person waits. docs/format.md, "The fold", says in words what this code does.

import { canonical } from '../base/canonical.js';
import { dict } from '../base/own.js';
import { isWhole, said } from './answers.js';
import { boltLists, isOn } from './bolts.js';
import { extraStep, gather, isKnown, SLOTS, textsOf } from './entries.js';
import { allowances, isAsked, lotsOf, newLedger, openOf } from './opened/ledger.js';
import { olderOf, putBack, withoutOthers } from './opened/left.js';
import { unreadyOf } from './ready.js';
import { CORRECTABLE, readJob } from './start.js';
import { homeOf, judgeStep, once, pullsOf } from './step.js';
import { ACTIONABLE, BLOCKING, CLOSED, SECTIONS } from './tables.js';
import { listsOf } from './trade.js';
import { entriesOf, look, preparation, readCount, readValues } from './view.js';
import { isNotClosed, newWalk, openWhys, walkOlder, walkStep } from './walk.js';
import { work } from './working.js';

export { add, compare, gather, isKnown, union } from './entries.js';
export { isFailure } from './answers.js';
export { legal } from './legal.js';
export { answerIds, newEntry, newId, nextLamport, slotIds, stepIds } from './seen.js';
export { canonical };

/** @param {View} view */
const stepsOf = (view) => view.sheet?.steps ?? [];

/** @param {Entry} entry */
const isExtra = ({ kind, value }) => (
  kind === 'took-off'
    ? said(value.label) && said(value.kind) && isWhole(value.count, 1)
    : said(value.label) && said(value.approved_by) && said(value.how)
);

/** @param {View} view @param {string} path @param {Entry} entry */
const judgeExtra = (view, path, entry) => {
  const tookOff = entry.kind === 'took-off';
  const judged = judgeStep(view, extraStep(path, tookOff), new Set());
  view.steps[path] = { ...judged.seen, state: judged.state ?? 'open', why: judged.whys };
  view.pulls.set(path, pullsOf(judged));
  if (!tookOff) return;
  readCount(view, path);
  const { kind, label, list } = entry.value;
  const count = view.counts.get(path) ?? entry.value.count;
  const open = judged.state === 'done' ? 0 : count;
  view.items[path] = { kind, label, list: listsOf(view.trade).find((name) => name === list) ?? null, count, open };
  view.tookOff.set(path, entry);
};

/** @param {View} view */
const extrasOf = (view) => {
  const extras = dict();
  for (const entry of view.gathered.entries) {
    if (!['took-off', 'extra'].includes(entry.kind) || !isKnown(entry) || !view.isAlive(entry)) continue;
    const path = `extra/${entry.id}`;
    if (!isExtra(entry)) view.inert.add(entry);
    else if (!Object.hasOwn(extras, path)) {
      const { kind, value, who, at } = entry;
      extras[path] = { kind, value, who, at };
      judgeExtra(view, path, entry);
    }
  }
  return extras;
};

/** @param {View} view */
const stillOpen = (view) => Object.keys(view.items).filter((name) => view.items[name].open > 0).sort();

// Make a gate that is not passed wait for everything open anywhere, and for the preparation if it asks for it.
/** @param {View} view @param {Walk} walk */
const askGatesAgain = (view, walk) => {
  for (const [name, count] of openOf(walk.ledger)) {
    view.items[name].open = count;
    const lots = walk.older === null ? [] : lotsOf(walk.ledger, name);
    const left = lots.reduce((sum, { rest }) => sum + rest, 0);
    if (left === 0) continue;
    const asked = lots.filter((lot) => isAsked(walk.ledger, lot)).flatMap(({ answers }) => answers);
    Object.assign(view.items[name], { left, left_by: [...new Set(ids(asked))] });
  }
  for (const { path, gate } of stepsOf(view)) {
    const seen = view.steps[path];
    if (!gate || CLOSED.has(seen.state)) continue;
    const whys = openWhys(view, gate, stillOpen(view));
    if (whys.length) seen.why = [...seen.why.filter(({ code }) => code !== 'open' && code !== 'list'), ...whys];
    if (gate.ready) {
      seen.why = [...seen.why.filter(({ code }) => code !== 'ready'), ...unreadyOf(view, walk.departs.get(path))];
    }
    if (seen.state === 'open' && seen.why.some(({ code }) => BLOCKING.has(code))) seen.state = 'blocked';
  }
};

// The steps in the order of work, with extras before the completion.
/** @param {View} view */
const orderOf = (view) => {
  const steps = stepsOf(view);
  const last = steps.at(-1)?.completion ? steps.length - 1 : steps.length;
  const paths = steps.map(({ path }) => path);
  const extras = Object.keys(view.steps).filter((path) => path.startsWith('extra/'));
  return [...paths.slice(0, last), ...extras, ...paths.slice(last)];
};

/** @param {View} view @param {string} completion @returns {Why[]} */
const unfinished = (view, completion) => {
  const unclosed = orderOf(view).find((path) => path !== completion && isNotClosed(view, path));
  const items = stillOpen(view);
  return [
    ...unclosed === undefined ? [] : [/** @type {Why} */ ({ code: 'after', step: unclosed })],
    ...items.length ? [/** @type {Why} */ ({ code: 'open', items })] : [],
  ];
};

/** @param {View} view */
const askCompletion = (view) => {
  for (const { path } of stepsOf(view).filter(({ completion }) => completion)) {
    const seen = view.steps[path];
    const whys = seen.state === 'hidden' ? [] : unfinished(view, path);
    if (whys.length && (seen.state === 'open' || seen.state === 'blocked')) seen.state = 'blocked';
    else if (whys.length && CLOSED.has(seen.state)) seen.state = 'recheck';
    seen.why = once([...seen.why, ...whys]);
  }
};

/** @param {StepState} seen */
const waitsForSteps = ({ why }) => why.some(({ code }) => ['hold', 'order', 'after'].includes(code));

// What was taken off besides and is on a list. It waits only for a gate that asks about it.
/** @param {View} view */
const quietOf = (view) => {
  const near = stepsOf(view).filter(({ path, gate }) => (
    gate && !CLOSED.has(view.steps[path].state) && !waitsForSteps(view.steps[path])
  ));
  const listed = [...view.tookOff.keys()].filter((path) => view.items[path].list !== null);
  return new Set(listed.filter((path) => !near.some(({ gate }) => openWhys(view, gate, [path]).length)));
};

// Where work goes on: a step that can be done now, else a running wait, else the first one not closed.
/** @param {View} view */
const nextOf = (view, order) => {
  const quiet = quietOf(view);
  const loud = order.filter((path) => !quiet.has(path));
  const isFree = ({ why }) => !why.some(({ code }) => BLOCKING.has(code));
  const first = (paths, wanted, free) => paths.find((path) => (
    wanted.includes(view.steps[path].state) && (!free || isFree(view.steps[path]))
  ));
  return first(loud, ACTIONABLE, true) ?? first(loud, ['waiting'], false)
    ?? first(order.filter((path) => quiet.has(path)), ACTIONABLE, false)
    ?? first(loud, [...ACTIONABLE, 'blocked'], false) ?? null;
};

/** @param {View} view */
const jobOf = ({ start, startDisputed }) => (
  start ? { ...start.value, started_at: start.at, disputed: startDisputed } : null
);

/** @param {View} view */
const declinedOf = (view) => {
  const heads = entriesOf(view.inJob('decline'));
  for (const entry of heads) if (!said(entry.value.reason)) view.inert.add(entry);
  const told = heads.find(({ value }) => said(value.reason));
  return told ? { reason: told.value.reason, who: told.who, at: told.at } : null;
};

/** @param {View} view */
const passedOf = (view) => {
  const entry = entriesOf(view.inJob('pass')).at(-1);
  if (!entry) return null;
  const { kind, value, who } = entry;
  if (kind === 'pass-on') return { to: said(value.to) ? value.to : null, received: false, who };
  return { to: who, received: true, who };
};

/** @param {View} view @param {Entry} entry */
const isGone = (view, entry, current) => {
  const { kind, part, step } = entry;
  if (kind === 'read' || (kind === 'settle' && !step)) return !Object.hasOwn(view.values, part);
  if (kind === 'count' || kind === 'put-back') return !Object.hasOwn(view.items, part);
  const onStep = kind === 'back' || (SLOTS[kind] !== null && SLOTS[kind](entry)[0] !== '');
  return onStep && !current.has(step);
};

const isPaths = (list) => Array.isArray(list) && textsOf(list).length === list.length;

// True for an answer to a part that the step no longer has, or with a value that its kind cannot have.
/** @param {View} view @param {Entry} entry */
const isMisplaced = (view, { kind, part, step, value }) => {
  if ((kind === 'check' || kind === 'settle') && step) {
    return part !== '' && !view.steps[homeOf(view, step)].of.includes(part);
  }
  if (kind === 'back') return !isPaths(value.disturbs) || !isPaths(value.rest);
  if (kind === 'correct') return !Object.hasOwn(CORRECTABLE, part);
  return kind === 'confirm' && !step && !SECTIONS.some((section) => section === part);
};

/** @param {Entry[]} entries */
const ids = (entries) => entries.map(({ id }) => id);

// List the entries that count for nothing, by reason and in order. None is ever dropped.
/** @param {View} view */
const sortOut = (view) => {
  const { entries } = view.gathered;
  const current = new Set([...view.home.keys(), ...Object.keys(view.steps)]);
  const gone = entries.filter((entry) => isKnown(entry) && isGone(view, entry, current));
  const isOff = new Set(gone);
  for (const entry of entries) {
    if (isKnown(entry) && !isOff.has(entry) && view.isAlive(entry) && isMisplaced(view, entry)) view.inert.add(entry);
  }
  const times = new Map();
  for (const { id } of entries) times.set(id, (times.get(id) ?? 0) + 1);
  const offIds = new Set(ids(gone));
  return {
    departures: ids(entries.filter((entry) => view.departures.has(entry))),
    gone: ids(gone),
    unknown: ids(entries.filter((entry) => !isKnown(entry))),
    clashes: [...times.keys()].filter((id) => times.get(id) > 1),
    inert: ids(entries.filter((entry) => view.inert.has(entry) && !offIds.has(entry.id))),
  };
};

/** @param {View} view */
const stateOf = (view, extras) => {
  const order = orderOf(view);
  const open = stillOpen(view);
  const completion = stepsOf(view).filter((step) => step.completion);
  return {
    sheet: view.digest,
    job: jobOf(view),
    order,
    next: nextOf(view, order),
    steps: view.steps,
    items: view.items,
    open: Object.values(view.items).reduce((sum, item) => sum + item.open, 0),
    lists: dict(listsOf(view.trade).map((list) => [list, { open: open.filter((name) => isOn(view, name, list)) }])),
    bolts: boltLists(view),
    values: view.values,
    readings: view.readings,
    results: view.results,
    ready: preparation(view),
    extras,
    declined: declinedOf(view),
    passed: passedOf(view),
    complete: completion.length > 0 && completion.every(({ path }) => view.steps[path].state === 'done'),
    ...Object.keys(view.corrected).length ? { corrected: view.corrected } : {},
    ...sortOut(view),
  };
};

/** @param {View} view */
const read = (view) => {
  readJob(view);
  readValues(view);
  work(view);
  return view;
};

/** @param {View} view @param {Walk} walk */
const walked = (view, walk) => {
  walkOlder(walk, '');
  for (const step of stepsOf(view)) walkStep(view, walk, step);
  return walk;
};

// The job as one of its older worksheets judges it, alone.
/** @param {View} view @param {string} digest */
const judgedBy = (view, digest) => {
  const then = read(look(withoutOthers(view, digest), view.sheets, digest));
  walked(then, newWalk(null));
  return then;
};

// What people say is back of the things that the phone asks about.
/** @param {View} view @param {Lots} ledger @returns {Map<string,BackSaid>} */
const wordsOf = (view, ledger) => {
  const names = new Set(ledger.lots.filter((lot) => isAsked(ledger, lot)).map(({ what }) => what));
  const words = [...names].map((name) => /** @type {[string, BackSaid|null]} */ ([name, putBack(view, name)]));
  return new Map(words.filter(([, word]) => word !== null));
};

// Walk the steps, with what older worksheets add. What people say is back is known only after a first walk.
/** @param {View} view */
const walkOverOlder = (view) => {
  const judged = new Map();
  const older = olderOf(view, (digest) => {
    if (!judged.has(digest)) judged.set(digest, judgedBy(view, digest));
    return judged.get(digest);
  });
  if (older === null) return walked(view, newWalk(null));
  const [inert, departures] = [new Set(view.inert), new Set(view.departures)];
  const walk = walked(view, newWalk(older));
  const allowed = allowances(walk.ledger.lots, wordsOf(view, walk.ledger));
  if (allowed.size === 0) return walk;
  view.inert = inert;
  view.departures = departures;
  return walked(view, newWalk(older, newLedger(allowed), wordsOf(view, walk.ledger)));
};

/**
 * judge(gathered, sheets) -> the state of docs/format.md. sheets: {digest: parsed sheet.json}. Never throws.
 * @param {Gathered} gathered
 * @param {Names<Sheet>} sheets
 * @returns {State}
 */
export const judge = (gathered, sheets) => {
  const view = read(look(gathered, sheets));
  const extras = extrasOf(view);
  const walk = walkOverOlder(view);
  askGatesAgain(view, walk);
  askCompletion(view);
  return stateOf(view, extras);
};

/**
 * fold(entries, sheets) -> judge(gather(entries), sheets).
 * @param {Entry[]} entries
 */
export const fold = (entries, sheets) => judge(gather(entries), sheets);
