// What the value of an entry may look like. Anybody may have written it. If a field that phones write as a text or a
// number holds an object or a list, or the other way round, this version counts the whole entry as unknown. Fields that
// are not named here may be anything. The same table as generator/journal/values.py.

import { dict, own } from '../../base/own.js';
import { VALUE_FIELDS } from '../tables.js';

const isPlain = (value) => ['string', 'number', 'boolean'].includes(typeof value);
const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);

// null counts as a missing field.
const fieldsFit = (value, fields) => Object.keys(value).every((name) => {
  const [given, fits] = [own(value, name), own(fields, name)];
  return given === null || fits === null || fits(given);
});

const holding = (names) => {
  const fields = dict(names.map((name) => [name, isPlain]));
  return (value) => isObject(value) && fieldsFit(value, fields);
};

const FIELDS = dict(Object.entries(VALUE_FIELDS).map(([name, of]) => [name, of.length ? holding(of) : isPlain]));

/** True if each field has the form that phones write. Whether it counts is decided elsewhere. */
export const isShaped = (value) => fieldsFit(value, FIELDS);
