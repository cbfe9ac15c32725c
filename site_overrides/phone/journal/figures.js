// Numbers with their units, by the worksheet's own table of units. And which results depend on a step's own answer. The
// same table as generator/journal/figures.py. base = (number + offset) * scale.

import { own } from '../base/own.js';
import { DAY_MS, inCalendar, phoneMs, saidDay } from '../quantities/dates.js';
import { isShort, quantityOf } from '../quantities/quantity.js';
import { rulesOf, said } from './answers.js';
import { GAUGES } from './tables.js';

export const ODOMETER = /^[0-9]{1,9}(?:[.,][0-9]{1,2})?$/;

const decimal = (text) => Number(text.replace(',', '.'));

/**
 * A number in base units. null if the unit is not of this kind, or the date not in the calendar.
 * @param {Names<Unit>} units
 */
export const baseOf = (units, number, unit, kind) => {
  const of = own(units, unit);
  if (!of || of.kind !== kind || typeof number !== 'number') return null;
  const base = (number + of.offset) * of.scale + 0;
  return Number.isFinite(base) && (kind !== 'date' || inCalendar(base)) ? base : null;
};

/**
 * What was read, in base units. null if it is not a number of the reading's kind.
 * @param {Sheet} sheet
 * @param {string} name
 * @param {Said} value
 */
export const readingBase = (sheet, name, value) => {
  const reading = own(sheet.readings, name);
  return sheet.units && reading ? baseOf(sheet.units, value.number, value.unit, reading.kind) : null;
};

/**
 * True if a measured figure counts: its unit is of the reading's kind, or the worksheet knows no kind for it.
 * @param {Sheet} sheet
 * @param {string} name
 * @param {Said} value
 */
export const counts = (sheet, name, value) => {
  if (sheet.units && own(sheet.readings, name)) return readingBase(sheet, name, value) !== null;
  return typeof value.number === 'number' && said(value.unit);
};

/**
 * A figure of a value in base units. null if it is not of the value's kind.
 * @param {Names<Unit>} units
 */
export const figureBase = (units, number, unit, kind) => {
  const of = kind === 'count' ? 'number' : kind;
  return baseOf(units, number, unit, of) ?? baseOf(units, number, unit + (own(GAUGES, of) ?? ''), of);
};

/** @param {Names<Unit>} units @param {ValueState} state @param {string} kind */
const readBase = (units, { number, unit, text }, kind) => {
  if (number !== null) return figureBase(units, number, unit, kind);
  const told = quantityOf(text);
  return told && isShort(told) ? figureBase(units, told.figure, told.unit, kind) : null;
};

/**
 * What formulas use for a value: the worksheet's number, or what was read on the phone as number or text.
 * @param {Names<Unit>} units
 * @param {Value} given
 * @param {ValueState} state
 */
export const valueBase = (units, given, state) => {
  if (state.missing) return null;
  if (state.filled) return readBase(units, state, given.kind);
  const kind = given.kind === 'count' ? 'number' : given.kind;
  return given.number ? baseOf(units, given.number.number, given.number.unit, kind) : null;
};

const stated = ({ number }) => (number ? [number.number, number.unit] : [null, null]);

/**
 * What looks a name up: the figure and unit in which a reading or a value was typed or stated, {number, unit} or null.
 * readings, values: as they stand in the state of a job.
 * @param {Sheet} sheet @param {Names<any>} readings @param {Names<any>} values
 */
export const typedIn = (sheet, readings, values) => (name) => {
  const [reading, state, given] = [own(readings, name), own(values, name), own(sheet.values, name)];
  if (reading) return { number: reading.number, unit: reading.unit };
  if (!state || !given || state.missing) return null;
  let [number, unit] = state.filled ? [state.number, state.unit] : stated(given);
  const text = number === null && state.filled ? quantityOf(state.text) : null;
  if (text && isShort(text)) [number, unit] = [text.figure, text.unit];
  if (own(sheet.units, unit)?.kind !== given.kind) unit = `${unit ?? ''}${own(GAUGES, given.kind) ?? ''}`;
  return number !== null && own(sheet.units, unit) ? { number, unit } : null;
};

/**
 * The tolerance in base units: the worksheet's, or the one read with the value. Its kind may differ from the value's: K
 * for a temperature.
 * @param {Names<Unit>} units
 * @param {Value} given
 * @param {ValueState} state
 */
export const marginBase = (units, given, state) => {
  const margin = state.missing ? null : state.filled ? state.margin : given.margin;
  const of = margin ? own(units, margin.unit) : null;
  return of ? baseOf(units, margin.number, margin.unit, of.kind) : null;
};

/** @param {Names<Unit>} units */
const odometerBase = (units, told) => {
  const { number, unit } = told ?? {};
  const figure = typeof number === 'string' && ODOMETER.test(number) ? decimal(number) : number;
  return baseOf(units, figure, unit, 'distance');
};

/**
 * The day on which a job was started, as the shop's clocks had it. Older phones did not write it: of their jobs it is the
 * day in UTC. null if `at` is no time.
 * @param {string} at
 * @param {Said} value
 */
export const jobDay = (at, value) => {
  const began = phoneMs(at);
  return began === null ? null : saidDay(value.local?.day, began) ?? Math.floor(began / DAY_MS);
};

/**
 * What the shop and the job give: [[name, base or null]]. start: the entry that started the job, or undefined.
 * @param {Sheet} sheet
 * @param {Entry} start
 * @returns {[string, any][]}
 */
export const givenBases = (sheet, start) => {
  /** @type {[string, any][]} */
  const shop = Object.entries(sheet.givens ?? {}).map(([name, { number, unit, kind }]) => (
    [name, baseOf(sheet.units, number, unit, kind)]
  ));
  if (!start) return shop;
  return [...shop, ['odometer', odometerBase(sheet.units, start.value.odometer)], ['today', jobDay(start.at, start.value)]];
};

/**
 * The readings that a check-off takes, each with the part that takes it: [[name, part]].
 * @param {Check} check
 */
export const takesOf = (check) => rulesOf(check).takes(check);

/**
 * The results that depend on what this step takes or finds, directly or through other results.
 * @param {Sheet} sheet
 * @param {Step} step
 */
export const ownResults = (sheet, { path, check }) => {
  const met = new Set([`step:${path}`, ...takesOf(check).map(([name]) => name)]);
  const names = new Set();
  for (const { name, inputs } of sheet.results ?? []) {
    if (!inputs.some((input) => met.has(input))) continue;
    met.add(name);
    names.add(name);
  }
  return names;
};

/**
 * Everything that a result is worked out from, through all results between.
 * @param {Sheet} sheet
 * @param {Result} result
 */
export const below = (sheet, result) => {
  const inputs = new Map(sheet.results.map((other) => [other.name, other.inputs]));
  const met = new Set(result.inputs);
  for (const name of met) for (const input of inputs.get(name) ?? []) met.add(input);
  return met;
};

/**
 * The results that stop a step from being closed: not known yet, or bad.
 * @param {Names<ResultState>} results
 * @param {Step} step
 */
export const heldBy = (results, { holds }) => (holds ?? []).filter((name) => {
  const worth = own(results, name);
  return !worth || worth.bad || !worth.known;
});
