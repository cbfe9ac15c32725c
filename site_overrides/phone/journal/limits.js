// What can't have been read or set: figures outside their limits, sources that name no place. The values of an older
// worksheet have no limits; what was read on it still counts. The same table as generator/journal/limits.py.

import { dict, own } from '../base/own.js';
import { NEAR } from '../quantities/nearness.js';
import { quantityOf, stagesOf } from '../quantities/quantity.js';
import { said } from './answers.js';
import { figureBase } from './figures.js';
import { seenLetters } from './people.js';
import { LEAST_SAID } from './tables.js';

const isNumber = (number) => typeof number === 'number';

/** True if the text has at least so many letters or digits that a person can see. */
export const says = (text, least) => typeof text === 'string' && seenLetters(text).length >= least;

/**
 * Do document and place both say something?
 * @param {unknown} source
 */
export const saysWhere = (source) => (
  says(own(source, 'document'), LEAST_SAID.document) && says(own(source, 'where'), LEAST_SAID.where)
);

/**
 * True if a figure in base units is possible. `limit` is the worksheet's: {low, high, above, whole} in base units.
 * @param {number} base
 * @param {Limits} limits
 */
export const isWithin = (base, { low, high, above, whole }) => {
  // Each end forgives the noise of its own conversion: a billionth of the top is much beside a bottom of zero.
  const [below, beyond] = [NEAR * Math.abs(low), NEAR * Math.abs(high)];
  if (base > high + beyond || base < low - below || (above && base <= low + below)) return false;
  return !whole || Math.abs(base - Math.floor(base + 0.5)) <= NEAR * Math.max(1, Math.abs(base));
};

// The figures of `12 N.m then 90 deg`, or none if the text is words.
const figuresIn = (text) => (typeof text === 'string' ? stagesOf(text) : [])
  .map(quantityOf)
  .filter((read) => read !== null)
  .map(({ figure, unit }) => [figure, unit]);

// A figure of another kind, like the angle after a torque, must only be above 0, and only if the limits begin above
// their low end.
/** @param {Names<Unit>} units @param {Value} given @returns {(figure: any[]) => boolean} */
const canBe = (units, { limits, kind }) => ([number, unit]) => {
  if (limits === null) return true;
  const base = figureBase(units, number, unit, kind);
  if (base !== null) return isWithin(base, limits);
  return Number.isFinite(number) && (number > 0 || !limits.above);
};

/**
 * True if this figure, and what its text says besides, is possible. `given` is the worksheet's value, with limits.
 * @param {Names<Unit>} units
 * @param {Value} given
 * @param {Said} value
 */
export const isPossible = (units, given, { number, unit, text }) => {
  if (isNumber(number) && given.limits !== null) {
    const base = figureBase(units, number, typeof unit === 'string' ? unit : '', given.kind);
    if (base === null || !isWithin(base, given.limits)) return false;
  }
  return figuresIn(text).every(canBe(units, given));
};

/**
 * True if the value is possible and its source names a place. `given` is the worksheet's value.
 * @param {Names<Unit>} units
 * @param {Value} given
 * @param {Said} value
 */
export const isCredible = (units, given, value) => {
  if (!Object.hasOwn(given, 'limits')) return true;
  if (value.not_published !== true && !saysWhere(value.source)) return false;
  return isPossible(units, given, value);
};

/**
 * True if a bolt can be set to this. A critical bolt needs the setting; an impossible one never counts.
 * @param {Sheet} sheet
 * @param {Check} check
 * @param {Said} value
 */
export const isPull = (sheet, { fastener, value: name }, { set }) => {
  if (fastener === 'critical' && !said(set)) return false;
  const given = own(sheet?.values, name) ?? {};
  return !Object.hasOwn(given, 'limits') || figuresIn(set).every(canBe(own(sheet, 'units') ?? dict(), given));
};
