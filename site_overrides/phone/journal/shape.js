// What a worksheet from a record must look like before it is folded over: a stranger's file may say anything.
// The same table as generator/journal/shape.py. A list of one shape is a list of such; a Set, one of its texts; an object
// with '*', names and what they stand for, with '-' ids, with '**' any texts; an object, at least these fields, of which
// one with '?' may be left out or null; a text, one of PLAIN.

import { own, table } from '../own.js';
import { takesOf } from './figures.js';
import { areSound, BOLT, NO_WRENCH, PULL, TOOLS } from './shape_bolts.js';
import { areBounded } from './shape_figures.js';

const GREATEST = 1e300;

const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);
const isNumber = (value) => typeof value === 'number' && -GREATEST < value && value < GREATEST;
const matches = (pattern) => (value) => typeof value === 'string' && pattern.test(value);

const PLAIN = table({
  anything: () => true,
  text: (value) => typeof value === 'string',
  'yes or no': (value) => typeof value === 'boolean',
  count: (value) => Number.isInteger(value) && value >= 0 && value <= 100_000,
  pause: (value) => Number.isInteger(value) && value > 0 && value <= 100_000,
  path: matches(/^[a-z][a-z0-9-]*(?:\/[a-z][a-z0-9-]*)*$/),
  name: matches(/^[a-z][a-z0-9_]*$/),
  digest: matches(/^[0-9a-f]{64}$/),
  number: isNumber,
  scale: (value) => isNumber(value) && value !== 0,
  step: (value) => isNumber(value) && value > 0,
  share: (value) => isNumber(value) && value >= 0 && value <= 1,
  id: matches(/^[a-z][a-z0-9-]*$/),
  file: matches(/^[A-Za-z0-9_-][A-Za-z0-9_.-]*(?:\/[A-Za-z0-9_-][A-Za-z0-9_.-]*)*$/),
  day: matches(/^[0-9]{4}-[0-9]{2}-[0-9]{2}$/),
});

const CLASS = new Set(['critical', 'ordinary', 'clip']);
const QUANTITY = { number: 'number', unit: 'text' };
const VALUE = {
  text: 'text or null', source: 'anything', class: CLASS, 'number?': QUANTITY, 'margin?': QUANTITY, ...BOLT,
};
const CHECKS = table({
  tick: {},
  tighten: { value: 'name', fastener: CLASS, parts: [PULL], 'asks_new?': 'yes or no' },
  measure: { 'reading?': 'name' },
  inspect: { outcomes: [{ name: 'text', fails: 'yes or no' }] },
  wait: { value: 'name', seconds: 'count or null', 'watch?': { start: 'name', end: 'name' } },
  turn: { value: 'name', count: 'count or null' },
  photo: {},
  sign: { of: ['text'], self_check_after: 'count' },
});
// What the fold asks of a check-off of any kind; it may be there only in this shape.
const ANY_CHECK = Object.entries({ outcomes: CHECKS.inspect.outcomes, of: CHECKS.sign.of });
const STEP = {
  path: 'path',
  stage: 'count',
  check: { kind: new Set(Object.keys(CHECKS)) },
  opens: [{ what: 'name', count: 'count' }],
  closes: [{ what: 'name', count: 'count or null' }],
  hold: 'yes or no',
  when: [{ step: 'text', outcomes: ['text'] }],
  after: ['text'],
  leave: new Set(['own', 'lead', 'never']),
  may_refuse: 'yes or no',
  values: ['name'],
  'shows?': ['name'],
  'holds?': ['name'],
  'doubts?': ['name'],
  'stop?': 'yes or no',
  'picture?': { file: 'file', alt: 'text' },
  was: ['path'],
  completion: 'yes or no',
  duty: 'digest',
  wording: 'digest',
};
const GATE = { kinds: ['text'], lists: ['text'], ready: 'yes or no' };
const SHEET = {
  stages: [{ order: new Set(['any', 'kept', 'absolute']) }],
  steps: [STEP],
  values: { '*': VALUE },
  items: { '*': { kind: 'text', list: 'text or null', count: 'count' } },
  needs: { '*': 'anything' },
  shop: { people: [{ initials: 'text', role: 'text' }] },
  'second_reader?': 'pause',
};

