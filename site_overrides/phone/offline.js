// The page's half of the service worker: registers it, says how far this phone is, and takes an update when asked.

import { dict, own } from './own.js';
import { trustedAddress } from './trusted.js';
import { SITE_MOVED, SITE_WHY } from './words_site.js';

// This file lies one folder below the site's root, wherever the page that loads it is.
const HOME = new URL('..', import.meta.url);
const PATIENCE = 10_000; // ms that a worker may take to count what it keeps
const AGAIN = 500; // ms until a waiting worker is asked once more to take over, and one that loads is looked at again

/** Registers the worker and calls `onState(state, detail)` at each change. -> {stop(), chosen(), read(which, path)}
 *
 * state: 'none' (cannot be here), 'loading', 'ready', 'update-waiting' (and ready), 'broken' (not ready, will try again).
 * detail: {whole, why?, words?, version?, next?, kept?, listed?, packs?, gone?, failed?, replaced?, moved?, movedWords?}.
 * `why` is a key of SITE_WHY; `next` the version that waits; `packs` what the site has and this phone keeps, {name: {kind,
 * title, engine, revision, steps, sheet, pinned, kept, listed}}; `gone` names that were chosen and are no longer there; `failed` the worker's own
 * account of what did not arrive; `replaced` that another page took an update: this one is the old version; `moved` that
 * the address answers with nothing ('gone') or another address ('elsewhere').
 *
 * pins() -> Promise of the names of the packs this phone is to keep, null for all; asked anew each time, as other pages
 * choose too. chosen(): it gives something else now; resolves once that is on this phone, or cannot be.
 * read('active'|'waiting', path) -> Promise of the text of a file as that worker keeps it, null where it does not.
 */
