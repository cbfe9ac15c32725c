// What can't have been read or set: figures outside their limits, sources that say nothing. A worksheet from before there
// were limits has none on its values; what was read on it counts as it did. The same table as generator/journal/limits.py.

import { dict, own } from '../base/own.js';
import { NEAR } from '../quantities/operators.js';
import { quantityOf, stagesOf } from '../quantities/quantity.js';
import { said } from './answers.js';
import { figureBase } from './figures.js';
import { LEAST_SAID } from './tables.js';

// Letters to the Unicode tables, empty on every screen: the fillers of Hangul.
const UNSEEN = /[\u115f\u1160\u3164\uffa0]/g;

const isNumber = (number) => typeof number === 'number';

/** The letters and digits of a text that somebody can see, in a list. */
export const seenLetters = (text) => text.replace(UNSEEN, '').match(/[\p{L}\p{N}]/gu) ?? [];

/** Has the text at least so many letters or digits that somebody can see? */
export const says = (text, least) => typeof text === 'string' && seenLetters(text).length >= least;

/**
 * Do document and place both say something?
 * @param {unknown} source
 */
export const saysWhere = (source) => (
  says(own(source, 'document'), LEAST_SAID.document) && says(own(source, 'where'), LEAST_SAID.where)
);

/**
 * Can a figure in base units be? `limit` is of a worksheet: {low, high, above, whole} in base units.
 * @param {number} base
 * @param {Limits} limits
 */
export const isWithin = (base, { low, high, above, whole }) => {
  // Each end forgives the noise of its own conversion: a billionth of the top is much beside a bottom of zero.
  const [below, beyond] = [NEAR * Math.abs(low), NEAR * Math.abs(high)];
  if (base > high + beyond || base < low - below || (above && base <= low + below)) return false;
  return !whole || Math.abs(base - Math.floor(base + 0.5)) <= NEAR * Math.max(1, Math.abs(base));
};

// The figures of `12 N.m then 90 deg`; none where it is words.
const figuresIn = (text) => (typeof text === 'string' ? stagesOf(text) : [])
  .map(quantityOf)
  .filter((read) => read !== null)
  .map(({ figure, unit }) => [figure, unit]);

// A figure of another kind, the turn after a torque, is more than nothing wherever the value is.
/** @param {Names<Unit>} units */
/** @param {Names<Unit>} units @returns {(figure: any[]) => boolean} */
const canBe = (units, { limits, kind }) => ([number, unit]) => {
  if (limits === null) return true;
  const base = figureBase(units, number, unit, kind);
  if (base !== null) return isWithin(base, limits);
  return Number.isFinite(number) && (number > 0 || !limits.above);
};

/**
 * Can this figure, with what its text says besides, be? `given` is the worksheet's value, one with limits.
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
 * Can what was read be, and does its source say something? `given` is the worksheet's value.
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
 * A critical bolt says what the wrench was set to; no bolt is set to what can't be.
 * @param {Sheet} sheet
 * @param {Check} check
 * @param {Said} value
 */
export const isPull = (sheet, { fastener, value: name }, { set }) => {
  if (fastener === 'critical' && !said(set)) return false;
  const given = own(sheet?.values, name) ?? {};
  return !Object.hasOwn(given, 'limits') || figuresIn(set).every(canBe(own(sheet, 'units') ?? dict(), given));
};
