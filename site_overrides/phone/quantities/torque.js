// What to set on which wrench, and what may have been meant by a torque outside the sane band of its bolt. Every number
// comes from a tree, the same that the desk walks: those of a setting are the worksheet's, the others the tool's. Torque
// in N.m. Pure.

import { own } from '../base/own.js';
import { dateText, localDay } from './dates.js';
import { evaluate, fromBase, shown, toBase } from './formula.js';
import { EXPECTED, ORDER, SLIPS, TORQUE } from './torque_trees.js';
import { plainQuantity, stagesOf, staged } from './quantity.js';

const NEWTON_METRE = { kind: 'torque', scale: 1, offset: 0 };
const MILLIMETRE = { kind: 'length', scale: 0.001, offset: 0 };

const mm = (number) => toBase(number, MILLIMETRE);

// The number that a tree gives; null if it is unknown. A name that is null is unknown.
const figure = (tree, names) => {
  const value = evaluate(tree, { names });
  return typeof value === 'number' ? value : null;
};
const holds = (tree, names) => evaluate(tree, { names }) === true;

/** A torque {number, unit} in base units; null where it is none. */
const torqueBase = ({ number, unit: name }, units) => {
  const unit = own(units, name);
  return unit?.kind === 'torque' ? toBase(number, unit) : null;
};

/** pullOf('12 N.m then 90 deg', units) -> {number, unit, base, then: ' then 90 deg'}; null where it is no torque. */
export const pullOf = (text, units) => {
  const [first, ...rest] = stagesOf(text ?? '');
  const pull = plainQuantity(first);
  const base = pull ? torqueBase({ number: pull.figure, unit: pull.unit }, units) : null;
  return pull && base !== null ? { number: pull.figure, unit: pull.unit, base, then: staged(['', ...rest]) } : null;
};

/**
 * What to set so that the bolt gets `target` through an adapter; null where there is no such setting. mm and degrees.
 * @param {number} target
 * @param {{ length: number, angle: number, lever: number }} adapter
 * @param {Sheet} sheet
 */
export const settingWith = (target, { length, angle, lever }, { torque }) => {
  if (lever === null) return null;
  return figure(torque.setting, { target, adapter: mm(length), angle, lever: mm(lever) });
};

/**
 * toleranceAt(target, {margin, number}, sheet) -> what a pull may be off by the maker, N.m: the same share as his
 * tolerance of the final torque; null where he states none.
 */
export const toleranceAt = (target, { margin, number }, { units }) => {
  const [off, final] = [margin, number].map((one) => (one ? torqueBase(one, units) : null));
  return figure(TORQUE.share, { target, off, final });
};

/** @param {{ wrench: Wrench, setting: number, tolerance: number }} about @param {Sheet} sheet */
const markOn = ({ wrench, setting, tolerance }, { torque, units }) => {
  const unit = own(units, wrench.unit);
  if (!unit) return null;
  const [low, high, step] = [wrench.low, wrench.high, wrench.step].map((number) => toBase(number, unit));
  const about = { setting, tolerance, low, high, step };
  if (!holds(torque.offered, about)) return null;
  const base = figure(torque.rounding, about);
  if (base === null) return null;
  return { number: fromBase(base, unit), text: shown(base, unit, wrench.step), inside: holds(torque.inside, about) };
};

/** Is its calibration overdue on the day that it is in the shop's time zone at `now` (milliseconds)? */
export const isOverdue = (wrench, now, zone) => Boolean(wrench?.due) && wrench.due < dateText(localDay(now, zone));

/** Does the shop's file give no date for its calibration? An older worksheet does not say. */
export const isUndated = (wrench) => wrench?.due === null;

// What the names of ORDER mean of a wrench.
const rankOf = ({ wrench, inside, setting }, { unit, sheet, now }) => {
  const one = sheet.wrenches[wrench];
  const marked = own(sheet.units, one.unit);
  const [step, high] = [one.step, one.high].map((number) => (marked ? toBase(number, marked) : Infinity));
  const rank = {
    outside: !inside, overdue: isOverdue(one, now, sheet.shop?.time_zone), other: one.unit !== unit, end: !holds(TORQUE.middle, { setting, high }), step, high, wrench,
  };
  return ORDER.map((name) => own(rank, name));
};

const byRank = (a, b) => {
  const at = a.findIndex((value, index) => value !== b.at(index));
  return at < 0 ? 0 : a.at(at) < b.at(at) ? -1 : 1;
};

/**
 * bestFirst(settings, {unit, sheet, now}) -> the same, best first, for a torque printed in `unit` on the shop's day at `now`:
 * a mark inside the tolerance, calibration in date, the torque's own unit, the middle of the scale, the finest step.
 */
export const bestFirst = (settings, about) => (
  settings.map((one) => ({ one, rank: rankOf(one, about) })).sort((a, b) => byRank(a.rank, b.rank)).map(({ one }) => one)
);

/**
 * settingsFor({target, tolerance, adapter, leverOf}, sheet) -> [{wrench, number, text, inside, setting}], in no order.
 * tolerance: N.m or null (the wrench's own accuracy); adapter: {length, angle} or null; leverOf(wrench id): mm or null.
 * `number` is null, and `setting` too, where the adapter leaves no setting or the lever is not known.
 * @param {{ target: number, tolerance: number, adapter?: any, leverOf?: (wrench: string) => number }} pull
 * @param {Sheet} sheet
 */
