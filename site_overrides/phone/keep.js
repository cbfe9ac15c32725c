// Journals on the device, whatever dies. An entry is kept when IndexedDB says so; local storage mirrors it as a second
// leg. The two are made one when the page starts, and what was found then is told in `trouble`.

import { openEntries } from './keep_entries.js';
import { openMirror } from './keep_mirror.js';
import { openSmall } from './keep_small.js';
import { start } from './keep_start.js';
import { openStore } from './keep_store.js';
import { openTabs } from './keep_tabs.js';

// Reading the property is what throws where site data is blocked, so nobody but this reads it.
const reach = (given, name) => {
  if (given !== undefined) return given;
  try {
    return globalThis[name] ?? null;
  } catch {
    return null;
  }
};

const listenToStorage = (callback) => {
  globalThis.addEventListener('storage', callback);
  return () => globalThis.removeEventListener('storage', callback);
};

/**
 * openKeep({scope, now}) -> Promise of a keep; never rejects.
 * scope: shop id and site path, so that two shops on one origin never meet. now(): ms.
 * indexedDB, localStorage, sessionStorage and BroadcastChannel are the browser's unless given; null means there is
 * none. With every one of them refusing it works in memory and says so.
 *
 * append(entry) -> Promise of {kept, why, mirrored}; kept: false has why: 'timeout', 'abort', 'closed', 'full', 'io',
 *   'blocked'. The same entry may be offered again: it is the same entry.
 * union(entries) -> Promise of {added, had, kept, why, mirrored}: all in one transaction.
 * journal(job) -> Promise of its entries by (lamport, writer, id), also those not kept; unkept(job) -> only those.
 * jobs() -> Promise of [{job, entries, touched}], the one written last first; touched in ms, null after a repair.
 * wipe(job) -> Promise of {wiped, why}. Sheets stay: another job may name them.
 * sheet(digest), putSheet(digest, text), setting(name), setSetting(name, value), pins(), setPins(list): Promises.
 * onOther(callback) -> its stop; callback({job}) when another tab wrote. close() ends everything.
 * trouble: what was found at the start and since, as {what, ...}:
 *   store-blocked, mirror-blocked; store-refuses {why}; store-stopped {why} (close and reopen the browser);
 *   store-empty-mirror-not, store-behind, mirror-empty-store-not, mirror-behind {repaired}: one leg made whole;
 *   entries-missing {atMost, jobs}; mirror-left {job, entries}; mirror-unreadable {key}; entry-unreadable {job, id};
 *   sheet-damaged {digest}. mirror-behind is what any sudden death leaves: local storage is written down late.
 */
export const openKeep = async ({ scope, now, watchdogMs = 2000, listen = listenToStorage, ...given }) => {
  const name = `handturn:${encodeURIComponent(scope)}`;
  const prefix = `${name}:`;
  const trouble = [];
  const tell = (finding) => trouble.push(finding);
  const mirror = openMirror({ prefix, localStorage: reach(given.localStorage, 'localStorage'), tell });

  let stopped = false;
  const stopWriting = (why) => {
    if (!stopped) tell({ what: 'store-stopped', why });
    stopped = true;
    store.stop(why);
  };
  const store = openStore({
    name,
    watchdogMs,
    indexedDB: reach(given.indexedDB, 'indexedDB'),
    onBroken: (why) => {
      stopWriting(why);
      tabs.stop(why);
    },
  });
  const tabs = openTabs({
    prefix,
    listen,
    Channel: reach(given.BroadcastChannel, 'BroadcastChannel'),
    session: reach(given.sessionStorage, 'sessionStorage'),
    onStopped: stopWriting,
  });
  if (tabs.stopped()) stopWriting(tabs.stopped());

  const legs = { read: store.read, write: store.write, mirror, tell };
  const entries = openEntries({ ...legs, now, wrote: tabs.wrote, found: await start(legs) });
  return {
    ...entries,
    ...openSmall(legs),
    onOther: tabs.onWrote,
    close: () => {
      tabs.close();
      store.close();
    },
    get trouble() { return [...trouble]; },
  };
};
