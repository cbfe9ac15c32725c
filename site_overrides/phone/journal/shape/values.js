// What the value of an entry may look like. Anybody may have written it: an object or a list where every
// phone writes a text or a number, or the other way round, makes the entry one that this version does not know. A field that it does not name may be anything.
// The same table as generator/journal/values.py.

import { dict, own } from '../../base/own.js';
import { VALUE_FIELDS } from '../tables.js';

const isPlain = (value) => ['string', 'number', 'boolean'].includes(typeof value);
const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);

// null says as much as nothing at all.
const fieldsFit = (value, fields) => Object.keys(value).every((name) => {
  const [given, fits] = [own(value, name), own(fields, name)];
  return given === null || fits === null || fits(given);
});

const holding = (names) => {
  const fields = dict(names.map((name) => [name, isPlain]));
  return (value) => isObject(value) && fieldsFit(value, fields);
};

const FIELDS = dict(Object.entries(VALUE_FIELDS).map(([name, of]) => [name, of.length ? holding(of) : isPlain]));

/** Is each of its fields as phones write it? Whether it counts is another question. */
export const isShaped = (value) => fieldsFit(value, FIELDS);
