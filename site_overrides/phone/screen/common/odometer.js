// What an odometer can be, where a job is started and where its start is corrected.

import { own } from '../../base/own.js';
import { isWithin } from '../../journal/limits.js';
import { fromBase, legible, toBase } from '../../quantities/shown.js';
import { BOXES } from '../../quantities/ranges.js';
import { W, figureSaid, unitSaid } from '../../words/words.js';
import { numberOf } from './form.js';

const canBe = (number, unit, units) => {
  const of = own(units, unit);
  return of ? isWithin(toBase(number, of), BOXES.odometer) : number >= 0;
};

/** What a number in the box of an odometer can be, for a field of form.js. `units` are the worksheet's, if it has any. */
export const odometerBox = (units) => ({
  tests: ({ unit }) => [(number) => canBe(number, unit, units)], unit: ({ unit }) => unit,
});

/** Why this can be no odometer, or null. An empty one is none. */
export const odometerWrong = (text, unit, units) => {
  const number = text ? numberOf(text) : null;
  if (number === null || canBe(number, unit, units)) return null;
  const { low, high, above } = BOXES.odometer;
  const of = own(units, unit);
  const [from, to] = [low, high].map((base) => (of ? legible(fromBase(base, of)) : String(base / 1000)));
  return W.cannotBeHere(figureSaid(number, unit), { from, to, unit: unitSaid(unit), above });
};
