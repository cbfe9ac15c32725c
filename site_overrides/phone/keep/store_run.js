// One piece of work in one transaction of the store, followed until it is done, fails, or does not answer in time.

import { dict, table } from '../base/own.js';

// Refusals after which the store is still sound. Anything else is an I/O error: writing on after one
// has cost the whole store at the next launch, so the caller stops writing for this browser session.
const SOUND = table({
  QuotaExceededError: 'full',
  AbortError: 'abort',
  ConstraintError: 'abort',
  DataError: 'abort',
  DataCloneError: 'abort',
  InvalidStateError: 'closed',
});

const reasonOf = (error) => {
  if (!error) return { why: 'abort', sound: true };
  if (SOUND[error.name]) return { why: SOUND[error.name], sound: true };
  return { why: /NO_SPACE/.test(error.message) ? 'full' : 'io', sound: false };
};

// A person who tapped does not have to wait. But a store that opens slowly after a crash is worth a wait, because it
// holds the job. After one wait without an answer, the other reads of the page do not wait again.
const READS_WAIT = 5;
const SILENT_WAIT = 0.25;

/** openPatience(watchdogMs) -> {of(mode), inVain(mode), answered()}: how many ms to wait for the store. */
export const openPatience = (watchdogMs) => {
  let silent = false; // the last read was waited for in vain
  const of = (mode) => (mode === 'readonly' ? (silent ? SILENT_WAIT : READS_WAIT) * watchdogMs : watchdogMs);
  const inVain = (mode) => { silent ||= mode === 'readonly'; };
  return { of, inVain, answered: () => { silent = false; } };
};

// A transaction, its watchdog and its outcome. The first result counts.
const openRun = ({ tx, mode, patience, underWay, resolve }) => {
  let timer;
  const end = (outcome) => {
    clearTimeout(timer);
    underWay.delete(end);
    resolve(outcome);
  };
  end.writes = mode === 'readwrite';
  const abort = () => {
    try { tx.abort(); } catch { /* it is already over */ }
  };
  const bark = (onBark) => {
    onBark();
    patience.inVain(mode);
    end({ done: false, why: 'timeout' });
    abort();
  };
  // Every answered request restarts the timeout, so that a long import does not look like a dead store.
  const alive = (onBark) => {
    clearTimeout(timer);
    timer = setTimeout(bark, patience.of(mode), onBark);
  };
  end.giveUp = () => {
    tx.onabort = null; // no sign of a bad disk
    end({ done: false, why: 'abort' });
    abort();
  };
  underWay.add(end);
  return { end, abort, alive, isOver: () => !underWay.has(end) };
};

/**
 * openRuns({patience, onBroken}) -> {run(tx, mode, work), closed(), giveUp(), isUneasy()}. run -> Promise of {done, found} or
 * {done: false, why}. closed(): the store was closed, by nobody here. During or right after a failing write that is how an
 * I/O error shows; else it is a phone that put the browser to sleep. isUneasy(): the last write failed for a reason that
 * may be the disk's.
 */
export const openRuns = ({ patience, onBroken }) => {
  const underWay = new Set();
  let uneasy = false;

  const run = (tx, mode, work) => new Promise((resolve) => {
    const found = dict();
    const { end, abort, alive, isOver } = openRun({ tx, mode, patience, underWay, resolve });
    const onBark = () => { uneasy ||= end.writes; };
    const fail = (error) => {
      const { why, sound } = reasonOf(error);
      uneasy ||= end.writes && why !== 'full';
      if (!sound) onBroken(why);
      end({ done: false, why });
    };
    const ask = (label, request, then) => {
      request.onsuccess = () => {
        if (!isOver()) alive(onBark);
        found[label] = request.result;
        then?.(request.result);
      };
    };
    tx.oncomplete = () => {
      patience.answered();
      uneasy &&= !end.writes;
      end({ done: true, found });
    };
    tx.onabort = () => fail(tx.error);
    alive(onBark);
    try {
      work((shelf) => tx.objectStore(shelf), ask);
    } catch (error) {
      fail(error);
      abort();
    }
  });
  const closed = () => {
    if (uneasy || [...underWay].some((end) => end.writes)) onBroken('closed');
    for (const end of underWay) end({ done: false, why: 'closed' });
  };
  const giveUp = () => { for (const end of [...underWay]) end.giveUp(); };
  return { run, closed, giveUp, isUneasy: () => uneasy };
};
