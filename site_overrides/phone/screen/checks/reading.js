// The box that a reading is typed into: a number with its unit as the gauge shows it, or a date. A figure outside the
// limits is asked about once, and saved if the person is sure. Nothing typed is lost meanwhile.

import { isWithin as isPossible } from '../../journal/limits.js';
import { DAY_MS } from '../../quantities/dates.js';
import { fromBase, legible, toBase } from '../../quantities/shown.js';
import { NEAR } from '../../quantities/nearness.js';
import { READINGS, READ_IN } from '../../quantities/ranges.js';
import { slipped } from '../../quantities/torque.js';
import { BELOW_ZERO, MOST_MEANT } from '../../quantities/torque_trees.js';
import { W, figureSaid, gaugeSaid, unitOnFace, unitSaid } from '../../words/words.js';
import { own } from '../../base/own.js';
import { converted, unitsFor } from '../common/figures.js';
import { field } from '../common/form.js';
import { make, say, set, show } from '../common/nodes.js';
import { isDone } from '../common/press.js';
import { pressBegun } from '../common/press_guard.js';
import { surePanel } from '../common/sure.js';
import { typedNumber } from '../common/typed_number.js';

const limit = (number) => (number === null || number === undefined || number === '' ? null : Number(number));
const rangeOf = ({ from, to }) => ({ from: limit(from), to: limit(to) });

const isWithin = ({ from, to }, number) => {
  const near = NEAR * Math.max(Math.abs(from ?? 0), Math.abs(to ?? 0));
  return number !== null && (from === null || number >= from - near) && (to === null || number <= to + near);
};

// What such a figure can be, in base units; null of a plain number and a date. A box of a calculator has limits of its own.
const limitsOf = ({ limits, unit, kind }) => limits ?? own(READ_IN, unit) ?? own(READINGS, kind);

const canBe = ({ number, unit }, reading, sheet, limits = limitsOf(reading)) => {
  const of = own(sheet.units, unit);
  return !of || !limits || isPossible(toBase(number, of), limits);
};

// Of an end that the procedure states, what can be says nothing.
const openLimits = (reading) => {
  const { from, to } = rangeOf(reading);
  const limits = limitsOf(reading);
  return limits && { ...limits, low: from === null ? limits.low : -Infinity, high: to === null ? limits.high : Infinity };
};

/**
 * True if a reading is within what is expected, in the reading's own unit. Where that says nothing, what can be counts.
 */
export const isExpected = (given, reading, sheet) => {
  const there = converted(given.number, given.unit, reading.unit, sheet);
  return (there === null || isWithin(rangeOf(reading), there)) && canBe(given, reading, sheet, openLimits(reading));
};

/**
 * meantBy({number, unit}, reading, sheet) -> [{number, unit}]: what would be expected had the minus been left out, the point
 * slipped by one place, or another unit been read.
 */
export const meantBy = ({ number, unit }, reading, sheet) => {
  const fits = (one) => (one.unit === unit || own(sheet.units, one.unit)) && isExpected(one, reading, sheet);
  const slips = slipped(number).map((one) => ({ number: one.number, unit }));
  const minus = number > 0 && BELOW_ZERO.includes(reading.kind) ? [{ number: -number, unit }] : [];
  const units = (reading.units ?? []).filter((other) => other !== unit).map((other) => ({ number, unit: other }));
  return [...minus, ...slips, ...units].filter(fits).slice(0, MOST_MEANT);
};

/** What a number in one of its units can be, for `meant`: what is expected, then what can be at all. */
export const testsOf = (reading, unit, sheet) => (
  [isExpected, canBe].map((test) => (number) => test({ number, unit }, reading, sheet))
);

// The range that can be, of a figure that is asked about where the procedure states none.
const possibleSaid = (reading, given, sheet) => {
  const [limits, of] = [limitsOf(reading), own(sheet.units, given.unit)];
  if (!limits || !of || canBe(given, reading, sheet, openLimits(reading))) return '';
  const { from, to } = rangeOf(reading);
  if (from !== null && to !== null) return W.onlyWhole;
  const [low, high] = [limits.low, limits.high].map((base) => (
    Math.abs(base) < Number.MAX_VALUE ? legible(fromBase(base, of)) : null
  ));
  return [W.between(low, high, unitSaid(given.unit)), limits.whole ? W.onlyWhole : ''].filter(Boolean).join('. ');
};

const expectedSaid = (reading, unit, sheet) => {
  const { from, to } = rangeOf(reading);
  if (from === null && to === null) return '';
  const inUnit = (number) => {
    if (number === null) return null;
    const there = converted(number, reading.unit, unit, sheet);
    return there === null || unit === reading.unit ? figureSaid(number, reading.unit === 'date' ? 'date' : '')
      : legible(there);
  };
  return W.between(inUnit(from), inUnit(to), unitSaid(unit));
};

