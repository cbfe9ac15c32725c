// What is open, lot by lot: a lot is what one step opened of one thing. Kept while the steps are walked in their order.
// The same table as generator/journal/opened/ledger.py.

import { after } from '../entries.js';

// The path that it was opened under, the thing, and whether only an older worksheet opens it there.
/** @param {Lot} lot */
export const keyOf = ({ path, what, isOlder }) => JSON.stringify([path, what, isOlder]);

/** @param {Map<string,number>} [allowed] how many of a lot somebody says are back @returns {Lots} */
export const newLedger = (allowed = new Map()) => ({ lots: [], allowed, closings: [] });

/** @param {Lots} ledger @param {string} what */
export const lotsOf = ({ lots }, what) => lots.filter((lot) => lot.what === what);

// What a closing closes of a lot. It keeps how many more it closes.
/** @param {Closing} closing @param {Lot} lot */
const closeOf = (closing, lot) => {
  if (lot.what !== closing.what || !closing.counts(lot)) return;
  const closed = closing.left === null ? lot.open : Math.min(lot.open, closing.left);
  lot.open -= closed;
  lot.rest = Math.min(lot.rest, lot.open);
  if (closing.left !== null) closing.left -= closed;
};

/**
 * Add a lot: {what, path, isOlder, answers, opened, of}. Return how many of it somebody says are back.
 * @param {Lots} ledger
 */
export const openLot = (ledger, lot) => {
  const back = Math.min(lot.opened, ledger.allowed.get(keyOf(lot)) ?? 0);
  const open = lot.opened - back;
  const made = { ...lot, open, rest: open };
  ledger.lots.push(made);
  for (const closing of ledger.closings) closeOf(closing, made);
  return back;
};

/**
 * Close so many of a thing, all if null, of the lots for which `counts` is true.
 * @param {Lots} ledger
 * @param {string} what
 * @param {number|null} count
 * @returns {Closing}
 */
export const closeLots = (ledger, what, count, counts) => {
  const closing = { what, left: count, counts };
  for (const lot of ledger.lots) closeOf(closing, lot);
  return closing;
};

/**
 * The same, also of lots that the worksheet in use has only later.
 * @param {Lots} ledger
 * @param {string} what
 * @param {number|null} count
 */
export const closeWherever = (ledger, what, count, counts) => {
  ledger.closings.push(closeLots(ledger, what, count, counts));
};

/**
 * Note that a step which is not done yet would close so many.
 * @param {Lots} ledger
 * @param {string} what
 * @param {number|null} count
 */
export const couldClose = (ledger, what, count) => {
  let left = count;
  for (const lot of lotsOf(ledger, what)) {
    const closed = left === null ? lot.rest : Math.min(lot.rest, left);
    lot.rest -= closed;
    if (left !== null) left -= closed;
  }
};

/**
 * True if somebody can say what became of a lot: no step closes it all, or only older worksheets opened it.
 * @param {Lots} ledger
 * @param {Lot} lot
 */
export const isAsked = (ledger, lot) => lot.isOlder || lot.rest > 0 || ledger.allowed.has(keyOf(lot));

/**
 * {thing: how many are open here}, of each thing that was opened.
 * @param {Lots} ledger
 */
export const openOf = ({ lots }) => {
  const counts = new Map();
  for (const { what, open } of lots) counts.set(what, (counts.get(what) ?? 0) + open);
  return counts;
};

// True if a word that a thing is back speaks of this lot: it came after its answers, and knew of them. Older versions do
// not say what they knew of (`opened`). Of them only the order counts.
/** @param {Lot} lot @param {Entry} word */
const isTold = ({ answers }, word) => {
  const knew = word.value.opened;
  const isKnown = !Array.isArray(knew) || answers.every(({ id }) => knew.includes(id));
  return isKnown && answers.every((entry) => after(word, entry));
};

/**
 * Share out what people say is back: first to what no step closes, then to what only older worksheets opened.
 * @param {Lot[]} lots
 * @param {Map<string,BackSaid>} words
 */
export const allowances = (lots, words) => {
  const shares = new Map();
  for (const [what, { count, entry }] of words) {
    let left = count;
    const give = (lot, most) => {
      const share = Math.min(most, left);
      shares.set(keyOf(lot), (shares.get(keyOf(lot)) ?? 0) + share);
      left -= share;
    };
    const told = lots.filter((lot) => lot.what === what && isTold(lot, entry));
    for (const lot of told) give(lot, lot.rest);
    for (const lot of told) give(lot, lot.isOlder ? lot.opened - shares.get(keyOf(lot)) : 0);
  }
  return new Map([...shares].filter(([, share]) => share > 0));
};
