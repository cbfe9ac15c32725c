// The second reader of a critical value that was read on the phone: who read it, who read it again, what still waits. A
// worksheet says in `second_reader` how long a person alone must wait before reading it again. An older worksheet
// without that field asks for no second reader. Pure. The same table as generator/journal/second.py.

import { canonical } from '../base/canonical.js';
import { own } from '../base/own.js';
import { quantityOf, stagesOf } from '../quantities/quantity.js';
import { phoneMs } from '../quantities/dates.js';
import { said } from './answers.js';
import { after, headsOf, isReturn } from './entries.js';
import { person } from './people.js';

/**
 * The values that set a critical bolt, by their own class or by a check-off that uses them.
 * @param {Sheet} sheet
 */
export const criticalValues = ({ steps, values }) => new Set([
  ...steps.filter(({ check }) => check.kind === 'tighten' && check.fastener === 'critical').map(({ check }) => check.value),
  ...Object.keys(values).filter((name) => values[name].class === 'critical'),
]);

const stage = (text) => {
  const read = quantityOf(text);
  return read && Number.isFinite(read.figure) ? [read.figure, read.unit] : [text.replace(/[ \t\r\n\u00a0]+/g, ' ')];
};

const two = (of, ...keys) => (of !== null && typeof of === 'object' ? keys.map((key) => own(of, key)) : null);

// What two readings must have in common: figure and unit, tolerance, and the place it was read.
const reading = (value) => [
  said(value.text) ? stagesOf(value.text).map(stage) : [two(value, 'number', 'unit')],
  two(own(value, 'margin'), 'number', 'unit'), two(own(value, 'source'), 'document', 'where'),
];

/** True if two `read` values give the same figure from the same place. */
export const isSameReading = (one, other) => canonical(reading(one)) === canonical(reading(other));

/** @param {Entry} entry */
const by = ({ id, who, at }) => ({ id, who, at });

// Two readings by different people who did not see each other's figure.
const twoApart = (heads) => {
  const readers = heads.filter(({ kind, who }) => kind === 'read' && person(who));
  for (const later of readers) {
    const first = readers.find((one) => after(later, one) && person(one.who) !== person(later.who));
    if (first) return [first, later];
  }
  return null;
};

// True if enough phone time passed between the two, as for a self-check.
const isRested = ({ pause }, first, second) => {
  const [began, ended] = [phoneMs(first.at), phoneMs(second.at)];
  return began !== null && ended !== null && ended - began >= pause * 1000;
};

// The reading that `second` confirms: one it names, that stood then and still stands. null if there is none.
const firstOf = (told, second) => {
  const alone = own(own(second.value, 'second'), 'self');
  if (second.kind !== 'read' || typeof alone !== 'boolean' || !person(second.who)) return null;
  const named = told.all.filter((entry) => second.seen.includes(entry.id) && after(second, entry));
  const firsts = headsOf(named, told.undone).filter((entry) => (
    !told.undone.has(entry) && !isReturn(entry) && told.counts(entry) && isSameReading(entry.value, second.value)
  ));
  const isOwn = ({ who }) => person(who) === person(second.who);
  const mine = firsts.filter(isOwn);
  if (alone) return mine.every((entry) => isRested(told, entry, second)) ? mine[0] ?? null : null;
  return firsts.find((entry) => person(entry.who) && !isOwn(entry)) ?? null;
};

/**
 * secondLook({all, undone, pause, counts, asked}, heads) -> {entry, said}. all: everything that was said of the value; heads: readings of
 * it that agree and count; pause: seconds until a person alone may read it again; asked(entry): did its worksheet ask for a second
 * reader? entry: the one since which the value is known; said: {} where no second reader was asked for,
 * {second: {first: {id, who, at}, id, who, at, self}} once there was one, {waits: [{id, who, at}]} until then.
 */
export const secondLook = (told, heads) => {
  if (heads.some((head) => !told.asked(head))) return { entry: heads[0], said: {} };
  for (const head of heads) {
    const first = firstOf(told, head);
    if (first) return { entry: head, said: { second: { first: by(first), ...by(head), self: head.value.second.self } } };
  }
  const apart = twoApart(heads);
  if (apart) return { entry: apart[1], said: { second: { first: by(apart[0]), ...by(apart[1]), self: false } } };
  return { entry: heads[0], said: { waits: heads.map(by) } };
};