const NEW = ['units', 'results', 'tables', 'givens'];
const COLUMN = { label: 'text', unit: 'text' };
const LIMIT = { when: 'anything', verdict: 'text', bad: 'yes or no', say: 'anything', do: 'anything' };
const RESULT = {
  name: 'name',
  label: 'text',
  kind: 'text',
  unit: 'text',
  step: 'step or null',
  why: 'text or null',
  tree: 'anything',
  inputs: ['text'],
  limits: [LIMIT],
  hold: 'yes or no',
  fills: 'name or null',
};
const FIGURES = {
  units: { '**': { kind: 'text', scale: 'scale', offset: 'number' } },
  readings: { '*': { label: 'text', kind: 'text', unit: 'text', 'from?': 'number', 'to?': 'number' } },
  results: [RESULT],
  tables: { '*': { title: 'text', source: 'text', x: COLUMN, y: COLUMN, rows: [['number']] } },
  givens: { '*': { label: 'text', kind: 'text', unit: 'text', 'number?': 'number' } },
  values: { '*': { kind: 'text', label: 'text' } },
};

const has = (value, key, of) => {
  const name = key.replace(/\?$/, '');
  const given = own(value, name);
  return (given === null && name !== key) || (Object.hasOwn(value, name) && fits(given, of));
};

const fits = (value, shape) => {
  if (typeof shape === 'string') {
    const [plain] = shape.split(' or null');
    return (shape !== plain && value === null) || PLAIN[plain](value);
  }
  if (shape instanceof Set) return shape.has(value);
  if (Array.isArray(shape)) return Array.isArray(value) && value.every((item) => fits(item, shape[0]));
  if (!isObject(value)) return false;
  if ('**' in shape) return Object.values(value).every((item) => fits(item, shape['**']));
  for (const [sign, kind] of [['*', 'name'], ['-', 'id']]) {
    if (Object.hasOwn(shape, sign)) return Object.entries(value).every(([name, item]) => PLAIN[kind](name) && fits(item, own(shape, sign)));
  }
  return Object.entries(shape).every(([key, of]) => has(value, key, of));
};

const ownValue = ({ value }) => (typeof value === 'string' ? [value] : []);

const holdsTogether = (step, { stages, items, values }) => (
  fits(step.check, CHECKS[step.check.kind])
  && ANY_CHECK.every(([key, of]) => !Object.hasOwn(step.check, key) || fits(own(step.check, key), of))
  && ((step.gate ?? null) === null || fits(step.gate, GATE)) && step.stage < stages.length
  && [...step.opens, ...step.closes].every(({ what }) => Object.hasOwn(items, what))
  && [...step.values, ...ownValue(step.check)].every((name) => Object.hasOwn(values, name))
);

// Readings, results and all that their arithmetic needs; a worksheet has all of it or, an old one, none.
const hasFigures = (sheet) => {
  if (!fits(sheet, FIGURES)) return false;
  const results = new Set(sheet.results.map(({ name }) => name));
  const held = sheet.steps.flatMap(({ holds }) => holds ?? []);
  const taken = sheet.steps.flatMap(({ check }) => takesOf(check).map(([name]) => name));
  return results.size === sheet.results.length && held.every((name) => results.has(name))
    && taken.every((name) => Object.hasOwn(sheet.readings, name)) && areBounded(sheet);
};

// Wrenches, adapters and their arithmetic, each where the worksheet has it.
const hasTools = (sheet) => (
  Object.keys(TOOLS).every((key) => !Object.hasOwn(sheet, key) || fits(own(sheet, key), TOOLS[key]))
  && fits(Object.hasOwn(sheet.needs, 'no_wrench') ? sheet.needs.no_wrench : [], NO_WRENCH) && areSound(sheet)
);

/** Can it be folded over? What it means is the compiler's business. */
export const isSheet = (sheet) => (
  fits(sheet, SHEET) && sheet.v === 1 && sheet.steps.every((step) => holdsTogether(step, sheet))
  && new Set(sheet.steps.map(({ path }) => path)).size === sheet.steps.length
  && (!NEW.some((key) => Object.hasOwn(sheet, key)) || hasFigures(sheet)) && hasTools(sheet)
);
