// A result as it is told to a person: rounded to its safe side, never into its limit, its parts adding up to their
// whole. Formulas and limits always use the exact figure; this is only what is read. Pure. The same as
// generator/quantities/told.py.

import { own } from '../base/own.js';
import { isNear, side } from './nearness.js';
import { dayText, exactText, finer, fromBase, legible, shown, stepBelow, stepOf, toBase } from './shown.js';

// Digits that are added at most, where a figure lies beside its limit.
const MOST_FINER = 12;
// Digits that are added at most, where a figure is its limit: a third of a litre never comes out even.
const MOST_TO_EQUAL = 3;

const isNumber = (value) => typeof value === 'number';

/**
 * ground(sheet, states, typed) -> what figures of a worksheet are told from. states: what each result comes to, as
 * `workOut` gives it; typed(name): the figure and unit in which a name was typed or stated, {number, unit} or null.
 * @param {{ results?: any, readings?: any, units?: any }} sheet @param {any} states @param {(name: string) => any} typed
 */
export const ground = ({ results, readings, units }, states, typed) => (
  { results: new Map((results ?? []).map((result) => [result.name, result])), states, readings: readings ?? {}, units: units ?? {}, typed }
);

/** A gauge's needle width in base units: half its smallest division, in the unit that it was read in; null if unknown. */
export const halfDivision = (reading, name, units) => {
  const [division, unit] = [own(reading?.divisions, name), own(units, name)];
  return division === null || !unit ? null : (division / 2) * unit.scale;
};

const baseOf = (name, { states }) => own(states, name)?.base ?? null;

// The step in a unit: half a division of the gauge that the figure is set on; else the result's own, which in another
// unit is the power of ten below it.
const stepIn = ({ set_on: on, step, unit: ownUnit }, name, { readings, units }) => {
  const division = on === undefined ? null : own(own(readings, on)?.divisions, name);
  if (division !== null) return division / 2;
  const about = own(units, ownUnit);
  if (step === null || step === undefined || name === ownUnit || !about) return step ?? null;
  return stepBelow((step * about.scale) / units[name].scale);
};

// The figure with so many digits more than its step has.
const figureIn = (result, name, more, of) => {
  const [base, unit] = [baseOf(result.name, of), of.units[name]];
  const step = stepIn(result, name, of);
  return shown(base, unit, more ? finer(step || stepOf(fromBase(base, unit)), more) : step, result.safe ?? null);
};

// --- beside a limit ---------------------------------------------------------------------------------------------------

// True if the text lies on the same side of everything that the figure is compared with.
const isWhereItIs = (result, { text, name, many, alsoEqual }, of) => {
  const base = baseOf(result.name, of);
  const read = toBase(Number(text), of.units[name]);
  const worths = own(of.states, result.name)?.against ?? [];
  return (result.against ?? []).every((tree, at) => {
    const worth = worths.at(at) ?? null;
    if (worth === null) return true;
    const where = side(base, worth);
    if (where === 0 && !alsoEqual) return true;
    if (side(read, worth) !== where) return false;
    const other = Array.isArray(tree) && tree[0] === 'name' ? of.results.get(tree[1]) : null;
    return !other || side(Number(text), Number(figureIn(other, name, many, of))) === where;
  });
};

const upTo = (most) => [...Array(most + 1).keys()];

// The figure with as many digits as show it on the side of its limits where it is.
const besideItsLimits = (result, name, more, of) => {
  const tries = [...upTo(MOST_TO_EQUAL).map((many) => [many, true]), ...upTo(MOST_FINER).map((many) => [many, false])];
  for (const [extra, alsoEqual] of tries) {
    const many = more + extra;
    const text = figureIn(result, name, many, of);
    if (isWhereItIs(result, { text, name, many, alsoEqual }, of)) return text;
  }
  return figureIn(result, name, more, of);
};

// --- beside its whole -------------------------------------------------------------------------------------------------

