// What the value of an entry may look like. Anybody may have written it: an object or a list where every
// phone writes a text or a number, or the other way round, makes the entry one that this version does not know. A field that it does not name may be anything.
// The same table as generator/journal/values.py.

import { dict, own, table } from '../own.js';

const isPlain = (value) => ['string', 'number', 'boolean'].includes(typeof value);
const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);
const all = (names, fits) => dict(names.split(' ').map((name) => [name, fits]));
const holding = (names) => (value) => isObject(value) && fieldsFit(value, all(names, isPlain));

const FIELDS = table({
  ...all(
    'text unit number reason instead with how told_by price to label approved_by kind list note outcome set wrench kept_at why same '
    + 'sheet vehicle role procedure vin count seconds self new sure not_published',
    isPlain,
  ),
  source: holding('document where read by checked_by'),
  margin: holding('number unit'),
  odometer: holding('number unit'),
  adapter: holding('length angle lever'),
  despite: holding('reason'),
  second: holding('self'),
});

// null says as much as nothing at all.
const fieldsFit = (value, fields) => Object.keys(value).every((name) => {
  const [given, fits] = [own(value, name), own(fields, name)];
  return given === null || fits === null || fits(given);
});

/** Is each of its fields as phones write it? Whether it counts is another question. */
export const isShaped = (value) => fieldsFit(value, FIELDS);
