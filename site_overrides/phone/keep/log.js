// The third copy: a log in the origin's private file system, written by a worker that says when a line is on the disk. It
// shares no file with the first copy, so that one torn file never loses both.

import { trustedAddress } from '../base/trusted.js';
import { keyOf } from './unite.js';

const SCRIPT = new URL('../keep_log_worker.js', import.meta.url).href;
const READS_WAIT = 5; // as patient as the first leg

// After this refusal the log is still sound, and the next line tries again. Any other one ends it for this page.
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

// The worker while it lives. Its first fault ends it. onOpen(found) hears what the files held before anything is asked.
const openFiles = ({ name, Worker, watchdogMs, onOpen, onStopped }) => {
  let ask = null;
  let worker = null;

  const end = () => {
    ask = null;
    worker?.terminate();
  };

  const begin = async () => {
    worker = startWorker(Worker);
    const talk = talkTo(worker);
    onOpen(await talk('open', { name }, READS_WAIT * watchdogMs));
    ask = talk;
  };

  const stop = (reason) => {
    if (!ask) return;
    end();
    onStopped(reason);
  };

  return {
    isOpen: () => ask !== null,
    end,
    // -> Promise of what kept it from opening, or of null
    open: async () => {
      try {
        await begin();
        return null;
      } catch (error) {
        end();
        return typeof error === 'string' ? error : error.name;
      }
    },
    // -> Promise of {done, why}
    tell: async (deed, about, patience = watchdogMs) => {
      if (!ask) return { done: false, why: 'closed' };
      try {
        await ask(deed, about, patience);
        return { done: true };
      } catch (error) {
        if (error === FULL) return { done: false, why: 'full' };
        const why = error === 'timeout' ? 'timeout' : 'io';
        stop(why);
        return { done: false, why };
      }
    },
  };
};

// What the log held when it opened, and the keys of everything it holds now.
const openContent = () => {
  const content = {
    atOpening: { records: [], kept: new Set(), wiped: {}, damaged: 0, isNew: true },
    isWasteful: false,
    held: new Set(),
    take: ({ isWasteful, ...found }) => {
      content.atOpening = { ...found, kept: new Set(found.kept) };
      content.isWasteful = isWasteful;
      content.add(found.records);
    },
    add: (records) => { for (const record of records) content.held.add(keyOf(record)); },
    has: (record) => content.held.has(keyOf(record)),
  };
  return content;
};

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
  const content = openContent();
  const files = openFiles({ name, Worker, watchdogMs, onOpen: content.take, onStopped });
  let isAsleep = false;

  const put = async (records) => {
    const fresh = records.filter((record) => !content.has(record));
    if (!fresh.length) return { done: true };
    const outcome = await files.tell('append', { lines: fresh.map((entry) => ({ entry })) });
    if (outcome.done) content.add(fresh);
    return outcome;
  };

  const hasFiles = typeof storage?.getDirectory === 'function' && Worker;
  const why = hasFiles ? await files.open() : null;
  return {
    atOpening: content.atOpening,
    why,
    works: files.isOpen,
    isWasteful: () => content.isWasteful,
    has: content.has,
    put,
    confirm: (marks) => { if (files.isOpen() && marks.length) files.tell('note', { lines: [{ kept: marks }] }); },
    wipe: (wiped) => files.tell('compact', { wiped }, READS_WAIT * watchdogMs),
    sleep: () => {
      isAsleep = files.isOpen();
      files.end();
    },
    wake: async () => {
      if (isAsleep) await files.open();
      isAsleep = false;
    },
    close: files.end,
  };
};
