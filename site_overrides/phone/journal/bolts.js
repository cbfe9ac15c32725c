// Bolts: which pulls of a one-time bolt count, and what was loosened against what was tightened, list by list.
// The same table as generator/journal/bolts.py.

import { dict, own } from '../base/own.js';
import { isFailure, said } from './answers.js';
import { after } from './entries.js';
import { isPull } from './limits.js';
import { LISTS } from './tables.js';

/**
 * The bolt that a part pulls: of <pass>.<bolt> where bolts are taken one by one, '' where all at once.
 * @param {Check} check
 * @param {string} part
 */
const boltOf = ({ fastener }, part) => (fastener === 'critical' ? part.split('.').slice(1).join('.') : '');

/** @param {Sheet} sheet @param {Check} check @param {Answer} answer */
const saysNew = (sheet, check, { entry: { value }, kind }) => (
  kind === 'check' && !isFailure(check, value) && isPull(sheet, check, value) && value.new === true
);

/**
 * Does anybody say that the bolt is new: this answer of the part, or one that stands for another part of the bolt?
 * What was said before the bolt was loosened says nothing of a pull after it. entry null: an answer not given yet, which
 * nobody's go-back asks about.
 * @param {View} view
 * @param {Step} step
 * @param {Map<string,Standing>} slots
 * @param {string} part
 * @param {Entry} entry
 */
export const isNew = (view, step, slots, part, entry) => {
  const { check } = step;
  if (check.asks_new !== true || entry?.value.new === true) return true;
  const bolt = boltOf(check, part);
  const others = [...slots].filter(([other]) => other !== part && other !== '' && boltOf(check, other) === bolt);
  const told = others.flatMap(([, { answers, disputed }]) => (disputed ? [] : answers)).filter((answer) => saysNew(view.sheet, check, answer));
  const paths = view.pathsOf(step.path);
  const asked = entry ? view.backsOn(paths, entry) : [];
  return told.some((answer) => view.backsOn(paths, answer.entry).every((back) => asked.includes(back)));
};

/**
 * {asks_new: the parts whose next answer must say that the bolt is new}; {} where no bolt is used once.
 * @param {View} view
 * @param {Step} step
 * @param {Map<string,Standing>} slots
 * @param {string[]} of
 */
export const askingNew = (view, step, slots, of) => (
  step.check.asks_new === true ? { asks_new: of.filter((part) => !isNew(view, step, slots, part, null)) } : {}
);

// --- the three lists -------------------------------------------------------------------------------------------------

/**
 * Nobody said where a thing taken off besides belongs, so it is on every list.
 * @param {View} view
 * @param {string} name
 */
export const isOn = (view, name, list) => (
  view.items[name].list === list || (view.tookOff.has(name) && view.items[name].list === null)
);

/**
 * A corrected count stands for the whole item wherever the worksheet says the whole.
 * @param {View} view
 */
export const corrected = (view, item, count) => (
  view.counts.has(item) && count === view.items[item].count ? view.counts.get(item) : count
);

const text = (value) => (said(value) ? value : null);

// The newest pull that stands; `new`: every bolt that was pulled was said to be new.
/** @param {Check} check @param {[string, Entry][]} pulls */
const pulled = (check, pulls) => {
  const entries = pulls.map(([, entry]) => entry);
  const newest = entries.reduce((last, entry) => (last && !after(entry, last) ? last : entry), null);
  const told = new Map();
  for (const [part, { value }] of pulls) {
    const bolt = check.kind === 'tighten' ? boltOf(check, part) : '';
    told.set(bolt, (told.get(bolt) ?? false) || value.new === true);
  }
  return {
    set: text(newest?.value.set),
    wrench: text(newest?.value.wrench),
    who: newest?.who ?? null,
    at: newest?.at ?? null,
    new: told.size > 0 && [...told.values()].every(Boolean),
  };
};

/** @param {View} view @param {string} path @param {string} item @param {Check} check @param {number} count */
const rowOf = (view, path, item, check, count) => {
  const { state, of, done } = view.steps[path];
  const value = check.kind === 'tighten' ? check.value : null;
  const reuse = own(view.sheet?.values, value)?.reuse;
  return {
    item,
    step: path,
    value,
    count: corrected(view, item, count),
    reuse: typeof reuse === 'string' ? reuse : null,
    closed: state === 'done',
    parts: of.length,
    done: done.length,
    ...pulled(check, view.pulls.get(path)),
  };
};

// What closes a bolt and is not needed in this job is no row, unless the bolt is off all the same.
/** @param {View} view */
const rowsOfSheet = (view) => (view.sheet?.steps ?? []).flatMap(({ path, check, closes }) => {
  const isNeeded = (item) => view.steps[path].state !== 'hidden' || view.items[item].open > 0;
  const items = [...new Set(closes.map(({ what }) => what))].filter(isNeeded);
  const countOf = (item) => closes.find(({ what }) => what === item).count ?? view.items[item].count;
  return items.map((item) => rowOf(view, path, item, check, countOf(item)));
});

/**
 * {list: [{item, step, value, count, reuse, closed, parts, done, set, wrench, who, at, new}]}: all bolts of a list, in the
 * order of work; {} where there are none. See docs/format.md.
 * @param {View} view
 */
export const boltLists = (view) => {
  const besides = [...view.tookOff.keys()].map((path) => rowOf(view, path, path, /** @type {Check} */ ({}), view.items[path].count));
  const bolts = [...rowsOfSheet(view), ...besides].filter(({ item }) => view.items[item].kind === 'bolt');
  const lists = LISTS.map((list) => [list, bolts.filter(({ item }) => isOn(view, item, list))]);
  return lists.some(([, rows]) => rows.length) ? dict(lists) : dict();
};
