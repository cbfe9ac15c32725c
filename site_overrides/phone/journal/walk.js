// Walks the steps in the order of work: what each must wait for, what is open at its place, which gates ask again. The
// same table as generator/journal/walk.py.

import { said } from './answers.js';
import { corrected, isOn } from './bolts.js';
import { after, found } from './entries.js';
import { ownResults } from './figures.js';
import { wholeCount } from './opened/claims.js';
import { closeLots, closeWherever, couldClose, lotsOf, newLedger, openLot, openOf } from './opened/ledger.js';
import { covers, rootOf } from './opened/left.js';
import { contradictedBy } from './ready.js';
import { answeredLast, judgeStep, once, pullsOf } from './step.js';
import { CLOSED, RULE_OF_SECTION } from './tables.js';
import { entriesOf } from './view.js';

/** @param {Older|null} older @param {Lots} ledger @param {Map<string,BackSaid>} words @returns {Walk} */
export const newWalk = (older, ledger = newLedger(), words = new Map()) => ({
  stage: 0,
  hold: null, // the first hold that is not passed
  before: null, // the first step of an earlier stage that is not closed
  beforeBound: null, // the same, only of stages whose order nobody may leave
  inside: null, // the first step of this stage that is not closed
  last: null, // the newest answer so far
  lastStep: '',
  found: new Map(), // step -> what it found
  stranded: new Set(), // items opened by steps that are no longer needed
  ledger,
  departs: new Map(), // step -> the rules that somebody departed from at it
  older, // what older worksheets add; null: the job has had one only
  words, // item -> how many are back, and the entry that says so
  back: new Map(), // item -> the entry that closed some of it here
});

/** @param {View} view @param {number} stage */
const orderOf = (view, stage) => view.sheet.stages.at(stage).order;

/** @param {View} view @param {Walk} walk @param {Step} step */
const enterStage = (view, walk, { stage }) => {
  if (stage === walk.stage) return;
  if (orderOf(view, walk.stage) === 'absolute') walk.beforeBound ??= walk.inside;
  walk.before ??= walk.inside;
  walk.stage = stage;
  walk.inside = null;
};

/** @param {View} view @param {Step} step @param {string} part @param {string} bound */
const mayDepart = (view, step, part, bound) => {
  const [rule] = part.split(':', 1);
  if (step.gate?.ready) {
    const name = part.slice(rule.length + 1);
    const isIn = ([section, of]) => of === rule && Object.hasOwn(view.sheet?.needs[section] ?? {}, name);
    return Object.entries(RULE_OF_SECTION).some(isIn);
  }
  if (step.hold || step.gate) return false;
  if (rule === 'value') return (view.classes.get(part.slice(6)) ?? 'critical') !== 'critical';
  return (part === 'order' && !bound) || Object.values(RULE_OF_SECTION).includes(rule);
};

// The rules that somebody departed from at this step: order, tool:<id>, part:<id>, value:<name>.
/** @param {View} view @param {Step} step */
const departsOf = (view, step, bound) => {
  const paths = view.pathsOf(step.path);
  const entries = paths.flatMap((path) => found(view.gathered, 'step', path)).filter(({ kind }) => kind === 'depart');
  const left = new Set();
  for (const part of new Set(entries.map((entry) => entry.part))) {
    const told = view.inStep(paths, `depart:${part}`);
    const isSound = ({ value }) => mayDepart(view, step, part, bound) && said(value.reason);
    for (const entry of entriesOf(told)) (isSound(entry) ? view.departures : view.inert).add(entry);
    if (!told.disputed && entriesOf(told).some(isSound)) left.add(part);
  }
  return left;
};

/** @param {View} view @param {string} path */
export const isNotClosed = (view, path) => Object.hasOwn(view.steps, path) && !CLOSED.has(view.steps[path].state);

