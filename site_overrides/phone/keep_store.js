// The first copy: IndexedDB with strict durability. A write counts once its transaction completes, and not before.

import { dict, table } from './own.js';

const SHELVES = {
  entries: ['job', 'id', 'mark'],
  jobs: 'job',
  sheets: 'digest',
  settings: 'name',
  notes: 'name',
};

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

// A person who tapped does not have to wait. But a store that opens slowly after a crash is worth a wait: it holds the job.
// After one wait in vain, the many other reads of the page do not wait again.
const READS_WAIT = 5;
const SILENT_WAIT = 0.25;

const layOut = (db) => {
  for (const [name, keyPath] of Object.entries(SHELVES)) db.createObjectStore(name, { keyPath });
};

const hasShelves = (db) => Object.keys(SHELVES).every((name) => db.objectStoreNames.contains(name));

const BESIDE = ['', ':2', ':3']; // what a name gets behind it where the store before was set aside

// A browser that denies access says so. Anything else that keeps a store from opening may be a fault of the disk.
const refusalOf = (error) => {
  const isDenied = !(error instanceof DOMException) || error.name === 'SecurityError' || /denied|permission/i.test(error.message);
  return isDenied ? 'blocked' : 'unopened';
};

const openOne = (indexedDB, name) => new Promise((resolve, reject) => {
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => layOut(request.result);
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error ?? new Error('refused'));
});

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
  const underWay = new Set();
  let opening = null;
  let uneasy = false; // the last write failed for a reason that may be the disk's
  let silent = false; // the last read was waited for in vain
  let stopped = null;
  let isAsleep = false;

  const forget = () => { opening = null; };
  const patience = (mode) => {
    if (mode !== 'readonly') return watchdogMs;
    return (silent ? SILENT_WAIT : READS_WAIT) * watchdogMs;
  };
  const inVain = (mode) => { silent ||= mode === 'readonly'; };

  // A close nobody asked for. During or right after a failing write it is how an I/O error shows; otherwise
  // it is a phone that put the browser to sleep, and the next write may open again.
  const closed = () => {
    forget();
    if (uneasy || [...underWay].some((end) => end.writes)) onBroken('closed');
    for (const end of underWay) end({ done: false, why: 'closed' });
  };

  const opened = (db) => {
    db.onclose = closed;
    db.onversionchange = () => { forget(); db.close(); };
    return db;
  };

  // -> the store, or null when it is to be set aside
  const openSound = async (called) => {
    try {
      const db = await openOne(indexedDB, called);
      if (hasShelves(db)) return opened(db);
      db.close();
      onAside('shelves');
    } catch (error) {
      if (error.name !== 'VersionError') throw error;
      onAside('newer');
    }
    return null;
  };

  const openFirst = async () => {
    for (const behind of BESIDE) {
      const db = await openSound(name + behind);
      if (db) return db;
    }
    throw new DOMException('no store opens', 'VersionError');
  };

  const refuse = (error) => {
    forget();
    if (stopped) return;
    stopped = refusalOf(error);
    onRefused(stopped);
  };

  const connect = () => {
    if (opening) return opening;
    opening = openFirst();
    opening.catch(refuse);
    return opening;
  };

  // -> the open database, or null after a timeout; rejects when the browser refuses.
  const connectInTime = async (mode) => {
    let timer;
    const late = new Promise((resolve) => { timer = setTimeout(resolve, patience(mode), null); });
    try {
      const db = await Promise.race([connect(), late]);
      if (!db) inVain(mode);
      return db;
    } finally {
      clearTimeout(timer);
    }
  };

  // -> a transaction, or null when the store did not answer or writing was stopped meanwhile.
  const begin = async (mode, barred) => {
    const start = (db) => (
      db && !barred() && !isAsleep ? db.transaction(Object.keys(SHELVES), mode, { durability: 'strict' }) : null
    );
    const db = await connectInTime(mode);
    try {
      return start(db);
    } catch (error) {
      if (error.name !== 'InvalidStateError') throw error;
      forget();
      if (uneasy && mode === 'readwrite') {
        onBroken('closed');
        throw error;
      }
      return start(await connectInTime(mode));
    }
  };

  const follow = (tx, mode, work) => new Promise((resolve) => {
    const found = dict();
    let timer;
    const end = (outcome) => {
      clearTimeout(timer);
      underWay.delete(end);
      resolve(outcome);
    };
    end.writes = mode === 'readwrite';
    const fail = (error) => {
      const { why, sound } = reasonOf(error);
      uneasy ||= end.writes && why !== 'full';
      if (!sound) onBroken(why);
      end({ done: false, why });
    };
    const abort = () => {
      try { tx.abort(); } catch { /* it is already over */ }
    };
    const bark = () => {
      uneasy ||= end.writes;
      inVain(mode);
      end({ done: false, why: 'timeout' });
      abort();
    };
    end.giveUp = () => {
      tx.onabort = null; // no sign of a bad disk
      end({ done: false, why: 'abort' });
      abort();
    };
    // Every answered request restarts the timeout, so a long import is not taken for a dead store.
    const alive = () => {
      clearTimeout(timer);
      timer = setTimeout(bark, patience(mode));
    };
    const ask = (label, request, then) => {
      request.onsuccess = () => {
        if (underWay.has(end)) alive();
        found[label] = request.result;
        then?.(request.result);
      };
    };
    underWay.add(end);
    tx.oncomplete = () => {
      silent = false;
      uneasy &&= !end.writes;
      end({ done: true, found });
    };
    tx.onabort = () => fail(tx.error);
    alive();
    try {
      work((shelf) => tx.objectStore(shelf), ask);
    } catch (error) {
      fail(error);
      abort();
    }
  });

  const transact = async (mode, work, barred) => {
    if (isAsleep) return { done: false, why: 'abort' };
    if (barred()) return { done: false, why: barred(), stopped: true };
    try {
      const tx = await begin(mode, barred);
      return tx ? await follow(tx, mode, work) : { done: false, why: barred() ?? 'timeout' };
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
      for (const end of [...underWay]) end.giveUp();
    },
    wake: () => { isAsleep = false; },
    close: () => {
      opening?.then((db) => db.close(), () => {});
      opening = null;
    },
  };
};