// A decimal text as a whole number of its last places: '6.50' -> {whole: 650n, places: 2}.
const places = (text) => {
  const [before, after = ''] = text.split('.');
  return { whole: BigInt(before.replace('-', '') + after) * (text.startsWith('-') ? -1n : 1n), places: after.length };
};

// The first less all others, exactly, with the most places that one of them has, and `least` at least.
const less = (first, others, least = 0) => {
  const all = [first, ...others].map(places);
  const most = Math.max(least, ...all.map((one) => one.places));
  const [whole, ...parts] = all.map((one) => one.whole * 10n ** BigInt(most - one.places));
  const rest = parts.reduce((left, part) => left - part, whole);
  const digits = `${rest < 0n ? -rest : rest}`.padStart(most + 1, '0');
  const text = most ? `${digits.slice(0, -most)}.${digits.slice(-most)}` : digits;
  return { text: rest < 0n ? `-${text}` : text, isNegative: rest < 0n, isNothing: rest === 0n };
};

const worthOf = (name, of) => {
  if (of.results.has(name)) return isNumber(baseOf(name, of)) ? baseOf(name, of) : null;
  const typed = of.typed(name);
  const unit = typed ? own(of.units, typed.unit) : null;
  return unit ? toBase(typed.number, unit) : null;
};

// True if the parts are all known and make their whole.
const addsUp = ({ whole, parts }, of) => {
  const [all, ...each] = [whole, ...parts].map((name) => worthOf(name, of));
  return all !== null && each.every((part) => part !== null) && isNear(each.reduce((sum, part) => sum + part, 0), all);
};

// The last part that has no safe side.
const takesTheRest = (parts, of) => (
  parts.map((name) => of.results.get(name)).filter((one) => one && !one.safe && one.set_on === undefined).at(-1)?.name ?? null
);

// A part or the whole as it is told beside a result.
const beside = (name, result, unit, of) => {
  if (of.results.has(name)) return besideItsLimits(of.results.get(name), unit, 0, of);
  const typed = of.typed(name);
  if (typed.unit === unit) return exactText(typed.number);
  const base = toBase(typed.number, of.units[typed.unit]);
  return legible(fromBase(base, of.units[unit]), stepIn(result, unit, of));
};

const besideEach = (names, result, unit, of) => names.map((name) => beside(name, result, unit, of));

// What the other parts leave of their whole, as these are told; null where the result does not take the rest.
const remainderOf = (result, unit, of) => {
  const { name, part_of: group } = result;
  if (!group || takesTheRest(group.parts, of) !== name || !addsUp(group, of)) return null;
  const others = group.parts.filter((part) => part !== name);
  const least = places(figureIn(result, unit, 0, of)).places; // as the step has
  const rest = less(beside(group.whole, result, unit, of), besideEach(others, result, unit, of), least);
  if (!rest.isNothing && rest.isNegative !== baseOf(name, of) < 0) return null;
  return isWhereItIs(result, { text: rest.text, name: unit, many: 0, alsoEqual: false }, of) ? rest.text : null;
};

// One digit more where every part has a safe side, and as they are told they do not add up.
const moreForTheWhole = (result, unit, of) => {
  const { part_of: group } = result;
  if (!group || takesTheRest(group.parts, of) !== null || !addsUp(group, of)) return 0;
  return less(beside(group.whole, result, unit, of), besideEach(group.parts, result, unit, of)).isNothing ? 0 : 1;
};

/** told(name, unit, of) -> the figure of a result in a unit, without the unit; null while it is not known. */
export const told = (name, unit, of) => {
  const [result, base] = [of.results.get(name), baseOf(name, of)];
  if (base === null) return null;
  if (!isNumber(base)) return base ? 'yes' : 'no';
  if (result.kind === 'date') return dayText(base);
  if (!own(of.units, unit)) return legible(base, result.step ?? null, result.safe ?? null);
  if (result.set_on !== undefined) return figureIn(result, unit, 0, of);
  return remainderOf(result, unit, of) ?? besideItsLimits(result, unit, moreForTheWhole(result, unit, of), of);
};
