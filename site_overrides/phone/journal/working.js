// What was read and found, and what is worked out from it: once for each fold, before the walk through the steps. The
// same table as generator/journal/working.py. It looks at which answers stand, never at the state of a step.

import { dict, own } from '../base/own.js';
import { inCalendar } from '../quantities/dates.js';
import { NEEDLE, shown } from '../quantities/formula.js';
import { workOut } from '../quantities/results.js';
import { ground, halfDivision, told } from '../quantities/told.js';
import { after } from './entries.js';
import { below, givenBases, marginBase, readingBase, takesOf, typedIn, valueBase } from './figures.js';
import { homeOf } from './step.js';
import { WORKED_OUT } from './tables.js';


/** @param {View} view @param {string} name @param {Entry} entry */
const takenFrom = (view, name, entry) => {
  const { value: { number, unit }, who, at, id, step } = entry;
  return { number, unit, base: readingBase(view.sheet, name, entry.value), step: homeOf(view, step), who, at, id };
};

// Each reading as it stands. If several steps take it, the newest answer counts; disputed, it is unknown.
/** @param {View} view */
const readingsOf = (view) => {
  const newest = new Map();
  for (const step of view.sheet.steps) {
    for (const [name, part] of takesOf(step.check)) {
      const told = view.inStep(view.pathsOf(step.path), `part:${part}`);
      const sound = told.answers.filter(({ kind, entry }) => (
        kind === 'check' && readingBase(view.sheet, name, entry.value) !== null
      )).map(({ entry }) => entry);
      if (!sound.length || (newest.has(name) && !after(sound.at(-1), view.takenBy.get(name)))) continue;
      view.takenBy.set(name, sound.at(-1));
      newest.set(name, told.disputed ? null : takenFrom(view, name, sound[0]));
    }
  }
  return dict(Object.keys(view.sheet.readings).map((name) => [name, newest.get(name) ?? null]));
};

// {step: its outcome} for steps where one answer stands.
/** @param {View} view */
const foundOf = (view) => {
  const found = dict();
  for (const { path, check } of view.sheet.steps) {
    if (check.kind !== 'inspect') continue;
    const told = view.inStep(view.pathsOf(path), 'part:');
    for (const { kind, entry } of told.disputed ? [] : told.answers) {
      const { outcome } = entry.value;
      if (kind !== 'check' || !check.outcomes.some(({ name }) => name === outcome)) continue;
      found[path] = outcome;
      view.takenBy.set(`step:${path}`, entry);
    }
  }
  return found;
};

// Everything that is known, in base units.
/** @param {View} view */
const namesOf = (view) => {
  const { sheet, values, readings } = view;
  const bases = new Map(givenBases(sheet, view.start));
  for (const [name, given] of Object.entries(sheet.values)) {
    bases.set(name, valueBase(sheet.units, given, values[name]));
    bases.set(`${name}.tolerance`, marginBase(sheet.units, given, values[name]));
  }
  for (const [name, reading] of Object.entries(readings)) {
    bases.set(name, reading?.base ?? null);
    bases.set(name + NEEDLE, reading ? halfDivision(sheet.readings[name], reading.unit, sheet.units) : null);
  }
  return dict([...bases].filter(([, base]) => base !== null));
};

// Text and number of a result in its unit, as it is told.
/** @param {number} base @param {Unit} unit @param {Result} result @param {View} view */
const figureOf = (base, unit, { name, unit: of }, { sheet, results, readings, values }) => {
  if (typeof base === 'boolean' || !unit) return null;
  if (unit.kind === 'date') return inCalendar(base) ? { text: shown(base, unit), number: base } : null;
  if (!Number.isFinite(base / unit.scale - unit.offset)) return null;
  const text = told(name, of, ground(sheet, results, typedIn(sheet, readings, values)));
  return { text: of ? `${text} ${of}` : text, number: Number(text) };
};

// Treat the filled value as read when its newest input was: steps answered before that must be done again.
/** @param {View} view @param {Result} result */
const askAgain = (view, result) => {
  const known = new Map([...view.readBy, ...view.takenBy]);
  for (const name of below(view.sheet, result)) {
    const entry = known.get(name);
    const held = view.readBy.get(result.fills);
    if (entry && (!held || after(entry, held))) view.readBy.set(result.fills, entry);
  }
};

// Fill a value that the engine sheet lacks and nobody has read, unless it waits for a second reader.
/** @param {View} view @param {Result} result */
const fill = (view, result) => {
  const [value, worth] = [view.values[result.fills], view.results[result.name]];
  if (!value.missing || value.disputed || value.waits || !worth.known || worth.bad) return false;
  const figure = figureOf(worth.base, own(view.sheet.units, result.unit), result, view);
  if (!figure) return false;
  const source = { document: WORKED_OUT, where: result.label };
  Object.assign(value, { ...figure, unit: result.unit, source, missing: false, filled: true });
  askAgain(view, result);
  return true;
};

// Work out the results, again as long as they fill values that other results may use.
/** @param {View} view */
const workOutAll = (view, names, found) => {
  const { results, tables } = view.sheet;
  let filled = true;
  while (filled) {
    view.results = workOut(results, names, found, tables);
    filled = false;
    for (const result of results) {
      if (result.fills === null || !Object.hasOwn(view.values, result.fills) || !fill(view, result)) continue;
      names[result.fills] = view.results[result.name].base;
      filled = true;
    }
  }
};

/**
 * Puts readings and results into the view, and the values that results fill.
 * @param {View} view
 */
export const work = (view) => {
  const { sheet } = view;
  if (!sheet?.units) return;
  view.readings = readingsOf(view);
  if (sheet.results?.length) workOutAll(view, namesOf(view), foundOf(view));
};
