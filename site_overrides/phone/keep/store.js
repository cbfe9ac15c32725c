// The first copy: IndexedDB with strict durability. A write counts once its transaction completes, and not before.

import { openConnection, refusalOf, SHELVES } from './store_open.js';
import { openPatience, openRuns } from './store_run.js';

const inTime = async (opening, ms) => {
  let timer;
  const late = new Promise((resolve) => { timer = setTimeout(resolve, ms, null); });
  try {
    return await Promise.race([opening, late]);
  } finally {
    clearTimeout(timer);
  }
};

// Begins transactions: -> Promise of one, or of null when the store did not answer or writing was stopped meanwhile.
const openBegin = ({ connection, patience, runs, isAsleep, onBroken }) => {
  // -> the open database, or null after a timeout; rejects when the browser refuses.
  const connect = async (mode) => {
    const db = await inTime(connection.connect(), patience.of(mode));
    if (!db) patience.inVain(mode);
    return db;
  };
  return async (mode, barred) => {
    const start = (db) => (
      db && !barred() && !isAsleep() ? db.transaction(Object.keys(SHELVES), mode, { durability: 'strict' }) : null
    );
    const db = await connect(mode);
    try {
      return start(db);
    } catch (error) {
      if (error.name !== 'InvalidStateError') throw error;
      connection.forget();
      if (runs.isUneasy() && mode === 'readwrite') {
        onBroken('closed');
        throw error;
      }
      return start(await connect(mode));
    }
  };
};

/**
 * openStore({name, indexedDB, watchdogMs, onBroken, onRefused, onAside}) -> {write, read, stop, stopped, sleep, wake, close}
 * write(work), read(work) -> Promise of {done: true, found} or {done: false, why}; why is 'timeout', 'abort', 'closed',
 * 'full', 'io', 'blocked' or 'unopened'. work(shelf, ask) runs inside one transaction: shelf(name) is an object store,
 * ask(label, request, then) puts the request's result into found[label]. Nothing here throws or rejects.
 * onBroken(why) is called after an I/O error, onRefused(why) when the store does not open: nothing is written to it in this
 * page's life then. onAside(why): a store of a newer version ('newer') or one that lacks a shelf ('shelves') is left as it
 * is, and the one beside it is used. After stop(why) nothing is written any more, and write says that why; stopped() -> why.
 * sleep() gives up what is under way and begins nothing until wake(): a page that is left in the middle of a transaction may
 * lock every other out.
 */
export const openStore = ({ name, indexedDB, watchdogMs, onBroken, onRefused = () => {}, onAside = () => {} }) => {
  let stopped = null;
  let isAsleep = false;
  const refused = (error) => {
    if (stopped) return;
    stopped = refusalOf(error);
    onRefused(stopped);
  };
  const patience = openPatience(watchdogMs);
  const runs = openRuns({ patience, onBroken });
  const connection = openConnection({ name, indexedDB, onClosed: runs.closed, onRefused: refused, onAside });
  const begin = openBegin({ connection, patience, runs, isAsleep: () => isAsleep, onBroken });

  const transact = async (mode, work, barred) => {
    if (isAsleep) return { done: false, why: 'abort' };
    if (barred()) return { done: false, why: barred(), stopped: true };
    try {
      const tx = await begin(mode, barred);
      return tx ? await runs.run(tx, mode, work) : { done: false, why: barred() ?? 'timeout' };
    } catch (error) {
      return { done: false, why: error.name === 'InvalidStateError' ? 'closed' : refusalOf(error) };
    }
  };
  return {
    read: (work) => transact('readonly', work, () => null),
    write: (work) => transact('readwrite', work, () => stopped),
    stop: (why) => { stopped ??= why; },
    stopped: () => stopped,
    sleep: () => {
      isAsleep = true;
      runs.giveUp();
    },
    wake: () => { isAsleep = false; },
    close: connection.close,
  };
};
