// The page's half of the service worker: registers it, says how far this phone is, and takes an update when asked.

import { dict, own } from '../base/own.js';
import { trustedAddress } from '../base/trusted.js';
import { SITE_MOVED, SITE_WHY } from '../words/site.js';
import { activate, AGAIN, ask, containerOf, once, PATIENCE, standing } from './workers.js';

// This file lies one folder below the site's root, wherever the page that loads it is.
const HOME = new URL('../..', import.meta.url);

const same = (names, others) => JSON.stringify(names) === JSON.stringify(others);

// All that is missing belongs to packs.
const isShellWhole = ({ kept, listed, packs = dict() }) => {
  const pinned = Object.values(packs).filter(pack => pack.pinned);
  return listed - kept === pinned.reduce((missing, pack) => missing + pack.listed - pack.kept, 0);
};

const refusal = error => {
  if (error.name === 'NotSupportedError') return { state: 'none', why: 'blocked' };
  if (error.name === 'SecurityError') return { state: 'none', why: 'refused' };
  return { state: 'broken', why: 'no-copy', failed: `sw.js: ${error.name}` };
};

// What a worker says of its copy. Not asked again while an update arrives: a message at the moment when the old worker is
// to go makes Chromium start it again, and then the new one may wait for long.
const openCounts = patience => {
  let counted; // {worker, answer}
  const of = worker => {
    if (counted?.worker !== worker) counted = { worker, answer: ask(worker, 'count', patience) };
    return counted.answer;
  };
  return { of, forget: () => { counted = undefined; } };
};

// What a worker was told to keep. of() -> whether that must be waited for: one that knows no packs keeps everything.
const openSettling = ({ pins, patience, recount }) => {
  let settling; // {names, worker, isOver, done}
  const tell = (names, active, waiting) => {
    const mine = { names, worker: active, isOver: false };
    const [told] = [active, waiting].filter(Boolean).map(worker => ask(worker, { pin: names }, 10 * patience));
    settling = mine;
    mine.done = told.then(() => {
      mine.isOver = true;
      return recount();
    });
  };
  const of = async (active, waiting, count) => {
    if (!pins || !('pins' in count)) return false;
    const names = await pins();
    if (same(names, count.pins)) return false;
    if (!same(names, settling?.names) || settling.worker !== active) tell(names, active, waiting);
    return !settling.isOver; // a worker that could not even write down what was chosen keeps what it kept
  };
  return { of, forget: () => { settling = undefined; }, done: () => settling?.done };
};

// Once until the phone is on line again: what is gone may be gone from the server too, and then only the next version can
// help.
const openMending = ({ patience, recount }) => {
  let mended = false;
  const mend = async active => {
    if (mended) return;
    mended = true;
    await ask(active, 'repair', 10 * patience);
    recount();
  };
  return { mend, forget: () => { mended = false; } };
};

// A foreign script was once installed as our service worker. It serves nothing, so a worker of ours that waits behind it
// is let in without asking. A worker that is only slow is asked a second time.
const unanswered = async ({ registration, active, waiting, next, patience }) => {
  if (!next || await ask(active, 'count', patience)) return { state: 'broken', why: 'no-answer' };
  activate(registration, waiting);
  return { state: 'loading' };
};

// judge(registration, news) -> Promise of {state, ...detail}; news is what a worker that is filling its copy said last.
const openJudge = ({ isControlled, patience, counts, settling, mending }) => async (registration, news) => {
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
  if (!isControlled() && !waiting && !installing) await ask(active, 'claim', patience);
  const count = await counts.of(active);
  if (!count) return unanswered({ registration, active, waiting, next, patience });
  const { version, kept, listed, packs, gone } = count;
  const facts = { version, kept, listed, packs: packs && dict(Object.entries(packs)), gone };
  if (await settling.of(active, waiting, count)) return { state: 'loading', ...facts };
  if (kept < listed) {
    mending.mend(active);
    return { state: 'broken', why: isShellWhole(count) ? 'some-missing' : 'incomplete', ...facts };
  }
  return { state: waiting ? 'update-waiting' : 'ready', whole: true, ...facts, ...next && { next: next.version } };
};

// Tells each change once: on the page, and to whoever follows.
const openFace = (page) => {
  let shown;
  let onState = () => {};
  const tell = ({ state, ...detail }, { replaced, moved }) => {
    const { why } = detail;
    const line = JSON.stringify([state, detail, replaced, moved]);
    if (line === shown) return;
    shown = line;
    page.documentElement.dataset.offline = detail.whole ? 'ready' : state;
    const said = { ...why && { words: SITE_WHY[why] }, ...moved && { moved, movedWords: SITE_MOVED[moved] } };
    onState(state, { whole: false, ...detail, ...said, ...replaced && { replaced } });
  };
  return { tell, follow: (callback) => { onState = callback; } };
};

