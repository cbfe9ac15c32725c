// What a worksheet from a record must look like before a job is folded over it: it may come from anybody. The form of
// each field is the desk's JSON Schema of what can be read (shapes.js), and here is what must fit together. The same
// rules as generator/journal/shapes/sound.py.

import { own, table } from '../../base/own.js';
import { takesOf } from '../figures.js';
import { areSound } from './bolts.js';
import { areBounded } from './figures.js';
import { SHEET } from './shapes.js';

const NEW = ['units', 'results', 'tables', 'givens'];
const FIGURES = [...NEW, 'readings'];

const patterns = new Map();

const matches = (pattern, text) => {
  if (!patterns.has(pattern)) patterns.set(pattern, new RegExp(pattern));
  return patterns.get(pattern).test(text);
};

const isNumber = (value) => typeof value === 'number';

const isWithin = (value, { minimum = -Infinity, maximum = Infinity, exclusiveMinimum = -Infinity, exclusiveMaximum = Infinity, not = null }) => (
  minimum <= value && value <= maximum && exclusiveMinimum < value && value < exclusiveMaximum && value !== own(not, 'const')
);

// For each type, whether a value is of it and fits what else the schema says.
const TYPES = table({
  null: (value) => value === null,
  boolean: (value) => typeof value === 'boolean',
  string: (value, { pattern = '', enum: words = null, const: word = null }) => (
    typeof value === 'string' && matches(pattern, value) && (words === null || words.includes(value)) && (word === null || word === value)
  ),
  number: (value, shape) => isNumber(value) && isWithin(value, shape),
  integer: (value, shape) => Number.isInteger(value) && isWithin(value, shape),
  array: (value, { items = null, minItems = 0, maxItems = Infinity }, all) => (
    Array.isArray(value) && minItems <= value.length && value.length <= maxItems
    && (items === null || value.every((item) => fits(item, items, all)))
  ),
  object: (value, { properties = null, required = [], patternProperties = null, additionalProperties = true }, all) => {
    if (value === null || typeof value !== 'object' || Array.isArray(value)) return false;
    const [[pattern, named] = []] = Object.entries(patternProperties ?? {});
    const shapeOf = (name) => own(properties, name) ?? (pattern && matches(pattern, name) ? named : additionalProperties);
    return required.every((name) => Object.hasOwn(value, name))
      && Object.entries(value).every(([name, of]) => fits(of, shapeOf(name), all));
  },
});

// True if a value fits a shape of JSON Schema. `all`: the nouns that a shape may name.
const fits = (value, shape, all) => {
  if (typeof shape === 'boolean') return shape;
  const { $ref: name = null, anyOf = null, oneOf = anyOf, type = null } = shape;
  if (name !== null) return fits(value, own(all, name.split('/').at(-1)), all);
  if (oneOf !== null) return oneOf.some((one) => fits(value, one, all));
  return type === null || TYPES[type](value, shape, all);
};

const ownValue = ({ value }) => (typeof value === 'string' ? [value] : []);

const holdsTogether = (step, { stages, items, values }) => (
  step.stage < stages.length
  && [...step.opens, ...step.closes].every(({ what }) => Object.hasOwn(items, what))
  && [...step.values, ...ownValue(step.check)].every((name) => Object.hasOwn(values, name))
);

// True if it has readings, results and all that their arithmetic needs. An old worksheet may have none of these.
const hasFigures = (sheet) => {
  const areNamed = Object.values(sheet.values).every((value) => Object.hasOwn(value, 'kind') && Object.hasOwn(value, 'label'));
  if (!areNamed || !FIGURES.every((key) => Object.hasOwn(sheet, key))) return false;
  const results = new Set(sheet.results.map(({ name }) => name));
  const held = sheet.steps.flatMap(({ holds }) => holds ?? []);
  const taken = sheet.steps.flatMap(({ check }) => takesOf(check).map(([name]) => name));
  return results.size === sheet.results.length && held.every((name) => results.has(name))
    && taken.every((name) => Object.hasOwn(sheet.readings, name)) && areBounded(sheet);
};

/** True if a job can be folded over it. What it means is the compiler's business. */
export const isSheet = (sheet) => (
  fits(sheet, SHEET, SHEET.$defs) && sheet.steps.every((step) => holdsTogether(step, sheet))
  && new Set(sheet.steps.map(({ path }) => path)).size === sheet.steps.length
  && (!NEW.some((key) => Object.hasOwn(sheet, key)) || hasFigures(sheet)) && areSound(sheet)
);

/** True if it has this shape: an entry or another noun with its own `$defs`. */
export const isOfShape = (value, shape) => fits(value, shape, own(shape, '$defs'));
