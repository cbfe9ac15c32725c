// Works out a compiled formula from what is known so far. The same table as
// generator/quantities/formulas/evaluation.py. Pure. Numbers are doubles in base units; *unknown* is { needs: [names],
// because: [codes] }. Nothing here throws: a tree of a strange shape is unknown because 'broken'.

import { own } from '../base/own.js';
import { NEAR } from './nearness.js';
import { OPERATORS, RAISE, because, isNumber, isTruth } from './operators.js';

export { fromBase, shown, toBase } from './shown.js';

// Levels that are walked. A compiled formula has at most 40.
const DEEPEST = 100;

/** After a reading's name among what is known: half the smallest division of its gauge, in the unit it was read in. */
export const NEEDLE = '.needle';

const isText = (value) => typeof value === 'string';

export const isUnknown = (value) => Array.isArray(value?.needs) && Array.isArray(value.because);

const needing = (name) => ({ needs: [name], because: [] });

// Everything that is needed, and every reason; sorted, each once.
const united = (unknown) => {
  const all = (key) => [...new Set(unknown.flatMap((one) => own(one, key)))].sort();
  return { needs: all('needs'), because: all('because') };
};

// A number is finite and never -0.
const known = (value) => {
  if (isNumber(value)) return Number.isFinite(value) ? value + 0 : because('large');
  return isTruth(value) || isUnknown(value) ? value : because('broken');
};

const applied = (op, given) => {
  const checked = given.map((value) => (
    isUnknown(value) || op.takes.some((takes) => takes(value)) ? value : because('broken')
  ));
  const unknown = checked.filter(isUnknown);
  return unknown.length ? united(unknown) : known(op.run(...checked));
};

const isRow = (row) => Array.isArray(row) && row.length === 2 && row.every(Number.isFinite);
const isTable = (rows) => (
  Array.isArray(rows) && rows.length > 0 && rows.every(isRow)
  && rows.every((row, number) => number === 0 || rows[number - 1][0] < row[0])
);

// Between the two rows around x, in a straight line, never beyond the ends.
const read = (rows, asked) => {
  const [low, high] = [rows[0][0], rows.at(-1)[0]];
  const slack = NEAR * (high - low);
  if (asked < low - slack || asked > high + slack) return because('outside');
  const x = Math.min(Math.max(asked, low), high);
  const after = rows.findIndex((row) => x <= row[0]);
  const [right, y] = rows.at(after);
  if (x === right) return y;
  const [left, before] = rows[after - 1];
  return before + (y - before) * ((x - left) / (right - left));
};

// One no decides `and`, one yes decides `or`, whatever else is unknown.
const anyOf = (decides) => (parts, env, depth) => {
  const values = parts.map((part) => walk(part, env, depth));
  if (!values.length) return because('broken');
  if (values.includes(decides)) return decides;
  const open = values.filter((value) => !isTruth(value));
  return open.length ? united(open.map((value) => (isUnknown(value) ? value : because('broken')))) : !decides;
};

// Forms that look at their parts themselves.
/** @type {Map<string, (parts: any[], env: any, depth: number) => any>} */
const FORMS = new Map(Object.entries({
  name: ([name, ...rest], env) => {
    if (!isText(name) || rest.length) return because('broken');
    return known(own(env.names, name) ?? needing(name));
  },
  // Half the smallest division of the gauge that a reading was taken on: not known before the reading is.
  needle: ([name, ...rest], env) => {
    if (!isText(name) || rest.length) return because('broken');
    return known(own(env.names, name + NEEDLE) ?? needing(name));
  },
  found: ([path, outcome, ...rest], env) => {
    if (!isText(path) || !isText(outcome) || rest.length) return because('broken');
    const given = own(env.found, path);
    return given === null ? needing(`step:${path}`) : given === outcome;
  },
  if: (parts, env, depth) => {
    if (parts.length !== 3) return because('broken');
    const asked = walk(parts[0], env, depth);
    if (isUnknown(asked)) return asked;
    return isTruth(asked) ? walk(parts[asked ? 1 : 2], env, depth) : because('broken');
  },
  and: anyOf(false),
  or: anyOf(true),
  '**': (parts, env, depth) => {
    if (parts.length !== 2 || !isNumber(parts[1])) return because('broken');
    return applied(RAISE, parts.map((part) => walk(part, env, depth)));
  },
  interp: ([table, ...rest], env, depth) => {
    const rows = isText(table) ? own(env.tables, table) : null;
    if (rest.length !== 1 || !isTable(rows)) return because('broken');
    const x = walk(rest[0], env, depth);
    if (isUnknown(x)) return x;
    return isNumber(x) ? known(read(rows, x)) : because('broken');
  },
}));

const walk = (node, env, depth) => {
  if (isTruth(node)) return node;
  if (isNumber(node)) return Number.isFinite(node) ? node + 0 : because('broken');
  if (depth >= DEEPEST || !Array.isArray(node) || !isText(node[0])) return because('broken');
  const parts = node.slice(1);
  const form = FORMS.get(node[0]);
  if (form) return form(parts, env, depth + 1);
  const op = OPERATORS.get(node[0]);
  if (!op || parts.length < op.least || parts.length > op.most) return because('broken');
  return applied(op, parts.map((part) => walk(part, env, depth + 1)));
};

// What the formula gives: a number, a truth or unknown. env: { names, found, tables }, all in base units.
export const evaluate = (tree, env) => walk(tree, env ?? {}, 0);