export const startOffline = ({
  navigator = globalThis.navigator, base = HOME, onState = () => {}, pins = null, page = globalThis.document,
  patience = PATIENCE,
} = {}) => {
  const ear = new AbortController();
  const heard = { signal: ear.signal };
  const container = containerOf(navigator);
  const script = new URL('sw.js', base).href;
  let registration;
  let news = {}; // what a worker that is filling its copy said last
  let replaced = false;
  let counted; // {worker, answer}
  let mended = false;
  let turn = 0;
  let shown;
  let moved = null; // key of SITE_MOVED
  let settling; // {names, worker, isOver, done}: what a worker was told to keep

  // A page at /shop-a/ may be under the worker of another site at / until its own has claimed it.
  const isOurs = worker => worker?.scriptURL === script;

  const show = ({ state, ...detail }) => {
    const { why } = detail;
    const line = JSON.stringify([state, detail, replaced, moved]);
    if (ear.signal.aborted || line === shown) return;
    shown = line;
    page.documentElement.dataset.offline = detail.whole ? 'ready' : state;
    const said = { ...why && { words: SITE_WHY[why] }, ...moved && { moved, movedWords: SITE_MOVED[moved] } };
    onState(state, { whole: false, ...detail, ...said, ...replaced && { replaced } });
  };

  const look = async () => {
    turn += 1;
    const mine = turn;
    const found = await judge();
    if (mine !== turn || ear.signal.aborted) return;
    show(found);
    if (found.state === 'loading') setTimeout(look, AGAIN); // a worker's last change may never be told
  };

  const judge = async () => {
    const { active, waiting, installing } = standing(registration);
    if (news.removed) return { state: 'none', why: news.removed === 'withdrawn' ? 'withdrawn' : 'preview' };
    if (!active) {
      return waiting || installing ? { state: 'loading', ...news } : { state: 'broken', why: 'no-copy', ...news };
    }
    const next = waiting && await ask(waiting, 'count', patience);
    if (next?.removed) {
      activate(registration, waiting);
      return { state: 'loading' };
    }
    if (!isOurs(container.controller) && !waiting && !installing) await ask(active, 'claim', patience);
    const count = await countOf(active);
    if (!count) return unanswered(active, waiting, next);
    const { version, kept, listed, packs, gone } = count;
    const facts = { version, kept, listed, packs: packs && dict(Object.entries(packs)), gone };
    if (await settle(active, waiting, count)) return { state: 'loading', ...facts };
    if (kept < listed) {
      mend(active);
      return { state: 'broken', why: isShellWhole(count) ? 'some-missing' : 'incomplete', ...facts };
    }
    return { state: waiting ? 'update-waiting' : 'ready', whole: true, ...facts, ...next && { next: next.version } };
  };

  // Some other script once stood at the worker's address and came in as one. It serves nothing and is of no use to any
  // page, so a worker of ours that waits behind it is let in unasked. One that is only slow is asked a second time.
  const unanswered = async (active, waiting, next) => {
    if (!next || await ask(active, 'count', patience)) return { state: 'broken', why: 'no-answer' };
    activate(registration, waiting);
    return { state: 'loading' };
  };

  // A worker that knows no packs has no pins, and keeps everything. Whether this must be waited for.
  const settle = async (active, waiting, count) => {
    if (!pins || !('pins' in count)) return false;
    const names = await pins();
    if (same(names, count.pins)) return false;
    if (!same(names, settling?.names) || settling.worker !== active) {
      const mine = { names, worker: active, isOver: false };
      const [told] = [active, waiting].filter(Boolean).map(worker => ask(worker, { pin: names }, 10 * patience));
      settling = mine;
      mine.done = told.then(() => {
        mine.isOver = true;
        return recount();
      });
    }
    return !settling.isOver; // a worker that could not even write down what was chosen keeps what it kept
  };

  // Not asked again while an update arrives: a message at the moment when the old worker is to go makes Chromium start
  // it again, and then the new one may wait for long.
  const countOf = worker => {
    if (counted?.worker !== worker) counted = { worker, answer: ask(worker, 'count', patience) };
    return counted.answer;
  };

  // Once a page life: what is gone may be gone from the server too, and then only the next version can help.
  const mend = async active => {
    if (mended) return;
    mended = true;
    await ask(active, 'repair', 10 * patience);
    recount();
  };

  const begin = async () => {
    news = {};
    try {
      registration = await container.register(trustedAddress(script), { updateViaCache: 'none' });
    } catch (error) {
      registration = await container.getRegistration(String(base)).catch(() => undefined);
      if (!registration?.active) return show(refusal(error));
    }
    registration.addEventListener('updatefound', follow, heard);
    follow();
    if (registration.active) askForNews();
  };

  const follow = () => {
    for (const worker of [registration.installing, registration.waiting, registration.active]) {
      worker?.addEventListener('statechange', look, heard);
    }
    look();
  };

  const recount = () => {
    counted = undefined;
    return look();
  };

  const again = async () => {
    if (!registration?.active) return begin();
    await recount();
    await askForNews();
  };

  const askForNews = async () => {
    const found = await registration.update().then(() => null, () => ask(registration.active, 'moved', patience));
    if (found === undefined || found === moved) return;
    moved = found;
    look();
  };

  const onOnline = () => {
    mended = false;
    return again();
  };

  const chosen = async () => {
    mended = false;
    settling = undefined;
    if (registration) await recount(); // a page without a worker has nothing to count
    await settling?.done;
  };

  const read = async (which, path) => {
    const worker = registration && own(standing(registration), which);
    return worker ? await ask(worker, { read: path }, patience) ?? null : null;
  };

  const onVisible = () => page.visibilityState === 'visible' && again();

  const onChange = () => {
    replaced ||= wasControlled;
    wasControlled = isOurs(container.controller);
    look();
  };

  const onNews = event => {
    if (!isOurs(event.source)) return;
    if (registration?.active && !event.data.removed) return; // an update's own affair until it waits
    news = { ...news, ...event.data };
    if (registration) look();
  };

  if (!container) {
    show({ state: 'none', why: globalThis.isSecureContext ? 'no-worker' : 'plain-http' });
    return { stop: () => ear.abort(), chosen: async () => {}, read: async () => null };
  }
  let wasControlled = isOurs(container.controller);
  container.addEventListener('controllerchange', onChange, heard);
  container.addEventListener('message', onNews, heard);
  container.startMessages();
  page.addEventListener('visibilitychange', onVisible, heard);
  globalThis.addEventListener('online', onOnline, heard);
  begin();
  return { stop: () => ear.abort(), chosen, read };
};

