// What each operator does with known numbers (or truths): a number, a truth, or unknown with its reason. Every
// rounding, remainder and limit is as in generator/quantities/formulas/evaluation.py. Pure.

import { addMonths, inCalendar } from './dates.js';
import { NEAR, isNear } from './nearness.js';

const MOST_WHOLE = 2 ** 53;
const MANY = 500;
const DAY = 86400;
const DEGREE = Math.PI / 180;

export const because = (code) => ({ needs: [], because: [code] });
export const isNumber = (value) => typeof value === 'number';
export const isTruth = (value) => typeof value === 'boolean';

// What is left of two figures that count as equal is exactly nothing.
const sum = (a, b) => (isNear(a, -b) ? 0 : a + b);

const remainder = (a, b) => {
  if (b === 0) return because('zero');
  const part = a % b;
  const rest = part !== 0 && part < 0 !== b < 0 ? part + b : part;
  if (Math.abs(a) > MOST_WHOLE * Math.abs(b)) return rest;
  const least = NEAR * Math.max(Math.abs(a), Math.abs(b));
  return Math.min(Math.abs(rest), Math.abs(b - rest)) <= least ? 0 : rest;
};

const raise = (base, exponent) => {
  if (base < 0) return because('root');
  return base === 0 && exponent < 0 ? because('zero') : base ** exponent;
};

// To the nearest whole number. A half is rounded away from zero.
const rounded = (a) => {
  const whole = Math.trunc(a);
  return Math.abs(a - whole) >= 0.5 ? whole + Math.sign(a) : whole;
};

const stepsIn = (a, step) => {
  const steps = a / step;
  if (Math.abs(steps) > MOST_WHOLE) return steps;
  const halves = rounded(2 * steps) / 2;
  return Math.abs(steps - halves) <= NEAR * Math.max(1, Math.abs(steps)) ? halves : steps;
};

const to = (way) => (a, step) => {
  if (step === undefined) return way(stepsIn(a, 1));
  return step > 0 ? way(stepsIn(a, step)) * step : because('zero');
};

const size = (n) => (n < 0n ? -n : n);
const greatestCommon = (a, b) => (b ? greatestCommon(b, a % b) : size(a));
const leastCommon = (a, b) => (a && b ? size((a / greatestCommon(a, b)) * b) : 0n);

const ofWhole = (way, start) => (...numbers) => {
  const wholes = numbers.map((number) => (Math.abs(number) > MOST_WHOLE ? null : wholeNear(number)));
  if (wholes.includes(null)) return because('whole');
  const result = wholes.map(BigInt).reduce(way, start);
  return result <= MOST_WHOLE ? Number(result) : because('whole');
};

// Sine of 0 to 90 degrees, exact where that is possible.
const EXACT = new Map([[0, 0], [30, 0.5], [90, 1]]);
const quarterSine = (part) => EXACT.get(part) ?? Math.sin(part * DEGREE);

// Sine of an angle of 0 or more, after so many quarter turns more.
const turned = (angle, quarters) => {
  const around = angle % 360;
  const part = around % 90;
  const quarter = ((around - part) / 90 + quarters) % 4;
  const sine = quarterSine(quarter % 2 ? 90 - part : part);
  return quarter > 1 ? -sine : sine;
};

const sin = (a) => (a >= 0 ? turned(a, 0) : -turned(-a, 0));
const cos = (a) => turned(Math.abs(a), 1);

const arc = (way, atHalf, atMinusHalf) => {
  const exact = new Map([[0.5, atHalf], [-0.5, atMinusHalf]]);
  const within = (a) => Math.min(Math.max(a, -1), 1);
  return (a) => (Math.abs(a) > 1 + NEAR ? because('angle') : exact.get(a) ?? way(within(a)) / DEGREE);
};

// The whole number that this is except for rounding, or null.
const wholeNear = (a) => {
  const whole = rounded(a);
  return Math.abs(a - whole) <= NEAR * Math.max(1, Math.abs(a)) ? whole : null;
};

const later = (add) => (date, amount) => {
  const count = wholeNear(amount);
  if (count === null || date % 1) return because('whole');
  const day = inCalendar(date) ? add(date, count) : NaN;
  return inCalendar(day) ? day : because('large');
};
const addDays = later((date, days) => date + days);

const isSame = (a, b) => (isNumber(a) ? isNear(a, b) : a === b);
const same = (a, b) => (typeof a === typeof b ? isSame(a, b) : because('broken'));
const different = (a, b) => (typeof a === typeof b ? !isSame(a, b) : because('broken'));

const op = (least, most, run, ...takes) => ({ least, most, run, takes });
const one = (run) => op(1, 1, run, isNumber);
const two = (run) => op(2, 2, run, isNumber);
const many = (run) => op(1, MANY, run, isNumber);
const stepped = (way) => op(1, 2, to(way), isNumber);

export const RAISE = two(raise);

// Name -> how many parts, what runs, and which sorts of value it takes. A truth is not a number.
export const OPERATORS = new Map(Object.entries({
  '+': two(sum),
  '-': two((a, b) => sum(a, -b)),
  '*': two((a, b) => a * b),
  '/': two((a, b) => (b === 0 ? because('zero') : a / b)),
  '%': two(remainder),
  neg: one((a) => -a),
  unknown: op(0, 0, () => because('unsaid')),
  '<': two((a, b) => a < b && !isNear(a, b)),
  '<=': two((a, b) => a <= b || isNear(a, b)),
  '>': two((a, b) => a > b && !isNear(a, b)),
  '>=': two((a, b) => a >= b || isNear(a, b)),
  '==': op(2, 2, same, isNumber, isTruth),
  '!=': op(2, 2, different, isNumber, isTruth),
  not: op(1, 1, (a) => !a, isTruth),
  min: many(Math.min),
  max: many(Math.max),
  abs: one(Math.abs),
  round: stepped(rounded),
  floor: stepped(Math.floor),
  ceil: stepped(Math.ceil),
  sqrt: one((a) => (a < 0 ? because('root') : Math.sqrt(a))),
  exp: one(Math.exp),
  log: one((a) => (a > 0 ? Math.log(a) : because('log'))),
  gcd: many(ofWhole(greatestCommon, 0n)),
  lcm: many(ofWhole(leastCommon, 1n)),
  sin: one(sin),
  cos: one(cos),
  tan: one((a) => (cos(a) === 0 ? because('zero') : sin(a) / cos(a))),
  asin: one(arc(Math.asin, 30, -30)),
  acos: one(arc(Math.acos, 60, 120)),
  atan: one((a) => Math.atan(a) / DEGREE),
  between: two((a, b) => (b - a) * DAY),
  'add-days': two((date, seconds) => addDays(date, seconds / DAY)),
  'add-months': two(later(addMonths)),
}));