const dateBox = (reading) => {
  const box = field({ name: 'date', label: reading.label, type: 'date' });
  const read = () => {
    const time = Date.parse(`${box.value()}T00:00:00Z`);
    return Number.isNaN(time) ? null : { number: time / DAY_MS, unit: 'date' };
  };
  const write = ({ number }) => { box.box.value = new Date(number * DAY_MS).toISOString().slice(0, 10); };
  return { nodes: [box.node], boxes: [box], read, write, asks: () => false, unit: () => 'date', lacking: W.needDate(reading.label), clear: box.clear };
};

const turned = (text) => (text.startsWith('-') ? text.slice(1) : `-${text}`);

// On some phones the number keypad has no minus. If a reading may be below zero, it gets a key of its own.
const numberBox = (reading, sheet) => {
  const units = unitsFor(reading, sheet);
  const number = field({ name: 'number', label: `${reading.label}${gaugeSaid(reading.kind)}`, type: 'number' });
  const options = units.map((unit) => ({ value: unit, label: unitOnFace(unit) || W.noUnit }));
  const unit = field({ name: 'unit', label: W.unit, type: 'select', options, value: units[0] });
  const sign = make('button', {
    type: 'button', class: 'sign', onclick: () => {
      number.box.value = turned(number.value());
      number.box.dispatchEvent(new Event('input', { bubbles: true }));
    },
  }, W.plusMinus);
  const canBeBelow = rangeOf(reading).from === null ? BELOW_ZERO.includes(reading.kind) : rangeOf(reading).from < 0;
  const only = make('p', { class: 'only' }, unitSaid(units[0] ?? ''));
  const beside = units.length > 1 ? unit.node : units[0] ? only : null;
  const label = make('p', { class: 'label', 'aria-hidden': 'true' }, `${reading.label}${gaugeSaid(reading.kind)}`);
  const row = make('div', { class: 'typed' }, canBeBelow ? sign : null, number.node, beside);
  const unitNow = () => (units.length > 1 ? unit.value() : units[0] ?? '');
  const typed = typedNumber({ field: number, tests: () => testsOf(reading, unitNow(), sheet), unit: unitNow });
  unit.box.addEventListener('change', typed.hide);
  const read = () => {
    const figure = typed.read();
    return figure === null ? null : { number: figure, unit: unitNow() };
  };
  const write = (one) => {
    typed.write(one.number);
    typed.hide();
    if (units.length > 1) unit.box.value = one.unit;
  };
  return {
    nodes: [label, row, typed.node], boxes: [number, unit], read, write, asks: typed.asks, unit: unitNow,
    lacking: W.needNumber(reading.label), clear: number.clear,
  };
};

/**
 * typedBox(reading, sheet) -> {nodes, boxes, read(), write(given), asks(), unit(), lacking, clear()}: the box alone; what is
 * read is {number, unit} or null; asks() whether it is asked which of two numbers was meant.
 */
export const typedBox = (reading, sheet) => (
  reading.kind === 'date' || reading.unit === 'date' ? dateBox(reading) : numberBox(reading, sheet)
);

/**
 * readingBox({reading, sheet, keep, onAsk}) -> {node, press()}. press() is what the check-off's button does: it keeps
 * {number, unit} by `keep`, with `sure: true` when it was asked about; or gives what is to be said. onAsk(is it asked).
 */
export const readingBox = ({ reading, sheet, keep, onAsk = () => {} }) => {
  const range = make('p', { class: 'small' });
  let asked = null;
  const made = typedBox(reading, sheet);
  const hand = async (value) => {
    const answer = await keep(value);
    if (isDone(answer)) {
      made.clear();
      ask(null);
    }
    return answer;
  };
  const write = (one) => {
    made.write(one);
    ask(null);
    sayRange();
    made.boxes[0].box.focus({ preventScroll: true });
  };
  const panel = surePanel({ write, keep: () => hand({ ...asked, sure: true }) });
  const node = make('div', { class: 'reading' }, ...made.nodes, range, panel.node);
  const sayRange = () => {
    const text = expectedSaid(reading, made.unit(), sheet);
    say(range, text);
    show(range, Boolean(text) && !asked);
  };
  const ask = (given) => {
    asked = given;
    show(panel.node, Boolean(given));
    set(node, 'data-asked', Boolean(given));
    sayRange();
    onAsk(Boolean(given));
    if (!given) return;
    const range = [expectedSaid(reading, given.unit, sheet), possibleSaid(reading, given, sheet)].filter(Boolean).join('. ');
    panel.update({ given, others: meantBy(given, reading, sheet), range });
    panel.node.scrollIntoView?.({ block: 'nearest' });
  };
  for (const { box } of made.boxes) {
    box.addEventListener('input', () => ask(null));
    box.addEventListener('change', () => { if (box.matches('select')) ask(null); });
  }
  const press = async () => {
    const given = made.read();
    if (!given) return made.asks() ? null : { kept: false, words: made.lacking };
    if (isExpected(given, reading, sheet)) return hand(given);
    ask(given);
    return null;
  };
  node.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || !event.target.matches('input')) return;
    event.preventDefault();
    if (pressBegun(event)) node.dispatchEvent(new CustomEvent('enter'));
  });
  ask(null);
  return { node, press };
};