/**
 * Lets the waiting version take over; true once it has, false when none waits. The page then reloads itself. 'late' when
 * the browser is not done with the old worker in time: it takes the new one by itself then, in Chromium within 5 minutes.
 */
export const takeUpdate = async ({ navigator = globalThis.navigator, base = HOME, patience = PATIENCE } = {}) => {
  const container = containerOf(navigator);
  const registration = await container?.getRegistration(String(base));
  const waiting = registration?.waiting;
  if (!waiting) return false;
  const tooLate = new Promise(resolve => setTimeout(resolve, patience, 'late'));
  return Promise.race([takeOver(container, registration, patience), tooLate]);
};

const takeOver = async (container, registration, patience) => {
  const { waiting } = registration;
  const isControlled = container.controller?.scriptURL === waiting.scriptURL;
  const changed = once(container, 'controllerchange');
  await activate(registration, waiting, patience);
  if (waiting.state === 'redundant') return false; // a still newer one came
  if (isControlled) await changed;
  return true;
};

// Asked until it goes on: a request at a moment when the old worker is busy may be forgotten.
const activate = async (registration, waiting, patience = PATIENCE) => {
  for (let waited = 0; standing(registration).waiting === waiting && waited < patience; waited += AGAIN) {
    waiting.postMessage('activate-now');
    await Promise.race([once(waiting, 'statechange'), new Promise(resolve => setTimeout(resolve, AGAIN))]);
  }
};

const same = (names, others) => JSON.stringify(names) === JSON.stringify(others);

// All that is missing belongs to packs.
const isShellWhole = ({ kept, listed, packs = dict() }) => {
  const pinned = Object.values(packs).filter(pack => pack.pinned);
  return listed - kept === pinned.reduce((missing, pack) => missing + pack.listed - pack.kept, 0);
};

const once = (target, name) => new Promise(resolve => target.addEventListener(name, resolve, { once: true }));

// By each worker's own state or by its place in the registration, whichever is further on: a place follows the state
// sooner or later, and where a page opens while a worker installs, Chromium can keep the state that the page saw first.
const standing = ({ installing, waiting, active }) => {
  const workers = [
    [installing, installing?.state],
    [waiting, waiting?.state === 'installing' ? 'installed' : waiting?.state],
    [active, ['installing', 'installed'].includes(active?.state) ? 'activated' : active?.state],
  ];
  const at = (...states) => workers.find(([, state]) => states.includes(state))?.at(0);
  return { installing: at('installing', 'activating'), waiting: at('installed'), active: at('activated') };
};

// A frame without an origin of its own throws where it should say that there is none.
const containerOf = navigator => {
  try {
    return navigator.serviceWorker;
  } catch {
    return undefined;
  }
};

const ask = (worker, question, patience) => new Promise(resolve => {
  const { port1, port2 } = new MessageChannel();
  const tooLate = setTimeout(resolve, patience);
  port1.onmessage = ({ data }) => {
    clearTimeout(tooLate);
    port1.close();
    resolve(data);
  };
  worker.postMessage(question, [port2]);
});

const refusal = error => {
  if (error.name === 'NotSupportedError') return { state: 'none', why: 'blocked' };
  if (error.name === 'SecurityError') return { state: 'none', why: 'refused' };
  return { state: 'broken', why: 'no-copy', failed: `sw.js: ${error.name}` };
};
