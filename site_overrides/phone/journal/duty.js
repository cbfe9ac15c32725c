// What a step asks, as a text that is worked out from the worksheet itself. Anybody may have made a worksheet, and may
// have copied the digests of another one. So two steps ask the same only if both their digests and their contents are
// the same. The same table as generator/journal/duty.py.

import { canonical } from '../base/canonical.js';
import { dict, own } from '../base/own.js';
import { DUTY, WORDING } from './tables.js';

const isObject = (value) => value !== null && typeof value === 'object' && !Array.isArray(value);
const isText = (value) => typeof value === 'string';

// The names in a tree of text.
const namedIn = (tree) => {
  if (Array.isArray(tree)) return tree.flatMap(namedIn);
  if (!isObject(tree)) return [];
  return isText(own(tree, 'v')) ? [own(tree, 'v')] : namedIn(own(tree, 'c'));
};

const plain = (tree) => {
  if (Array.isArray(tree)) return tree.map(plain).join('');
  if (isObject(tree)) return isText(own(tree, 'v')) ? `{${own(tree, 'v')}}` : plain(own(tree, 'c'));
  return isText(tree) ? tree : '';
};

// How the results that a step shows are worked out, with all results they need or name in their texts.
/** @param {Sheet} sheet @param {string[]} shows */
const arithmetic = (sheet, shows) => {
  const byName = new Map((sheet.results ?? []).map((result) => [result.name, result]));
  const wanted = new Set(shows.filter((name) => byName.has(name)));
  for (const name of wanted) {
    const { inputs, limits } = byName.get(name);
    const said = limits.flatMap((limit) => namedIn([own(limit, 'say'), own(limit, 'do')]));
    for (const other of [...inputs, ...said]) if (byName.has(other)) wanted.add(other);
  }
  return [...byName.values()].filter(({ name }) => wanted.has(name)).map(({ name, tree, limits, hold }) => (
    { name, tree, limits: limits.map(({ when, bad }) => [when, bad]), hold }
  ));
};

// Who may sign is judged by the worksheet in use, so a signature by the right person stays good.
/** @param {Step} step */
const checkOf = ({ check: { qualified, ...check } }) => {
  if (!Array.isArray(check.parts)) return check;
  return { ...check, parts: check.parts.map((part) => dict(Object.entries(part).filter(([key]) => key !== 'settings'))) };
};

// A value without its limits: a new limit does not change the value.
const bare = (value) => (value === null ? null : dict(Object.entries(value).filter(([key]) => key !== 'limits')));

/**
 * What makes a person do a step again when it changes: check-off without wrenches, values, cautions, arithmetic.
 * @param {Sheet} sheet
 * @param {Step} step
 */
export const dutyText = (sheet, step) => canonical({
  ...Object.fromEntries(DUTY.map((key) => [key, own(step, key)])),
  check: checkOf(step),
  values: dict(step.values.map((name) => [name, bare(own(sheet.values, name))])),
  results: arithmetic(sheet, step.shows ?? []),
});

const WHITE = /[\t-\r\u001c-\u0020\u0085\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]+/; // as Python splits

/** @param {Step} step */
export const wordingText = (step) => canonical(WORDING.map((key) => (
  plain(own(step, key)).split(WHITE).filter(Boolean).join(' ')
)));

// A step is part of one worksheet, so its texts are worked out once.
const texts = new WeakMap();

/**
 * What a step of a worksheet asks, and its wording: {duty, wording}, each the digest together with the content.
 * @param {Sheet} sheet
 * @param {Step} step
 */
export const asks = (sheet, step) => {
  if (!texts.has(step)) {
    texts.set(step, { duty: `${step.duty} ${dutyText(sheet, step)}`, wording: `${step.wording} ${wordingText(step)}` });
  }
  return texts.get(step);
};
