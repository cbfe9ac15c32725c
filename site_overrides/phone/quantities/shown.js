// Between base units and what a person types and reads: the same table as generator/quantities/units.py.
// A unit is { kind, scale, offset }, base = (number + offset) * scale.

import { dateText, inCalendar } from './dates.js';
import { NEAR, isNear } from './nearness.js';

// At least so many digits of a number are shown if no step is given. Smaller ones are noise from the conversion.
const DIGITS = 4;
const NOISE = 12;

export const toBase = (number, { scale, offset }) => (number + offset) * scale;
export const fromBase = (base, { scale, offset }) => base / scale - offset;

const TEN = (power) => 10n ** BigInt(power);
const divided = (a, b) => (2n * a + b) / (2n * b); // a half goes up; neither is negative

// A decimal is { whole, power }: whole * 10 ** power.
const decimal = (number, digits) => {
  const [mantissa, power] = number.toExponential(digits).split('e');
  const [first, rest = ''] = mantissa.split('.');
  return { whole: BigInt(first + rest), power: Number(power) - rest.length };
};

// Digits that are shown: nobody reads 118350 km as 118400. `power` is that of a decimal with all digits but the noise.
const digitsOf = (power) => Math.min(NOISE, Math.max(DIGITS, NOISE + power));

const withDigits = ({ whole, power }) => {
  const spare = NOISE - digitsOf(power);
  return { whole: divided(whole, TEN(spare)), power: power + spare };
};

const timesOf = (number, step) => {
  const shift = number.power - step.power;
  return divided(number.whole * TEN(Math.max(shift, 0)), step.whole * TEN(Math.max(-shift, 0)));
};

const steps = (times, step) => ({ whole: times * step.whole, power: step.power });

const text = ({ whole, power }) => {
  if (power >= 0) return `${whole * TEN(power)}`;
  const digits = `${whole}`.padStart(1 - power, '0');
  return `${digits.slice(0, power)}.${digits.slice(power)}`;
};

const withoutZeros = (digits) => (digits.includes('.') ? digits.replace(/\.?0+$/, '') : digits);
const signed = (digits, isNegative) => (isNegative && /[1-9]/.test(digits) ? `-${digits}` : digits);
const sizeOf = (number) => decimal(Math.abs(number), NOISE - 1);

/** A day of the calendar, or the number of a day beyond it. */
export const dayText = (days) => (inCalendar(Math.round(days)) ? dateText(Math.round(days)) : days.toFixed(0));

/** The step to which a number is shown where none is said: stepOf(5.512345) -> 0.001. */
export const stepOf = (number) => {
  const { power } = sizeOf(number);
  return Number(`1e${power + NOISE - digitsOf(power)}`);
};

const powerBelow = (step) => Math.floor(Math.log10(step) + NEAR);

/** The power of ten that is no greater: a step of one unit is no round number in another. */
export const stepBelow = (step) => Number(`1e${powerBelow(step)}`);

/** The step that shows so many digits more: finer(1, 1) -> 0.1, finer(0.5, 1) -> 0.1. */
export const finer = (step, times) => (
  times ? Number(`1e${powerBelow(step) - times + (isNear(step, stepBelow(step)) ? 0 : 1)}`) : step
);

/** Every digit of a number but the noise of conversion. */
export const exactText = (number) => signed(withoutZeros(text(sizeOf(number))), number < 0);

// To the safe side, unless it is off a step by no more than `slack`.
const toSide = (number, step, safe, slack) => {
  const exact = decimal(step);
  const size = timesOf(sizeOf(number), exact);
  const times = number < 0 ? -size : size;
  const at = Number(times) * step;
  const isOff = Math.abs(number - at) > slack && at > number === (safe === 'down');
  const told = isOff ? times + (safe === 'down' ? -1n : 1n) : times;
  return signed(text(steps(told < 0n ? -told : told, exact)), told < 0n);
};

const nearest = (number, step) => {
  const size = sizeOf(number);
  const exact = step > 0 ? decimal(step) : null;
  const digits = exact ? text(steps(timesOf(size, exact), exact)) : withoutZeros(text(withDigits(size)));
  return signed(digits, number < 0);
};

/**
 * A number as a person reads it: to the nearest step, else four digits or whole. With a safe side (`down`, `up`) it is
 * rounded to that side, unless it is off a step by no more than `slack`.
 * @param {number} number @param {number | null} [step] @param {string | null} [safe] @param {number} [slack]
 */
export const legible = (number, step = null, safe = null, slack = 0) => {
  if (!safe) return nearest(number, step);
  return step > 0 ? toSide(number, step, safe, slack) : withoutZeros(toSide(number, stepOf(number), safe, slack));
};

/**
 * What a person reads, without the unit: to the nearest step (a number of that unit). Without a step, four digits, or
 * all digits of a whole number. `safe`: down or up, the only way it is rounded.
 * @param {any} base @param {any} unit @param {number | null} [step] @param {string | null} [safe]
 */
export const shown = (base, unit, step = null, safe = null) => {
  if (typeof base === 'boolean') return base ? 'yes' : 'no';
  const number = fromBase(base, unit);
  if (!Number.isFinite(number)) return String(number);
  return unit.kind === 'date' ? dayText(base) : legible(number, step, safe, NEAR * Math.abs(base / unit.scale));
};
