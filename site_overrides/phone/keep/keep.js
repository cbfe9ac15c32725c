// Journals on the device, whatever dies. An entry is saved when IndexedDB says so and, if the browser has a file system
// for it, a log too. Local storage mirrors it. The copies are united when the page starts, and `trouble` says what was
// found then.

import { sheetsNamed } from '../base/entry.js';
import { reach } from '../base/reach.js';
import { openAgain } from './again.js';
import { openEntries } from './entries.js';
import { openLog } from './log.js';
import { openMirror } from './mirror.js';
import { openSheets } from './sheets.js';
import { openSmall } from './small.js';
import { start } from './start.js';
import { openStore } from './store.js';
import { openTabs } from './tabs.js';

const given = (value, name, of) => (value === undefined ? reach(name, of) : value);

const listenToStorage = (callback) => {
  globalThis.addEventListener('storage', callback);
  return () => globalThis.removeEventListener('storage', callback);
};

const listenToReturn = (callback) => {
  const heard = ({ persisted }) => persisted && callback();
  globalThis.addEventListener('pageshow', heard);
  return () => globalThis.removeEventListener('pageshow', heard);
};

// callback(whether the page may be brought back)
const listenToLeave = (callback) => {
  const heard = ({ persisted }) => callback(persisted);
  globalThis.addEventListener('pagehide', heard);
  return () => globalThis.removeEventListener('pagehide', heard);
};

// What was found at the start and since.
const openTrouble = () => {
  let found = [];
  const tell = (finding) => { found.push(finding); };
  const has = (what) => found.some((one) => one.what === what);
  return {
    tell,
    tellOnce: (finding) => { if (!has(finding.what)) tell(finding); },
    has,
    forget: (what) => { found = found.filter((one) => one.what !== what); },
    list: () => [...found],
  };
};

// The store, with the tabs that stop together, and what is told of it. page: {isStarted, found, log, retry}; what is not there
// yet is null. stopWriting is for whoever may not write any more, in this tab; leaveSuspect for a store that may be torn.
const openStoreAndTabs = ({ name, prefix, watchdogMs, listen, from, trouble, page }) => {
  const stopWriting = (why) => {
    trouble.forget('store-refuses');
    trouble.tellOnce({ what: 'store-stopped', why });
    store.stop(why);
  };
  const stopEverywhere = (why) => {
    stopWriting(why);
    tabs.stop(why);
  };
  const store = openStore({
    name,
    watchdogMs,
    indexedDB: given(from.indexedDB, 'indexedDB'),
    onBroken: stopEverywhere,
    onRefused: (why) => page.isStarted && stopWriting(why),
    onAside: (why) => trouble.tellOnce({ what: 'store-set-aside', why }),
  });
  const tabs = openTabs({
    prefix,
    listen,
    listenToReturn,
    Channel: given(from.BroadcastChannel, 'BroadcastChannel'),
    session: given(from.sessionStorage, 'sessionStorage'),
    onStopped: stopWriting,
    onReturn: async () => {
      store.wake();
      await page.log?.wake();
      page.retry?.look();
    },
  });
  if (tabs.stopped()) stopWriting(tabs.stopped());

  // The result of any write: a store that takes something again has recovered, and what it did not take is tried again.
  const write = async (work) => {
    const outcome = await store.write(work);
    if (outcome.done && page.isStarted) trouble.forget('store-refuses');
    if (page.isStarted) setTimeout(page.retry.look);
    return outcome;
  };
  // A store that had lost something may be torn, and a torn one takes what it will not give back. Without a log beside
  // it, or with one that remembers nothing itself, nothing more is written to it until the browser was closed.
  const leaveSuspect = () => {
    const { isStarted, found, log } = page;
    if (isStarted && found.isSuspect && !(log.works() && !found.isAlone) && !store.stopped()) stopEverywhere('suspect');
  };
  return { store, tabs, write, leaveSuspect };
};

// A page that is left must not lock what another page may want: neither the log's file nor a transaction. WebKit leaves
// a running transaction open, and then nothing can be read or written until the browser is closed. What was not saved
// yet is in the mirror. -> its stop
const letGoWhenLeft = ({ store, log }) => listenToLeave((mayReturn) => {
  if (mayReturn) log.sleep();
  store.sleep();
});

// -> wipe(job), which also drops the sheets that no other job names
const wipeWithSheets = (entries, dropSheets) => async (job) => {
  const named = sheetsNamed(await entries.journal(job));
  const outcome = await entries.wipe(job);
  if (!outcome.wiped) return outcome;
  const others = await Promise.all((await entries.jobs()).map((one) => entries.journal(one.job)));
  const needed = new Set(sheetsNamed(others.flat()));
  await dropSheets(named.filter((digest) => !needed.has(digest)));
  return outcome;
};