// A registration, and what each of its changes calls.
const openRegistration = ({ container, base, patience, heard, onChange, onRefused, onMoved }) => {
  let registration;
  const follow = () => {
    for (const worker of [registration.installing, registration.waiting, registration.active]) {
      worker?.addEventListener('statechange', onChange, heard);
    }
    onChange();
  };
  const askForNews = async () => {
    const moved = await registration.update().then(() => null, () => ask(registration.active, 'moved', patience));
    if (moved !== undefined) onMoved(moved);
  };
  const begin = async () => {
    try {
      registration = await container.register(trustedAddress(new URL('sw.js', base).href), { updateViaCache: 'none' });
    } catch (error) {
      registration = await container.getRegistration(String(base)).catch(() => undefined);
      if (!registration?.active) return onRefused(error);
    }
    registration.addEventListener('updatefound', follow, heard);
    follow();
    if (registration.active) askForNews();
  };
  return { begin, askForNews, now: () => registration };
};

// How this page stands with its worker: everything that is found out, and what is told of it.
const openStanding = ({ container, base, pins, patience, heard, isOver, tell }) => {
  const script = new URL('sw.js', base).href;
  // A page at /shop-a/ may be under the worker of another site at / until its own has claimed it.
  const isOurs = worker => worker?.scriptURL === script;
  let news = {}; // what a worker that is filling its copy said last
  let replaced = false;
  let moved = null; // key of SITE_MOVED
  let turn = 0;
  let wasControlled = isOurs(container.controller);

  const show = found => isOver() || tell(found, { replaced, moved });
  const look = async () => {
    turn += 1;
    const mine = turn;
    const found = await judge(site.now(), news);
    if (mine !== turn || isOver()) return;
    show(found);
    if (found.state === 'loading') setTimeout(look, AGAIN); // a worker's last change may never be told
  };
  const counts = openCounts(patience);
  const recount = () => {
    counts.forget();
    return look();
  };
  const settling = openSettling({ pins, patience, recount });
  const mending = openMending({ patience, recount });
  const judge = openJudge({ isControlled: () => isOurs(container.controller), patience, counts, settling, mending });
  const onMoved = found => {
    if (found === moved) return;
    moved = found;
    look();
  };
  const onRefused = error => show(refusal(error));
  const site = openRegistration({ container, base, patience, heard, onChange: look, onRefused, onMoved });
  const begin = () => {
    news = {};
    return site.begin();
  };
  const again = async () => {
    if (!site.now()?.active) return begin();
    await recount();
    await site.askForNews();
  };
  const takeOver = () => {
    replaced ||= wasControlled;
    wasControlled = isOurs(container.controller);
    look();
  };
  const hear = ({ source, data }) => {
    if (!isOurs(source)) return;
    if (site.now()?.active && !data.removed) return; // an update's own affair until it waits
    news = { ...news, ...data };
    if (site.now()) look();
  };
  return { begin, again, takeOver, hear, recount, settling, mending, registration: site.now };
};

// Where there is no worker, and why.
const withoutWorker = (face) => {
  const why = globalThis.isSecureContext ? 'no-worker' : 'plain-http';
  const start = (onState) => {
    face.follow(onState);
    face.tell({ state: 'none', why }, {});
  };
  return { start, stop: () => {}, chosen: async () => {}, read: async () => null };
};

/**
 * openOffline({pins}) -> {start(onState), stop(), chosen(), read(which, path)}. start registers the worker; onState(state, detail)
 * follows each change.
 *
 * state: 'none' (cannot be here), 'loading', 'ready', 'update-waiting' (and ready), 'broken' (not ready, will try again).
 * detail: {whole, why?, words?, version?, next?, kept?, listed?, packs?, gone?, failed?, replaced?, moved?, movedWords?}.
 * `why` is a key of SITE_WHY; `next` the version that waits; `packs` what the site has and this phone keeps, {name: {kind,
 * title, engine, revision, steps, sheet, pinned, kept, listed}}; `gone` names that were chosen and are no longer there;
 * `failed` the worker's own account of what did not arrive; `replaced` that another page took an update: this one is the old
 * version; `moved` that the address answers with nothing ('gone') or another address ('elsewhere').
 *
 * pins() -> Promise of the names of the packs this phone is to keep, null for all; asked anew each time, as other pages
 * choose too. chosen(): it gives something else now; resolves once that is on this phone, or cannot be.
 * read('active'|'waiting', path) -> Promise of the text of a file as that worker keeps it, null where it does not.
 */
export const openOffline = ({
  navigator = globalThis.navigator, base = HOME, pins = null, page = globalThis.document, patience = PATIENCE,
} = {}) => {
  const container = containerOf(navigator);
  const face = openFace(page);
  if (!container) return withoutWorker(face);
  const ear = new AbortController();
  const heard = { signal: ear.signal };
  const site = openStanding({ container, base, pins, patience, heard, isOver: () => ear.signal.aborted, tell: face.tell });

  const start = onState => {
    face.follow(onState);
    container.addEventListener('controllerchange', site.takeOver, heard);
    container.addEventListener('message', site.hear, heard);
    container.startMessages();
    page.addEventListener('visibilitychange', () => page.visibilityState === 'visible' && site.again(), heard);
    globalThis.addEventListener('online', () => {
      site.mending.forget();
      return site.again();
    }, heard);
    site.begin();
  };
  const chosen = async () => {
    site.mending.forget();
    site.settling.forget();
    if (site.registration()) await site.recount(); // a page without a worker has nothing to count
    await site.settling.done();
  };
  const read = async (which, path) => {
    const worker = site.registration() && own(standing(site.registration()), which);
    return worker ? await ask(worker, { read: path }, patience) ?? null : null;
  };
  return { start, stop: () => ear.abort(), chosen, read };
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