/** @param {View} view @param {Walk} walk @param {Step} step @param {boolean} binds */
const blocksOf = (view, walk, step, binds) => {
  /** @type {Why[]} */
  const whys = walk.hold ? [{ code: 'hold', step: walk.hold }] : [];
  const waitsForAll = step.hold || Boolean(step.gate);
  const first = walk.before ?? (waitsForAll || orderOf(view, step.stage) !== 'any' ? walk.inside : null);
  if (first && first !== walk.hold && binds) whys.push({ code: 'order', step: first });
  for (const path of [...step.after, ...step.check.of ?? []]) {
    if (isNotClosed(view, path)) whys.push({ code: 'after', step: path });
  }
  return once(whys);
};

// A thing as the worksheet in use has it, and as those had it that opened it.
/** @param {View} view @param {string} name */
const asKnown = (view, name) => [view.items[name], ...view.wasKinds.get(name) ?? []];

/**
 * What of these items keeps a gate shut. A thing also is of the kind and on the list as it was opened.
 * @param {View} view
 * @param {Gate} gate
 * @param {string[]} names
 */
export const openWhys = (view, gate, names) => {
  const ofKind = names.filter((name) => asKnown(view, name).some(({ kind }) => gate.kinds.includes(kind))).sort();
  /** @type {Why[]} */
  const whys = ofKind.length ? [{ code: 'open', items: ofKind }] : [];
  for (const list of gate.lists) {
    const isAt = (name) => isOn(view, name, list) || asKnown(view, name).some((one) => one.list === list);
    const items = names.filter(isAt).sort();
    if (items.length) whys.push({ code: 'list', list, items });
  }
  return whys;
};

/** @param {Walk} walk @returns {Why[]} */
const unclosedBefore = ({ before, inside }) => (before ?? inside ? [{ code: 'order', step: before ?? inside }] : []);

/** @param {View} view @param {Walk} walk @param {Step} step @param {Judged} judged @returns {Why[]} */
const openBefore = (view, walk, { gate }, { marks }) => {
  const passed = new Set(marks.map(({ answer }) => answer.entry.id));
  const unseen = [...view.tookOff].filter(([path, { seen }]) => (
    view.items[path].open > 0 && !seen.some((id) => passed.has(id))
  ));
  const names = [...openOf(walk.ledger)].filter(([, count]) => count > 0);
  return openWhys(view, gate, [...names, ...unseen].map(([name]) => name));
};

// Every part of a gate is answered after everything before it.
/** @param {Walk} walk @param {Judged} judged @returns {Why[]} */
const answeredAfter = ({ last, lastStep }, { marks, seen }) => {
  const isLate = (part) => !marks.some((mark) => mark.part === part && after(mark.answer.entry, last));
  return last && seen.of.some(isLate) ? [{ code: 'again', step: lastStep }] : [];
};

// A gate is answered after somebody said that a thing it asks about is back.
/** @param {View} view @param {Walk} walk @param {Step} step @param {Judged} judged @returns {Why[]} */
const backAfter = (view, { back }, { path, gate }, { marks }) => {
  const asked = [...back].filter(([name]) => openWhys(view, gate, [name]).length).map(([, entry]) => entry);
  const isLate = asked.some((entry) => marks.some(({ answer }) => after(entry, answer.entry)));
  return isLate ? [{ code: 'again', step: path }] : [];
};

// The results that hold a step; one that hangs on its own answer is not missed before that is given.
/** @param {View} view @param {Step} step @param {Judged} judged @returns {Why[]} */
const heldWhys = (view, step, { held, marks, seen }) => {
  const isGiven = marks.some(({ part }) => part === seen.of.at(-1));
  const own = isGiven || !held.length ? new Set() : ownResults(view.sheet, step);
  return held.filter((name) => !own.has(name)).map((name) => ({ code: 'result', name }));
};

// Figures that are not good: a good answer says why it is good all the same.
/** @param {Judged} judged @returns {Why[]} */
const doubtsOf = ({ doubts }) => doubts.map((name) => ({ code: 'doubt', name }));

// The state of a step at its place in the work, and the reasons.
/**
 * @param {View} view
 * @param {Walk} walk
 * @param {Step} step
 * @param {Judged} judged
 * @param {boolean} needed
 * @param {boolean} binds
 * @returns {{ state: StateName, why: Why[] }}
 */
