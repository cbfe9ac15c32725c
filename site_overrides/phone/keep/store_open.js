// How the store is opened: its shelves, a new one when the old is set aside, and what a browser says if none opens.

export const SHELVES = {
  entries: ['job', 'id', 'mark'],
  jobs: 'job',
  sheets: 'digest',
  settings: 'name',
  notes: 'name',
};

const layOut = (db) => {
  for (const [name, keyPath] of Object.entries(SHELVES)) db.createObjectStore(name, { keyPath });
};

const hasShelves = (db) => Object.keys(SHELVES).every((name) => db.objectStoreNames.contains(name));

const BESIDE = ['', ':2', ':3']; // what a name gets behind it where the store before was set aside

/** Why no store opens. A browser that denies access says so. Anything else may be a fault of the disk. */
export const refusalOf = (error) => {
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
 * openConnection({name, indexedDB, onClosed, onRefused, onAside}) -> {connect(), forget(), close()}. connect() -> Promise of the
 * database, opened anew after forget(); onClosed() follows a close that nobody asked for, onRefused(error) a store that does
 * not open; onAside(why) as in openStore.
 */
export const openConnection = ({ name, indexedDB, onClosed, onRefused, onAside }) => {
  let opening = null;
  const forget = () => { opening = null; };
  const opened = (db) => {
    db.onclose = () => {
      forget();
      onClosed();
    };
    db.onversionchange = () => { forget(); db.close(); };
    return db;
  };
  // -> the store, or null if it must be set aside
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
    onRefused(error);
  };
  const connect = () => {
    if (opening) return opening;
    opening = openFirst();
    opening.catch(refuse);
    return opening;
  };
  const close = () => {
    opening?.then((db) => db.close(), () => {});
    forget();
  };
  return { connect, forget, close };
};
