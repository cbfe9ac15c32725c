// What this phone can promise about ticks made on it: facts in, keys of sentences out. The browser is asked elsewhere.

const DEAD = new Set(['store-blocked', 'store-refuses', 'store-stopped']);

const storeOf = (found) => {
  const isMain = !found.some(({ what }) => DEAD.has(what));
  const isSecond = !found.some(({ what }) => what === 'mirror-blocked');
  if (isMain) return [isSecond ? 'kept-twice' : 'kept-once'];
  return [isSecond ? 'second-only' : 'nothing', 'stops-ask'];
};

/** @param {{ agreed?: boolean, asked?: boolean, canAsk?: boolean }} clearing */
const clearingOf = ({ agreed, asked, canAsk }) => {
  if (agreed) return 'agreed';
  if (asked) return 'not-agreed';
  return canAsk ? 'not-asked' : 'cannot-ask';
};

const offlineOf = ({ state, whole }) => {
  if (whole) return 'offline-ready';
  return state === 'none' ? 'offline-never' : 'offline-later';
};

/**
 * promised({trouble, log, agreed, asked, canAsk, offline}) -> keys of sentences; the first is about the store itself.
 * trouble: what the keep found; log: whether it has a third store; agreed, asked, canAsk: whether the browser spares the
 * site, was asked to, can be asked; offline: {state, whole} of the copy of the site.
 */
export const promised = ({ trouble, log = true, offline, ...clearing }) => {
  const store = storeOf(trouble);
  const third = isFirm(store) && !log ? ['no-log'] : [];
  // If nothing outlives the page, there is nothing that could be cleared.
  const cleared = store[0] === 'nothing' ? [] : ['unseen', clearingOf(clearing), 'full', 'unused'];
  return [...store, ...third, ...cleared, offlineOf(offline)];
};

const OPEN = new Set(['stops-ask', 'no-log', 'unseen', 'agreed', 'not-agreed', 'full']);

/**
 * What can be read without opening anything: the store, what cannot be seen from here, what the browser answered, and
 * what a full phone does.
 * @param {string[]} keys
 */
export const inTheOpen = ([store, ...rest]) => [store, ...rest.filter((key) => OPEN.has(key))];

/**
 * True if a tick that is shown as saved outlives the browser.
 * @param {string[]} keys
 */
export const isFirm = ([store]) => store === 'kept-twice' || store === 'kept-once';

/** True if the page should first say how to put the site on the home screen, because jobs begun in a tab may not be
 * seen from there. */
export const isInstallFirst = ({ jobs, fromHome, secure }) => jobs === 0 && !fromHome && secure;