const placed = (view, walk, step, judged, needed, binds) => {
  const blocks = blocksOf(view, walk, step, binds);
  if (judged.state === null && !needed) {
    const stranded = step.closes.some(({ what }) => walk.stranded.has(what));
    return judged.marks.length || stranded
      ? { state: 'open', why: [{ code: 'not-needed' }] } : { state: 'hidden', why: [] };
  }
  if (judged.state === null) {
    const lacking = judged.unmet.map((name) => /** @type {Why} */ ({ code: 'value', name }));
    return { state: blocks.length ? 'blocked' : 'open', why: [...blocks, ...lacking, ...judged.barred, ...heldWhys(view, step, judged), ...doubtsOf(judged)] };
  }
  if (judged.state === 'done' && step.gate) {
    const denied = step.gate.ready ? contradictedBy(view, walk.departs.get(step.path)) : [];
    const late = answeredAfter(walk, judged);
    const why = [
      ...denied, ...unclosedBefore(walk), ...openBefore(view, walk, step, judged),
      ...late.length ? late : backAfter(view, walk, step, judged),
    ];
    return { state: why.length ? 'recheck' : 'done', why };
  }
  if (judged.state === 'waiting') return { state: judged.state, why: [...heldWhys(view, step, judged), ...doubtsOf(judged)] };
  if (CLOSED.has(judged.state)) return { state: judged.state, why: [] };
  return { state: judged.state, why: [...judged.whys, ...blocks, ...heldWhys(view, step, judged), ...doubtsOf(judged)] };
};

/** @param {Walk} walk */
const openLotOf = (walk, lot) => {
  const back = openLot(walk.ledger, lot);
  if (back > 0) walk.back.set(lot.what, walk.words.get(lot.what).entry);
};

/** @param {Walk} walk @param {OpenedAt} of @param {number} count @param {boolean} isOlder */
const openFrom = (walk, of, count, isOlder) => {
  const { what, path, answers } = of;
  openLotOf(walk, { what, path, isOlder, answers, opened: count, of });
};

// Open so many of a thing: lot by lot, as its paths opened them, and what none of them has at the step itself.
/** @param {View} view @param {Walk} walk @param {Step} step @param {string} what @param {number} count */
const openItem = (view, walk, { path }, what, count) => {
  const { older } = walk;
  const paths = view.pathsOf(path);
  const lots = older?.opened.get(path) ?? [];
  const own = lots.filter((of) => of.what === what && paths.includes(of.path));
  let left = count;
  const shares = own.map((of) => {
    const share = Math.min(of.count, left);
    left -= share;
    return { of, share };
  });
  const [first] = shares;
  if (first) first.share += left; // of an answer that stands at a stop though it was taken back
  else {
    const answers = paths.flatMap((one) => older?.checks.get(one) ?? []);
    openLotOf(walk, { what, path, isOlder: false, answers, opened: left, of: null });
  }
  for (const { of, share } of shares) if (share > 0) openFrom(walk, of, share, false);
};

/** @param {View} view @param {Walk} walk @param {Step} step */
const openItems = (view, walk, step, needed) => {
  for (const { what, count } of step.opens) {
    openItem(view, walk, step, what, corrected(view, what, count));
    if (!needed) walk.stranded.add(what);
  }
};

// Where a step was answered that is done by the worksheet in use.
/** @param {Older} older @param {Judged} judged @returns {At[]} */
const answeredAt = (older, { marks }) => marks.flatMap(({ answer }) => {
  const { entry: last } = answer;
  const used = older.used.get(last.sheet);
  return used?.place.has(last.step) ? [{ used, place: used.place.get(last.step), last, isDone: () => true }] : [];
});

/** @param {At} at @param {string} what */
const closesAt = ({ used, place }, what) => used.sheet.steps.at(place).closes.filter((closed) => closed.what === what);

