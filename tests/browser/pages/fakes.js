// Storage that fails in ways a real disk rarely does on demand. Everything not failing is the browser's own.

/** An IndexedDB that never answers, not even to open. */
export const silent = { open: () => ({}) };

const never = () => {};

const deafShelf = () => new Proxy({}, { get: () => () => ({}) });

/** end(tx) decides what becomes of a write: abortWith(...) or never. */
const failingWrite = (end) => {
  const tx = { objectStore: deafShelf, abort: never, error: null };
  setTimeout(() => end(tx));
  return tx;
};

/** The browser's IndexedDB, whose writes are counted and end as `plan.end` says; null lets them through. */
export const failing = (plan) => ({
  ...plan,
  open: (...about) => {
    const request = globalThis.indexedDB.open(...about);
    const passed = {};
    request.onupgradeneeded = () => passed.onupgradeneeded();
    request.onerror = () => passed.onerror();
    request.onsuccess = () => {
      const db = request.result;
      plan.db = {
        objectStoreNames: db.objectStoreNames,
        close: () => db.close(),
        transaction: (names, mode, options) => {
          if (mode !== 'readwrite') return db.transaction(names, mode, options);
          plan.writes = (plan.writes ?? 0) + 1;
          return plan.end ? failingWrite(plan.end) : db.transaction(names, mode, options);
        },
      };
      passed.onsuccess();
    };
    Object.defineProperty(passed, 'result', { get: () => plan.db ?? request.result });
    Object.defineProperty(passed, 'error', { get: () => request.error });
    return passed;
  },
});

export const abortWith = (name, message = '') => (tx) => {
  tx.error = name && new DOMException(message, name);
  tx.onabort();
};

/** A log's worker that opens an empty log and takes no line. */
export class WorkerThatDies {
  postMessage({ id, deed }) {
    const found = { isNew: true, records: [], kept: [], wiped: {}, damaged: 0, isWasteful: false };
    setTimeout(() => this.onmessage({ data: deed === 'open' ? { id, found } : { id, error: 'InvalidStateError' } }));
  }

  terminate() {}
}

export { never };
