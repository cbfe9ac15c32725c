// Walks the steps in the order of work: what each must wait for, what is open at its place, which gates ask again. The
// same table as generator/journal/walk.py.

import { said } from './answers.js';
import { corrected, isOn } from './bolts.js';
import { after, found } from './entries.js';
import { ownResults } from './figures.js';
import { putBack } from './left.js';
import { contradictedBy } from './ready.js';
import { answeredLast, judgeStep, once, pullsOf } from './step.js';
import { CLOSED, RULE_OF_SECTION } from './tables.js';
import { entriesOf } from './view.js';

/** @param {Map<string,Left[]>} behind @returns {Walk} */
export const newWalk = (behind) => ({
  stage: 0,
  hold: null, // the first hold that is not passed
  before: null, // the first step of an earlier stage that is not closed
  beforeBound: null, // the same, only of stages whose order nobody may leave
  inside: null, // the first step of this stage that is not closed
  last: null, // the newest answer so far
  lastStep: '',
  found: new Map(), // step -> what it found
  stranded: new Set(), // items opened by steps that are no longer needed
  open: new Map(),
  departs: new Map(), // step -> the rules that somebody departed from at it
  behind, // what steps that are gone did, by the step before
  left: new Map(), // item -> how many only a person's word can close
  back: new Map(), // item -> the entry that says it is back
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

/**
 * What of these items keeps a gate shut.
 * @param {View} view
 * @param {Gate} gate
 * @param {string[]} names
 */
export const openWhys = (view, gate, names) => {
  const ofKind = names.filter((name) => gate.kinds.includes(view.items[name].kind)).sort();
  /** @type {Why[]} */
  const whys = ofKind.length ? [{ code: 'open', items: ofKind }] : [];
  for (const list of gate.lists) {
    const items = names.filter((name) => isOn(view, name, list)).sort();
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
  const names = [...walk.open].filter(([, count]) => count > 0);
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

/** @param {View} view @param {Walk} walk @param {Step} step */
const openItems = (view, walk, step, needed) => {
  for (const { what, count } of step.opens) {
    walk.open.set(what, (walk.open.get(what) ?? 0) + corrected(view, what, count));
    if (!needed) walk.stranded.add(what);
  }
};

/** @param {View} view @param {Walk} walk @param {{ closes: Moved[] }} step */
const closeItems = (view, walk, step) => {
  for (const { what, count } of step.closes) {
    const had = walk.open.get(what) ?? 0;
    walk.open.set(what, Math.max(0, had - (count === null ? had : corrected(view, what, count))));
    walk.left.set(what, Math.min(walk.left.get(what) ?? 0, walk.open.get(what)));
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
  if (state === 'done') closeItems(view, walk, step);
};

/** @param {View} view @param {Walk} walk @param {Left} moved */
const openLeft = (view, walk, { what, count: opened, answers }) => {
  const told = putBack(view, what);
  let count = corrected(view, what, opened);
  walk.stranded.add(what);
  if (told && answers.every((entry) => after(told.entry, entry))) {
    walk.back.set(what, told.entry);
    count = Math.max(0, count - told.count);
  }
  walk.open.set(what, (walk.open.get(what) ?? 0) + count);
  walk.left.set(what, (walk.left.get(what) ?? 0) + count);
};

/**
 * Open and close what steps of older worksheets did after this one, less what somebody says is back.
 * @param {View} view
 * @param {Walk} walk
 */
export const walkBehind = (view, walk, anchor) => {
  for (const moved of walk.behind.get(anchor) ?? []) {
    if (!Object.hasOwn(view.items, moved.what)) continue; // it is only closed; nothing that counts opened it
    if (moved.opens) openLeft(view, walk, moved);
    else closeItems(view, walk, { closes: [moved] });
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
  walkBehind(view, walk, step.path);
};
