// The third copy: a log in the origin's private file system, written by a worker that says when a line is on the disk. It
// shares no file with the first copy, so that one torn file never loses both.

import { trustedAddress } from '../base/trusted.js';
import { keyOf } from './unite.js';

const SCRIPT = new URL('../keep_log_worker.js', import.meta.url).href;
const READS_WAIT = 5; // as patient as the first leg

// A refusal after which the log is still sound; it is tried again with the next line. Any other ends it for this page.
const FULL = 'QuotaExceededError';

const startWorker = (Worker) => new Worker(trustedAddress(SCRIPT), { name: 'handturn-log' });

// -> ask(deed, about, patience) -> Promise of what the worker found; rejects with an error's name, or 'timeout'
const talkTo = (worker) => {
  const asked = new Map();
  let last = 0;
  const settle = (id, error, found) => {
    asked.get(id)?.(error, found);
    asked.delete(id);
  };
  worker.onmessage = ({ data: { id, found, error } }) => settle(id, error, found);
  worker.onerror = (event) => {
    event.preventDefault?.();
    for (const id of [...asked.keys()]) settle(id, 'error');
  };
  return (deed, about, patience) => new Promise((resolve, reject) => {
    const id = last += 1;
    const timer = setTimeout(settle, patience, id, 'timeout');
    asked.set(id, (error, found) => {
      clearTimeout(timer);
      if (error) reject(error);
      else resolve(found);
    });
    worker.postMessage({ id, deed, ...about });
  });
};

const NOTHING = { records: [], kept: new Set(), wiped: {}, damaged: 0, isNew: true };

/**
 * openLog({name, storage, Worker, watchdogMs, onStopped}) -> Promise of the log; never rejects. storage is
 * navigator.storage, Worker the browser's; null means there is none.
 * atOpening: {records, kept: marks that the first leg had taken as well, wiped, damaged: lines, isNew}; works(): whether lines
 * are taken; why: what kept it from opening, null where this browser has no such file system.
 * put(records) -> Promise of {done, why}, on the disk when done; what the log holds is not written again. has(record).
 * confirm(marks) notes that the first leg has them too. wipe(wiped) -> Promise: what stood of these jobs up to those
 * counters leaves every file that no other page has open. sleep() lets go of the file, wake() takes one again. onStopped(why) follows a fault: nothing is written any more.
 */
export const openLog = async ({ name, storage, Worker, watchdogMs, onStopped }) => {
  let ask = null;
  let worker = null;
  let atOpening = NOTHING;
  let why = null;
  let isWasteful = false;
  let isAsleep = false;
  const held = new Set();

  const end = () => {
    ask = null;
    worker?.terminate();
  };

  const begin = async () => {
    worker = startWorker(Worker);
    const talk = talkTo(worker);
    const { records, kept, isWasteful: wasteful, ...rest } = await talk('open', { name }, READS_WAIT * watchdogMs);
    atOpening = { ...rest, records, kept: new Set(kept) };
    isWasteful = wasteful;
    for (const record of records) held.add(keyOf(record));
    ask = talk;
  };

  const open = async () => {
    try {
      await begin();
    } catch (error) {
      why = typeof error === 'string' ? error : error.name;
      end();
    }
  };

  const stop = (reason) => {
    if (!ask) return;
    end();
    onStopped(reason);
  };

  const tell = async (deed, about, patience = watchdogMs) => {
    if (!ask) return { done: false, why: 'closed' };
    try {
      await ask(deed, about, patience);
      return { done: true };
    } catch (error) {
      if (error === FULL) return { done: false, why: 'full' };
      stop(error === 'timeout' ? 'timeout' : 'io');
      return { done: false, why: error === 'timeout' ? 'timeout' : 'io' };
    }
  };

  const put = async (records) => {
    const fresh = records.filter((record) => !held.has(keyOf(record)));
    if (!fresh.length) return { done: true };
    const outcome = await tell('append', { lines: fresh.map((entry) => ({ entry })) });
    if (outcome.done) for (const record of fresh) held.add(keyOf(record));
    return outcome;
  };

  const wipe = (wiped) => tell('compact', { wiped }, READS_WAIT * watchdogMs);

  if (typeof storage?.getDirectory === 'function' && Worker) await open();
  return {
    atOpening,
    why,
    works: () => ask !== null,
    isWasteful: () => isWasteful,
    has: (record) => held.has(keyOf(record)),
    put,
    confirm: (marks) => { if (ask && marks.length) tell('note', { lines: [{ kept: marks }] }); },
    wipe,
    sleep: () => {
      isAsleep = ask !== null;
      end();
    },
    wake: async () => {
      if (isAsleep) await open();
      isAsleep = false;
    },
    close: end,
  };
};