/**
 * openKeep({scope, now, sheetsName}) -> Promise of a keep; never rejects.
 * scope: shop id and site path, so that two shops on one origin never meet. now(): ms. sheetsName: the cache that is the
 * second home of sheets. indexedDB, localStorage, sessionStorage, caches, BroadcastChannel, storage
 * (navigator.storage, where the log lies) and Worker are the browser's unless given; null means there is none. With every one of them refusing it works in memory and says so.
 *
 * append(entry) -> Promise of {kept, why, mirrored}; kept: false has why: 'timeout', 'abort', 'closed', 'full', 'io',
 *   'blocked', 'unopened', 'suspect'. The same entry may be offered again: it is the same entry. Whatever else of its job is not kept
 *   yet is written with it.
 * union(entries) -> Promise of {added, had, kept, why, mirrored}: all in one transaction.
 * journal(job) -> Promise of its entries by (lamport, writer, id), also those not kept; unkept(job) -> only those, as of
 *   the last word of the store.
 * again(job) -> Promise of {kept, why, mirrored}: one more try at what is not kept, of all jobs without `job`. A store that
 *   is sound is tried by itself too, first after againMs.
 * jobs() -> Promise of [{job, entries, touched}], the one written last first; touched in ms, null after a repair.
 * wipe(job) -> Promise of {wiped, why}. Sheets go with the last job that names them.
 * sheet(digest), putSheet(digest, text), setting(name), setSetting(name, value), pins(), setPins(list): Promises.
 * onOther(callback) -> its stop; callback({job}) when another tab wrote, or what was not kept is kept now; job is null when
 *   the page comes back from where the browser had put it away. close() ends everything.
 * hasLog: whether a log takes what is written. trouble: what was found at the start and since, as {what, ...}:
 *   store-blocked, mirror-blocked; store-refuses {why}, until it takes something; store-stopped {why} (close and reopen the
 *   browser); store-set-aside {why}: another is used beside it;
 *   store-empty-mirror-not, store-behind, mirror-empty-store-not, mirror-behind, log-lost, log-damaged, log-behind {repaired}:
 *   one leg made whole; all-lost: every store is empty, and something was ticked here; log-stopped {why}: the log takes nothing more in this page's life;
 *   entries-missing {atMost, jobs}; mirror-left {job, entries}; mirror-unreadable {key}; entry-unreadable {job, id};
 *   sheet-damaged {digest}. mirror-behind is what any sudden death leaves: local storage is written down late.
 */
export const openKeep = async ({
  scope, now, watchdogMs = 2000, againMs = 4000, listen = listenToStorage, sheetsName = `handturn:${scope} sheets`, ...from
}) => {
  const name = `handturn:${encodeURIComponent(scope)}`;
  const prefix = `${name}:`;
  const trouble = openTrouble();
  const { tell } = trouble;
  const page = { isStarted: false, found: null, log: null, retry: null };
  const mirror = openMirror({ prefix, localStorage: given(from.localStorage, 'localStorage'), tell });
  const { store, tabs, write, leaveSuspect } = openStoreAndTabs({ name, prefix, watchdogMs, listen, from, trouble, page });
  const opening = openLog({
    name,
    watchdogMs,
    storage: given(from.storage, 'storage', globalThis.navigator),
    Worker: given(from.Worker, 'Worker'),
    onStopped: (why) => {
      trouble.tellOnce({ what: 'log-stopped', why });
      leaveSuspect();
    },
  });
  const legs = { read: store.read, write, mirror, tell };
  const shelf = openSheets({ caches: given(from.caches, 'caches'), name: sheetsName });
  const found = await start({ ...legs, opening, wasTicked: shelf.wasTicked, isFresh: () => trouble.has('store-set-aside') });
  const log = await opening;
  const unlistenToLeave = letGoWhenLeft({ store, log });
  Object.assign(page, { isStarted: true, found, log });
  leaveSuspect();
  const { isLeft, ...entries } = openEntries({ ...legs, log, now, noteTicked: shelf.noteTicked, wrote: tabs.wrote, heard: tabs.heard, found });
  page.retry = openAgain({ isLeft, again: entries.again, mayTry: () => !store.stopped(), firstMs: againMs });
  const { dropSheets, ...small } = openSmall({ ...legs, shelf });
  page.retry.look();
  return {
    ...entries,
    ...small,
    wipe: wipeWithSheets(entries, dropSheets),
    onOther: tabs.onWrote,
    close: () => {
      page.retry.close();
      tabs.close();
      unlistenToLeave();
      log.close();
      store.close();
    },
    get hasLog() { return log.works(); },
    get trouble() { return trouble.list(); },
  };
};
