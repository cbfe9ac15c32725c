// Between base units and what a person types and reads: the same table as generator/quantities/units.py.
// A unit is { kind, scale, offset }, base = (number + offset) * scale.

import { dateText, inCalendar } from './dates.js';

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

const withDigits = ({ whole, power }) => {
  const before = NOISE + power; // digits before the point: nobody reads 118350 km as 118400
  const spare = NOISE - Math.min(NOISE, Math.max(DIGITS, before));
  return { whole: divided(whole, TEN(spare)), power: power + spare };
};

const toStep = (number, step) => {
  const shift = number.power - step.power;
  const [a, b] = [number.whole * TEN(Math.max(shift, 0)), step.whole * TEN(Math.max(-shift, 0))];
  return { whole: divided(a, b) * step.whole, power: step.power };
};

const text = ({ whole, power }) => {
  if (power >= 0) return `${whole * TEN(power)}`;
  const digits = `${whole}`.padStart(1 - power, '0');
  return `${digits.slice(0, power)}.${digits.slice(power)}`;
};

const withoutZeros = (digits) => (digits.includes('.') ? digits.replace(/\.?0+$/, '') : digits);

const dayText = (days) => (inCalendar(Math.round(days)) ? dateText(Math.round(days)) : days.toFixed(0));

const numberText = (number, step) => {
  const size = decimal(Math.abs(number), NOISE - 1);
  const digits = step > 0 ? text(toStep(size, decimal(step))) : withoutZeros(text(withDigits(size)));
  return number < 0 && /[1-9]/.test(digits) ? `-${digits}` : digits;
};

// What a person reads, without the unit: to the nearest step (a number of that unit). Without a step, four digits, or
// all digits of a whole number.
export const shown = (base, unit, step = null) => {
  if (typeof base === 'boolean') return base ? 'yes' : 'no';
  const number = fromBase(base, unit);
  if (!Number.isFinite(number)) return String(number);
  return unit.kind === 'date' ? dayText(base) : numberText(number, step);
};
