// What a worksheet from a record must look like before it is folded over: a stranger's file may say anything.
// The same table as generator/journal/shape.py. A list of one shape is a list of such; a Set, one of its texts; an object
// with '*', names and what they stand for; an object, at least these fields; a text, one of PLAIN.

const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);
const matches = (pattern) => (value) => typeof value === 'string' && pattern.test(value);

const PLAIN = {
  anything: () => true,
  text: (value) => typeof value === 'string',
  'yes or no': (value) => typeof value === 'boolean',
  count: (value) => Number.isInteger(value) && value >= 0 && value <= 100_000,
  path: matches(/^[a-z][a-z0-9-]*(?:\/[a-z][a-z0-9-]*)*$/),
  name: matches(/^[a-z][a-z0-9_]*$/),
  digest: matches(/^[0-9a-f]{64}$/),
};

const CLASS = new Set(['critical', 'ordinary', 'clip']);
const CHECKS = {
  tick: {},
  tighten: { value: 'name', fastener: CLASS, parts: [{ id: 'text' }] },
  measure: {},
  inspect: { outcomes: [{ name: 'text', fails: 'yes or no' }] },
  wait: { value: 'name', seconds: 'count or null' },
  turn: { value: 'name', count: 'count or null' },
  photo: {},
  sign: { of: ['text'], self_check_after: 'count' },
};
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
  was: ['path'],
  completion: 'yes or no',
  duty: 'digest',
  wording: 'digest',
};
const GATE = { kinds: ['text'], lists: ['text'], ready: 'yes or no' };
const SHEET = {
  stages: [{ order: new Set(['any', 'kept', 'absolute']) }],
  steps: [STEP],
  values: { '*': { text: 'text or null', source: 'anything', class: CLASS } },
  items: { '*': { kind: 'text', list: 'text or null', count: 'count' } },
  needs: { '*': 'anything' },
  shop: { people: [{ initials: 'text', role: 'text' }] },
};

const fits = (value, shape) => {
  if (typeof shape === 'string') {
    const [plain] = shape.split(' or null');
    return (shape !== plain && value === null) || PLAIN[plain](value);
  }
  if (shape instanceof Set) return shape.has(value);
  if (Array.isArray(shape)) return Array.isArray(value) && value.every((item) => fits(item, shape[0]));
  if (!isObject(value)) return false;
  if ('*' in shape) return Object.entries(value).every(([name, item]) => PLAIN.name(name) && fits(item, shape['*']));
  return Object.entries(shape).every(([key, of]) => Object.hasOwn(value, key) && fits(value[key], of));
};

const holdsTogether = (step, { stages, items }) => (
  fits(step.check, CHECKS[step.check.kind]) && ((step.gate ?? null) === null || fits(step.gate, GATE)) && step.stage < stages.length
  && [...step.opens, ...step.closes].every(({ what }) => Object.hasOwn(items, what))
);

/** Can it be folded over? What it means is the compiler's business. */
export const isSheet = (sheet) => (
  fits(sheet, SHEET) && sheet.v === 1 && sheet.steps.every((step) => holdsTogether(step, sheet))
  && new Set(sheet.steps.map(({ path }) => path)).size === sheet.steps.length
);