export const settingsFor = ({ target, tolerance, adapter = null, leverOf = () => null }, sheet) => {
  return Object.entries(sheet.wrenches).flatMap(([id, wrench]) => {
    const setting = adapter ? settingWith(target, { ...adapter, lever: leverOf(id) }, sheet) : target;
    if (setting === null) return [{ wrench: id, number: null, text: '', inside: false, setting }];
    const allowed = tolerance ?? figure(TORQUE.accurate, { accuracy: wrench.accuracy, target });
    const off = figure(TORQUE.through, { tolerance: allowed, setting, target });
    const mark = markOn({ wrench, setting, tolerance: off }, sheet);
    return mark ? [{ wrench: id, ...mark, setting }] : [];
  });
};

/** `above` or `below` the band {low, high}, or null. */
export const outside = (base, { low, high }) => (
  ['above', 'below'].find((side) => holds(own(TORQUE, side), { value: base, low, high })) ?? null
);

// 55 * 0.1 is 5.5 and not 5.500000000000001.
const plain = (number) => Number(number.toPrecision(12));

/** slipped(55) -> [{slip: 'tenth', number: 5.5}, {slip: 'tenfold', number: 550}]: the point one place further on. */
export const slipped = (number) => (
  Object.entries(SLIPS).map(([slip, tree]) => ({ slip, number: figure(tree, { number }) }))
    .filter((one) => one.number !== null).map(({ slip, number: meant }) => ({ slip, number: plain(meant) }))
);

/**
 * slipsOf({number, unit}, band, {units, names}) -> [{number, unit, base, slip}]: what would lie inside. slip: tenth,
 * tenfold, or null for the same figure in another unit; `names` are the units of a torque in their usual order.
 */
export const slipsOf = ({ number, unit }, band, { units, names }) => {
  const others = names.filter((name) => name !== unit && own(units, name)).map((name) => ({ number, unit: name, slip: null }));
  const tens = slipped(number).map((one) => ({ ...one, unit }));
  return [...others, ...tens]
    .map((one) => ({ ...one, base: toBase(one.number, units[one.unit]) }))
    .filter(({ base }) => outside(base, band) === null);
};

const FEWEST_OTHERS = 3; // torques of a sheet that say something of another. common practice, no source

const limits = ({ low, high }, names) => ({ low: figure(low, names), high: figure(high, names) });

const torquesOf = ({ values, units }, except) => Object.entries(values)
  .filter(([name, { kind, number }]) => name !== except && kind === 'torque' && number && own(units, number.unit)?.kind === 'torque')
  .map(([, { number: { number, unit } }]) => ({ unit, base: toBase(number, units[unit]) }));

// The band of the bolt; else what the sheet gives and nobody can look up; else the sheet's other torques.
const expectedOf = (name, about, others, { units }, then) => {
  if (about.band && !then) return { ...about.band, by: 'band' };
  const given = about.number ? own(units, about.number.unit) : null;
  if (given?.kind === 'torque') {
    return { ...limits(EXPECTED.given, { given: toBase(about.number.number, given) }), by: 'given' };
  }
  if (others.length < FEWEST_OTHERS) return null;
  const bases = others.map(({ base }) => base);
  const [least, most] = [Math.min(...bases), Math.max(...bases)];
  return { ...limits(EXPECTED.others, { least, most }), by: 'others', least, most };
};

/**
 * doubtOf('72 lbf.in', {name, about, sheet}) -> what is odd about a torque that was typed for a value: {given: {number,
 * unit}, side: above|below|null, expected: {low, high, by: band|given|others}|null, slips}; null where nothing is. `side`
 * null: the figure may be right, and its unit is one that the worksheet uses nowhere, in which the figure would be another
 * bolt's: `slips` has it in the units that are used.
 */
export const doubtOf = (text, { name, about, sheet }) => {
  const pull = sheet.units ? pullOf(text, sheet.units) : null;
  if (!pull) return null;
  const others = torquesOf(sheet, name);
  const expected = expectedOf(name, about, others, sheet, pull.then);
  const names = about.units ?? [];
  const given = { number: pull.number, unit: pull.unit };
  const side = expected && outside(pull.base, expected);
  if (side) return { given, side, expected, slips: slipsOf(pull, expected, { units: sheet.units, names }) };
  const used = new Set([...others.map(({ unit }) => unit), ...about.number ? [about.number.unit] : []]);
  if (!used.size || used.has(pull.unit) || own(sheet.shop.units, 'torque') === pull.unit) return null;
  const meant = [...used].filter((unit) => names.includes(unit)).map((unit) => ({ number: pull.number, unit, base: toBase(pull.number, sheet.units[unit]), slip: null }));
  const slips = meant.filter(({ base }) => !expected || outside(base, expected) === null);
  return slips.length ? { given, side: null, expected, slips } : null;
};

/** A torque that is told to be compared: three digits, or two below 1 N.m and ten. Without its unit. */
export const roughly = (base) => shown(base, NEWTON_METRE, figure(TORQUE.rough, { value: base }));

/** A torque as exactly as it is worth reading, in one of the sheet's units. */
export const exactly = (base, name, { units }) => shown(base, own(units, name) ?? NEWTON_METRE, null);