// Close so many of a thing. What was answered on older worksheets only closes what it could mean there.
/** @param {View} view @param {Walk} walk @param {Step} step @param {Judged} judged @param {string} what @param {number|null} count */
const closeItem = (view, walk, step, judged, what, count) => {
  if (walk.older === null) {
    closeLots(walk.ledger, what, count, () => true);
    return;
  }
  const { older } = walk;
  const here = answeredAt(older, judged);
  const isInUse = here.some(({ used }) => used.digest === view.digest);
  const counts = isInUse ? [] : here.flatMap((one) => closesAt(one, what).filter((closed) => closed.count !== null)
    .map((closed) => wholeCount(view, one.used, what, closed.count)));
  const roots = new Set(view.pathsOf(step.path).map((path) => rootOf(older.roots, path)));
  const elsewhere = [...roots].flatMap((root) => older.answered.get(root) ?? []);
  const at = [...here, ...elsewhere].filter((one) => closesAt(one, what).length);
  const least = count === null ? null : Math.min(count, ...counts);
  closeWherever(walk.ledger, what, least, (lot) => covers(at, lot));
};

/** @param {View} view @param {Walk} walk @param {Step} step @param {Judged} judged @param {StateName} state */
const closeItems = (view, walk, step, judged, state) => {
  for (const { what, count: told } of step.closes) {
    const count = told === null ? null : corrected(view, what, told);
    if (state === 'done') closeItem(view, walk, step, judged, what, count);
    else if (state !== 'hidden') couldClose(walk.ledger, what, count);
  }
};

/** @param {View} view @param {Walk} walk @param {Step} step @param {Judged} judged */
const leaveStep = (view, walk, step, judged, needed) => {
  const { path } = step;
  const { state } = view.steps[path];
  const checks = judged.marks.filter(({ answer }) => answer.kind === 'check');
  walk.found.set(path, new Set(checks.map(({ answer }) => answer.entry.value.outcome)));
  if (!CLOSED.has(state) && state !== 'waiting') walk.inside ??= path;
  if ((step.hold || step.gate) && !CLOSED.has(state)) walk.hold ??= path;
  const last = answeredLast(judged);
  if (last && (walk.last === null || after(last, walk.last))) {
    walk.last = last;
    walk.lastStep = path;
  }
  if (checks.length) openItems(view, walk, step, needed);
  closeItems(view, walk, step, judged, state);
};

/**
 * Open and close what only older worksheets say was opened and closed after this step.
 * @param {Walk} walk
 * @param {string} anchor
 */
export const walkOlder = (walk, anchor) => {
  if (walk.older === null) return;
  for (const opened of walk.older.opened.get(anchor) ?? []) {
    const { what, path, count } = opened;
    const here = lotsOf(walk.ledger, what).filter((lot) => lot.path === path).reduce((sum, lot) => sum + lot.opened, 0);
    if (count <= here) continue;
    walk.stranded.add(what);
    openFrom(walk, opened, count - here, true);
  }
  for (const { what, count, at } of walk.older.closed.get(anchor) ?? []) {
    closeWherever(walk.ledger, what, count, (lot) => covers(at, lot));
  }
};

/**
 * Judges the next step of the work into view.steps. `walk` carries what the steps before it left.
 * @param {View} view
 * @param {Walk} walk
 * @param {Step} step
 */
export const walkStep = (view, walk, step) => {
  enterStage(view, walk, step);
  const bound = walk.beforeBound ?? (orderOf(view, step.stage) === 'absolute' ? walk.inside : null);
  const departs = departsOf(view, step, bound);
  walk.departs.set(step.path, departs);
  const judged = judgeStep(view, step, departs);
  const needed = step.when.every((ask) => ask.outcomes.some((outcome) => walk.found.get(ask.step)?.has(outcome)));
  const binds = bound !== null || !departs.has('order');
  view.steps[step.path] = { ...judged.seen, ...placed(view, walk, step, judged, needed, binds) };
  view.pulls.set(step.path, pullsOf(judged));
  leaveStep(view, walk, step, judged, needed);
  walkOlder(walk, step.path);
};
