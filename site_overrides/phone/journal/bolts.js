// Bolts: which pulls of a one-time bolt count, and what was loosened and tightened, list by list. The same table as
// generator/journal/bolts.py.

import { dict, own } from '../base/own.js';
import { isFailure, said } from './answers.js';
import { after } from './entries.js';
import { isPull } from './limits.js';
import { isTightened, listsOf } from './trade.js';

/**
 * The bolt that a part pulls: that of <pass>.<bolt> if each bolt is a part, '' if all are one.
 * @param {Check} check
 * @param {string} part
 */
const boltOf = ({ fastener }, part) => (fastener === 'critical' ? part.split('.').slice(1).join('.') : '');

/** @param {Sheet} sheet @param {Check} check @param {Answer} answer */
const saysNew = (sheet, check, { entry: { value }, kind }) => (
  kind === 'check' && !isFailure(check, value) && isPull(sheet, check, value) && value.new === true
);

/**
 * True if somebody says that the bolt is new: in this answer, or in a standing answer to another part of the bolt. If
 * the bolt was loosened after it was called new, that says nothing about a later pull. entry null: the answer has not
 * been given yet, so no go-back asks about it.
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
 * {asks_new: the parts whose next answer must say that the bolt is new}; {} if bolts may be used again.
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
 * True if a thing is on this list. One that was taken off besides, without a list, is on every list.
 * @param {View} view
 * @param {string} name
 */
export const isOn = (view, name, list) => (
  view.items[name].list === list || (view.tookOff.has(name) && view.items[name].list === null)
);

/**
 * The corrected count in place of `count`, if `count` stands for the whole item.
 * @param {View} view
 */
export const corrected = (view, item, count) => (
  view.counts.has(item) && count === view.items[item].count ? view.counts.get(item) : count
);

const text = (value) => (said(value) ? value : null);

// The newest pull that counts. `new`: somebody said of every pulled bolt that it is new.
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

// A row for each step that closes an item, except a step that is not needed while its item is closed.
/** @param {View} view */
const rowsOfSheet = (view) => (view.sheet?.steps ?? []).flatMap(({ path, check, closes }) => {
  const isNeeded = (item) => view.steps[path].state !== 'hidden' || view.items[item].open > 0;
  const items = [...new Set(closes.map(({ what }) => what))].filter(isNeeded);
  const countOf = (item) => closes.find(({ what }) => what === item).count ?? view.items[item].count;
  return items.map((item) => rowOf(view, path, item, check, countOf(item)));
});

/**
 * All bolts of each list in the order of work, {} if there are none (docs/format.md). A row is {item, step, value,
 * count, reuse, closed, parts, done, set, wrench, who, at, new}.
 * @param {View} view
 */
export const boltLists = (view) => {
  const besides = [...view.tookOff.keys()].map((path) => rowOf(view, path, path, /** @type {Check} */ ({}), view.items[path].count));
  const bolts = [...rowsOfSheet(view), ...besides].filter(({ item }) => isTightened(view.trade, view.items[item].kind));
  const lists = listsOf(view.trade).map((list) => [list, bolts.filter(({ item }) => isOn(view, item, list))]);
  return lists.some(([, rows]) => rows.length) ? dict(lists) : dict();
};
