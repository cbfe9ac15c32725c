// The page's half of the service worker: registers it, says how far this phone is, and takes an update when asked.

import { trustedAddress } from './trusted.js';

// This file lies one folder below the site's root, wherever the page that loads it is.
const HOME = new URL('..', import.meta.url);
const PATIENCE = 10_000; // ms that a worker may take to count what it keeps
const AGAIN = 500; // ms until a waiting worker is asked once more to take over

// What happened, what is safe, what to do next.
export const WORDS = {
  'plain-http': 'Not kept for work without a network: this page came over plain http. What you tick is kept on this'
    + ' phone. Open the shop\'s https address instead.',
  'no-worker': 'Not kept for work without a network: this browser cannot do it. What you tick is kept on this phone.'
    + ' Use an up-to-date browser, not in a private window.',
  blocked: 'Not kept for work without a network: site data is blocked in this browser. Allow it for this address.',
  refused: 'Not kept for work without a network: the browser does not trust this address or its certificate.'
    + ' Ask whoever looks after the site.',
  preview: 'A preview: nothing is kept for work without a network.',
  'no-copy': 'Not yet ready without a network: a file did not arrive whole. What did arrive is kept. Stay on the'
    + ' network and open this page again.',
  incomplete: 'Not ready without a network: part of the copy on this phone is gone. What you tick is still kept.'
    + ' Stay on the network until this line is gone.',
  'no-answer': 'Not known whether this phone is ready without a network. Close this page and open it again.',
};

/** Registers the worker and calls `onState(state, detail)` at each change, until the returned function is called.
 *
 * state: 'none' (cannot be here), 'loading', 'ready', 'update-waiting' (and ready), 'broken' (not ready, will try again).
 * detail: {whole, why?, words?, version?, kept?, listed?, failed?, replaced?}; `why` is a key of WORDS, `failed` the
 * worker's own account of what did not arrive, `replaced` that another page took an update: this one is the old version.
 */
export const startOffline = ({
  navigator = globalThis.navigator, base = HOME, onState = () => {}, page = globalThis.document, patience = PATIENCE,
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

  // A page at /shop-a/ may be under the worker of another site at / until its own has claimed it.
  const isOurs = worker => worker?.scriptURL === script;

  const show = ({ state, ...detail }) => {
    const { why } = detail;
    const line = JSON.stringify([state, detail, replaced]);
    if (ear.signal.aborted || line === shown) return;
    shown = line;
    page.documentElement.dataset.offline = detail.whole ? 'ready' : state;
    onState(state, { whole: false, ...detail, ...why && { words: WORDS[why] }, ...replaced && { replaced } });
  };

  const look = async () => {
    turn += 1;
    const mine = turn;
    const found = await judge();
    if (mine === turn) show(found);
  };

  const judge = async () => {
    const { active, waiting, installing } = standing(registration);
    if (news.removed) return { state: 'none', why: 'preview' };
    if (!active) {
      return waiting || installing ? { state: 'loading', ...news } : { state: 'broken', why: 'no-copy', ...news };
    }
    if (waiting && (await ask(waiting, 'count', patience))?.removed) {
      activate(waiting);
      return { state: 'loading' };
    }
    if (!isOurs(container.controller) && !waiting && !installing) await ask(active, 'claim', patience);
    const count = await countOf(active);
    if (!count) return { state: 'broken', why: 'no-answer' };
    const { version, kept, listed } = count;
    if (kept < listed) {
      mend(active);
      return { state: 'broken', why: 'incomplete', version, kept, listed };
    }
    return { state: waiting ? 'update-waiting' : 'ready', whole: true, version, kept, listed };
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
    await registration.update().catch(() => {}); // no network: next time
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
    return () => ear.abort();
  }
  let wasControlled = isOurs(container.controller);
  container.addEventListener('controllerchange', onChange, heard);
  container.addEventListener('message', onNews, heard);
  container.startMessages();
  page.addEventListener('visibilitychange', onVisible, heard);
  globalThis.addEventListener('online', again, heard);
  begin();
  return () => ear.abort();
};

/** Lets the waiting version take over; true once it has, false when none waits. The page then reloads itself. */
export const takeUpdate = async ({ navigator = globalThis.navigator, base = HOME } = {}) => {
  const container = containerOf(navigator);
  const registration = await container?.getRegistration(String(base));
  const waiting = registration?.waiting;
  if (!waiting) return false;
  const isControlled = container.controller?.scriptURL === waiting.scriptURL;
  const changed = once(container, 'controllerchange');
  await activate(waiting);
  if (waiting.state === 'redundant') return false; // a still newer one came
  if (isControlled) await changed;
  return true;
};

// Asked until it goes on: a request at a moment when the old worker is busy may be forgotten.
const activate = async waiting => {
  while (waiting.state === 'installed') {
    waiting.postMessage('activate-now');
    await Promise.race([once(waiting, 'statechange'), new Promise(resolve => setTimeout(resolve, AGAIN))]);
  }
};

const once = (target, name) => new Promise(resolve => target.addEventListener(name, resolve, { once: true }));

// By each worker's own state: the registration's three places follow it sooner or later.
const standing = ({ installing, waiting, active }) => {
  const workers = [installing, waiting, active];
  const at = (...states) => workers.find(worker => states.includes(worker?.state));
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
