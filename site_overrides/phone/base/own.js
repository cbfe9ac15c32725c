// Names from outside: of steps, values, tools, in entries and worksheets that anybody may have written. A plain object
// answers to names that nobody gave it ("constructor", "toString"), and loses one that is written as "__proto__". So
// such a name is looked up by own(), or in an object without a prototype. tests/support/phone_names.py checks every
// file.

/**
 * What an object holds under a name of its own; null if it holds nothing there, or is no object.
 * @param {any} object
 * @param {any} name
 */
export const own = (object, name) => {
  const isName = typeof name === 'string' || typeof name === 'number';
  return isName && object !== null && typeof object === 'object' && Object.hasOwn(object, name) ? object[name] ?? null : null;
};

/**
 * A map without a prototype, of [[name, what it stands for]].
 * @param {Iterable<any>} [pairs]
 * @returns {any}
 */
export const dict = (pairs = []) => {
  const map = Object.create(null);
  for (const [name, of] of pairs) map[name] = of;
  return map;
};

/**
 * A table of our own that is asked by names from outside: what it does not list is undefined.
 * @template {object} T
 * @param {T} object
 * @returns {Readonly<T>}
 */
export const table = (object) => Object.freeze(dict(Object.entries(object)));

/**
 * What has one of these names is a map without a prototype everywhere: in a state, because the fold makes it so, and in
 * a worksheet and in the list of packs, because parsed() does.
 */
export const MAPS = new Set([
  'steps', 'items', 'values', 'readings', 'results', 'extras', 'ready', 'lists', 'bolts', 'units', 'wrenches', 'adapters',
  'tables', 'givens', 'needs', 'parts', 'tools', 'consumables', 'one_time', 'packs', 'sheets', 'names', 'found',
  'corrected',
]);

/** @param {unknown} value */
const isMap = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);

/**
 * JSON.parse of a worksheet or a list of packs: its maps have no prototype. Throws what JSON.parse throws.
 * @param {string} text
 */
export const parsed = (text) => JSON.parse(text, (name, value) => (
  MAPS.has(name) && isMap(value) ? dict(Object.entries(value)) : value
));
