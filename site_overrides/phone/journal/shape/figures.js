// What the arithmetic of a worksheet from elsewhere may be: known operators, few and not deep, tables that rise. The
// same table as generator/journal/shapes/shape_figures.py.

import { OPERATORS } from '../../quantities/operators.js';

const FORMS = new Set(['if', 'and', 'or', '**']);
// Forms that begin with names, and how many of these.
const TEXTS = new Map([['name', 1], ['needle', 1], ['found', 2], ['interp', 1]]);
const DEEPEST = 40;
const MOST_NODES = 500;
const MOST_IN_ALL = 20_000;
const MOST_ROWS = 2_000;
const MOST_RESULTS = 300;

const sum = (numbers) => numbers.reduce((all, number) => all + number, 0);

// Counts the nodes of a tree. The count is over MOST_NODES if it is not a tree.
const sizeOf = (tree, depth) => {
  if (typeof tree === 'boolean' || typeof tree === 'number') return 1;
  if (depth > DEEPEST || !Array.isArray(tree) || typeof tree[0] !== 'string') return MOST_NODES + 1;
  const [op] = tree;
  const texts = TEXTS.get(op) ?? 0;
  if (!(texts || FORMS.has(op) || OPERATORS.has(op)) || tree.length > MOST_NODES) return MOST_NODES + 1;
  const isText = (part) => typeof part === 'string';
  if (tree.length <= texts || !tree.slice(1, texts + 1).every(isText)) return MOST_NODES + 1;
  return 1 + sum(tree.slice(texts + 1).map((part) => sizeOf(part, depth + 1)));
};

const rises = (rows) => (
  rows.length > 0 && rows.length <= MOST_ROWS && rows.every((row) => row.length === 2)
  && rows.every((row, number) => number === 0 || rows[number - 1][0] < row[0])
);

/** True if these trees have known operators, are not deep, and have few nodes in all. */
export const areSmall = (trees) => {
  if (trees.length > MOST_IN_ALL) return false;
  const sizes = trees.map((tree) => sizeOf(tree, 0));
  return sizes.every((size) => size <= MOST_NODES) && sum(sizes) <= MOST_IN_ALL;
};

/** True if its results can be worked out in a moment. The rest of its shape must be sound already. */
export const areBounded = ({ results, tables }) => {
  const whens = results.flatMap(({ limits }) => limits.map(({ when }) => when).filter((when) => when !== null));
  const trees = [...results.flatMap(({ tree, against = [] }) => [tree, ...against]), ...whens];
  return results.length <= MOST_RESULTS && areSmall(trees) && Object.values(tables).every(({ rows }) => rises(rows));
};
