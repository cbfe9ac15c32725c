// What older steps opened and the worksheet in use no longer has. It stays open until a step closes it, or a person
// says what became of it. The same table as generator/journal/left.py. A job that never changed its worksheet has none
// of this.

import { isFailure, isWhole, partsOf, said } from './answers.js';
import { after, answeredIn } from './entries.js';
import { entriesOf, readCount } from './view.js';

const names = (moved, what) => moved.some((one) => one.what === what);

// {digest of another worksheet at hand: the steps that were answered on it}.
/** @param {View} view */
const answeredElsewhere = (view) => {
  const paths = new Map();
  for (const { kind, sheet, step } of view.sheet ? view.gathered.entries : []) {
    if (kind !== 'check' || sheet === view.digest || !Object.hasOwn(view.sheets, sheet)) continue;
    if (!paths.has(sheet)) paths.set(sheet, new Set());
    paths.get(sheet).add(step);
  }
  return paths;
};

// The answered steps of an older worksheet that opened or closed what their present steps do not.
/** @param {View} view @param {Sheet} sheet @param {Set<string>} paths */
const lostOf = (view, sheet, paths) => {
  let anchor = '';
  return sheet.steps.flatMap((step) => {
    const present = view.byPath.get(view.home.get(step.path)) ?? null;
    anchor = present?.path ?? anchor;
    if (!paths.has(step.path)) return [];
    const opens = step.opens.filter(({ what }) => !(present && names(present.opens, what)));
    const closes = step.closes.filter(({ what }) => !(present && names(present.closes, what)));
    return opens.length || closes.length ? [{ anchor, step, opens, closes }] : [];
  });
};

// The answers of a step that stand or were corrected, given on a worksheet where `did` is true of it.
/** @param {View} view @param {Step} step */
const answersOf = (view, step, did) => {
  const parts = new Set([...partsOf(step.check, {}), '']);
  const paths = view.pathsOf(view.home.get(step.path) ?? step.path);
  return [...parts].flatMap((part) => answeredIn(view.gathered, view.undone, paths, part)).filter((entry) => {
    const then = view.stepAsAnswered(entry);
    return entry.kind === 'check' && then !== null && did(then);
  });
};

// True if every part was answered, and no last answer is a failure.
/** @param {Step} step @param {Entry[]} answers */
const isWholeStep = ({ check }, answers) => {
  const last = new Map();
  for (const entry of answers) {
    if (!last.has(entry.part) || after(entry, last.get(entry.part))) last.set(entry.part, entry);
  }
  const isFailed = [...last.values()].some(({ value }) => isFailure(check, value));
  return !isFailed && partsOf(check, {}).every((part) => last.has(part));
};

/** @param {View} view @param {Sheet} sheet */
const declare = (view, sheet, what) => {
  if (Object.hasOwn(view.items, what)) return;
  view.items[what] = { ...sheet.items[what], open: 0 };
  readCount(view, what);
};

/**
 * leftBehind(view) -> Map {the last earlier step that is still there, or '': [{what, opens, count, answers}]}: what
 * steps of older worksheets opened or closed. Adds its items to those in view.
 * @param {View} view
 */
export const leftBehind = (view) => {
  const found = new Map();
  for (const [digest, paths] of answeredElsewhere(view)) {
    const sheet = view.sheets[digest];
    for (const { anchor, step, opens, closes } of lostOf(view, sheet, paths)) {
      for (const { what, count } of opens) {
        const answers = answersOf(view, step, (then) => names(then.opens, what));
        if (!answers.length) continue;
        declare(view, sheet, what);
        found.set(JSON.stringify([step.path, what, true]), { anchor, moved: { what, opens: true, count, answers } });
      }
      for (const { what, count } of closes) {
        const answers = answersOf(view, step, (then) => names(then.closes, what));
        if (!isWholeStep(step, answers)) continue;
        found.set(JSON.stringify([step.path, what, false]), { anchor, moved: { what, opens: false, count, answers } });
      }
    }
  }
  const byAnchor = new Map();
  for (const { anchor, moved } of found.values()) byAnchor.set(anchor, [...byAnchor.get(anchor) ?? [], moved]);
  return byAnchor;
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
