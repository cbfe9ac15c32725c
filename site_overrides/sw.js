// The worker that lets the site answer with no network. The build puts the list in front of this file, and this file
// into a function, so that it can look at its own text:
//   const SITE = {shop, version, code: sha256, shell: {path: sha256}, index: {path, sha256}, removed?};
//   const WORK = () => { ... };
//   WORK();
// The index names the packs, {packs: {name: {kind, title, files: {path: sha256}, ...}}}: every phone keeps the shell and
// the index, and of the packs those that a person chose, or all. Only bytes that match the list are kept. A new version
// waits until the last page of the old one is closed or a person asks for it; until its copy is whole, the old one is
// not touched.

const SCOPE = new URL(self.registration.scope);
// A pathname holds no space, so the cache names of a site at / never match those of a site at /shop-a/.
const OURS = `handturn:${SCOPE.pathname} `;
const CACHE = `${OURS}${SITE.shop} ${SITE.version}`;
// Besides the versions, a site has caches that outlive them: what a person chose, and the sheets that jobs need.
const VERSIONS = /^\S* [0-9a-f]{20}$/;
const PINS = `${OURS}${SITE.shop} pins`;
const PINS_ADDRESS = `${SCOPE.href}handturn-pins`;
const INDEX = SITE.index?.path;
const SHELL = new Map(Object.entries({ ...SITE.shell, ...INDEX && { [INDEX]: SITE.index.sha256 } }));
const OFFLINE_PAGE = 'offline/index.html';
const JOBS = 'jobs/index.html';
const SHEET_PAGE = /^w\/[^/]+\/index\.html$/;
const LANES = 4; // files fetched at a time
const IMAGE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox"; // for a drawing opened by its own address

self.addEventListener('install', event => event.waitUntil(SITE.removed ? self.skipWaiting() : install()));

self.addEventListener('activate', event => event.waitUntil(SITE.removed ? leave() : dropOlder()));

self.addEventListener('fetch', event => {
  const answer = answerTo(event.request);
  if (answer) event.respondWith(answer);
});

self.addEventListener('message', event => {
  const act = MESSAGES.get(event.data) ?? ASKED.find(([name]) => Object.hasOwn(Object(event.data), name))?.[1];
  if (act) event.waitUntil(act(event.data).then(answer => event.ports[0]?.postMessage(answer)));
});

const MESSAGES = new Map([
  ['activate-now', () => self.skipWaiting()],
  ['claim', () => self.clients.claim()],
  ['count', () => count()],
  ['moved', () => moved()],
  ['repair', () => inTurn(fill).then(() => true, () => false)],
]);

const ASKED = [
  ['pin', ({ pin }) => inTurn(() => keepOnly(pin))],
  ['read', ({ read }) => textOf(read).catch(() => null)],
];

// Two tasks that fill and drop at the same time would undo each other.
let turn = Promise.resolve();
const inTurn = work => {
  const done = turn.then(work);
  turn = done.catch(() => {});
  return done;
};

// --- the list ------------------------------------------------------------------------------------------------------

let indexed;

// null if the copy lost its index and no network brings it back.
const index = async () => {
  indexed ??= readIndex();
  const found = await indexed.catch(() => null);
  if (!found) indexed = undefined;
  return found;
};

const packs = async () => await index() ?? {};

const readIndex = async () => {
  const bytes = await goodBytes(await copied(INDEX)) ?? await goodBytes(await fetch(addressOf(INDEX), { cache: 'no-store' }));
  return JSON.parse(new TextDecoder().decode(bytes ?? undefined)).packs;
};

const goodBytes = async answer => {
  const bytes = await answer?.arrayBuffer();
  return bytes && await sha256(bytes) === SITE.index.sha256 ? bytes : undefined;
};

const filesOf = (all, names) => Object.entries(all).filter(([name]) => names.includes(name)).flatMap(([, { files }]) => Object.entries(files));

/** Every path with its hash: the shell, the index and these packs. */
const listOf = (all, names) => new Map([...SHELL, ...filesOf(all, names)]);

const everything = async () => {
  const all = await packs();
  return listOf(all, Object.keys(all));
};

const wanted = async () => {
  const all = await packs();
  return listOf(all, pinnedOf(all, await pins()));
};

const pinnedOf = (all, chosen) => Object.keys(all).filter(name => !chosen || chosen.includes(name));

/** The names of the packs that a person chose. null if nobody chose, so that all are kept. */
const pins = async () => {
  const found = await caches.match(PINS_ADDRESS, { cacheName: PINS }).catch(() => undefined);
  const said = await found?.json().catch(() => null);
  return Array.isArray(said) ? said : null;
};

// --- install: all or nothing ---------------------------------------------------------------------------------------

const install = async () => {
  if (await isSound()) return inTurn(fillAsChosen);
  await tell({ failed: 'sw.js: other bytes' });
  throw new Error('sw.js: other bytes');
};

// A bit that flipped on the way here can leave a text that still runs, but fails offline.
const isSound = async () => {
  const list = `{"index":"${SITE.index.sha256}","shell":${canonical(SITE.shell)}}`;
  const [code, version] = await Promise.all([String(WORK), list].map(text => sha256(new TextEncoder().encode(text))));
  return code === SITE.code && version.slice(0, 20) === SITE.version;
};

const canonical = group => {
  const pairs = Object.entries(group).sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${pairs.map(([name, sha]) => `${JSON.stringify(name)}:${JSON.stringify(sha)}`).join(',')}}`;
};

const fill = async () => {
  const names = new Set([CACHE, ...await versionCaches()]);
  const sources = await Promise.all(Array.from(names, name => caches.open(name)));
  const stop = new AbortController();
  try {
    if (INDEX) await bring(INDEX, SITE.index.sha256, sources, stop.signal);
    indexed = undefined;
    const list = await wanted();
    const todo = list.entries();
    let kept = 0;
    const lane = async () => {
      for (const [path, sha] of todo) {
        await bring(path, sha, sources, stop.signal);
        tell({ kept: kept += 1, listed: list.size });
      }
    };
    await Promise.all(Array.from({ length: LANES }, lane));
  } catch (error) {
    // What did arrive stays in a cache that no worker reads. The next attempt does not fetch it again.
    stop.abort();
    await tell({ failed: error.message });
    throw error;
  }
};

// Somebody may choose again while files arrive.
const fillAsChosen = async () => {
  const chosen = JSON.stringify(await pins());
  await fill();
  if (JSON.stringify(await pins()) !== chosen) await fillAsChosen();
};

const bring = async (path, sha, sources, signal) => {
  if (!await copyOf(path, sha, sources)) await fetchInto(sources[0], path, sha, signal);
};

// From this version's own earlier attempt or from the version before. A stored copy is checked like any other.
const copyOf = async (path, sha, sources) => {
  const [own] = sources;
  for (const source of sources) {
    const found = await source.match(addressOf(path));
    if (!found || await sha256(await found.clone().arrayBuffer()) !== sha) continue;
    if (source !== own) await own.put(addressOf(path), found);
    return true;
  }
  return false;
};

const fetchInto = async (cache, path, sha, signal) => {
  const answer = await fetch(addressOf(path), { cache: 'reload', signal }).catch(() => ({ status: 'no answer' }));
  if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
  const bytes = await answer.arrayBuffer().catch(() => new ArrayBuffer(0));
  if (await sha256(bytes) !== sha) throw new Error(`${path}: other bytes`);
  await cache.put(addressOf(path), new Response(bytes, { headers: headersOf(answer) }));
};

// Rebuilt, so that neither a redirect nor Vary stays with the copy. The host's policy and type do stay.
const headersOf = answer => {
  const headers = new Headers(answer.headers);
  for (const name of ['vary', 'content-encoding', 'content-length']) headers.delete(name);
  return headers;
};

const sha256 = async bytes => {
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(hash, byte => byte.toString(16).padStart(2, '0')).join('');
};

// --- what a person chose -------------------------------------------------------------------------------------------

/** `names` null means everything. What was dropped is gone at once. What is missing is fetched if there is a
 * network. */
const keepOnly = async names => {
  await (await caches.open(PINS)).put(PINS_ADDRESS, new Response(JSON.stringify(names)));
  await dropUnwanted().catch(() => {});
  const failed = await fill().then(() => undefined, error => error.message);
  return { ...await count(), failed };
};

const dropUnwanted = async () => {
  if (!await index()) return;
  const cache = await caches.open(CACHE);
  const addresses = new Set(Array.from((await wanted()).keys(), addressOf));
  const others = (await cache.keys()).filter(({ url }) => !addresses.has(url));
  await Promise.all(others.map(request => cache.delete(request)));
};

// --- activate: tidy up after this site alone -----------------------------------------------------------------------

const versionCaches = async () =>
  (await caches.keys()).filter(name => name.startsWith(OURS) && VERSIONS.test(name.slice(OURS.length)));

const drop = names => Promise.all(names.map(name => caches.delete(name)));

const dropOlder = async () => {
  const names = await versionCaches();
  // A newer version may be filling its cache right now. Then it does the tidying up.
  if (!self.registration.installing && !self.registration.waiting) await drop(names.filter(name => name !== CACHE));
};

const leave = async () => {
  await drop(await versionCaches());
  await tell({ removed: SITE.removed });
  await self.registration.unregister();
};

// --- fetch: what is listed comes from the copy, everything else from the network -----------------------------------

const answerTo = request => {
  const url = new URL(request.url);
  const name = nameOf(url);
  if (SITE.removed || request.method !== 'GET' || name === undefined) return undefined;
  if (request.cache === 'only-if-cached' && request.mode !== 'same-origin') return undefined; // not to be passed on
  const path = name === '' || name.endsWith('/') ? `${name}index.html` : name;
  return answered(path, url, request).then(answer => (path.endsWith('.svg') ? harmless(answer) : answer));
};

const answered = async (path, url, request) => {
  const found = await copied(path).catch(() => undefined);
  if (found) return found;
  const list = SHELL.has(path) ? SHELL : await everything();
  const sha = list.get(path);
  if (sha) return fromNetwork(request, path, sha);
  if (list.has(`${path}/index.html`)) return Response.redirect(addressOf(`${path}/`) + url.search);
  if (await isWithdrawn(path, request)) return Response.redirect(addressOf(JOBS) + url.search);
  return fetchOrSay(request);
};

// The page of a worksheet that this site no longer has. The page of all jobs opens a job that ran on it, and the
// browser carries the job's name over.
const isWithdrawn = async (path, { mode }) =>
  mode === 'navigate' && SHEET_PAGE.test(path) && SHELL.has(JOBS) && await index() !== null;

// A pack that is not kept, or a copy that was lost. Now is the moment to repair it.
const fromNetwork = async (request, path, sha) => {
  const answer = await fetchOrSay(request);
  if (answer.ok && answer.type === 'basic' && !answer.redirected) {
    await putBack(answer.clone(), path, sha).catch(() => {}); // the page gets its answer all the same
  }
  return answer;
};

const putBack = async (answer, path, sha) => {
  const bytes = await answer.arrayBuffer();
  if (await sha256(bytes) !== sha || !(await wanted()).has(path)) return;
  await (await caches.open(CACHE)).put(addressOf(path), new Response(bytes, { headers: headersOf(answer) }));
};

const fetchOrSay = request => {
  const isPage = request.mode === 'navigate' && SHELL.has(OFFLINE_PAGE);
  return isPage ? fetch(request).catch(offlinePage) : fetch(request);
};

// A copy never comes from another version, because that would mix the two.
const copied = path => caches.match(addressOf(path), { cacheName: CACHE });

const harmless = answer => {
  if (answer.type === 'opaqueredirect' || answer.status === 304 || answer.status < 200) return answer;
  const headers = new Headers(answer.headers);
  headers.append('Content-Security-Policy', IMAGE_POLICY); // beside the host's own: the stricter of the two holds
  return new Response(answer.body, { status: answer.status, statusText: answer.statusText, headers });
};

// The page is shown at an address of any depth, so its own `../` are rewritten to the site's root.
const offlinePage = async () => {
  const found = await copied(OFFLINE_PAGE);
  if (!found) return Response.error();
  const text = (await found.text()).replaceAll('"../', `"${SCOPE.pathname}`);
  return new Response(text, { status: 503, headers: found.headers });
};

// --- names and addresses -------------------------------------------------------------------------------------------

const nameOf = url => {
  if (url.origin !== SCOPE.origin || !url.pathname.startsWith(SCOPE.pathname)) return undefined;
  try {
    return decodeURIComponent(url.pathname.slice(SCOPE.pathname.length));
  } catch {
    return undefined;
  }
};

// A page is fetched and stored at its folder's address, which every host serves without a redirect.
const addressOf = path =>
  SCOPE.href + path.replace(/(^|\/)index\.html$/, '$1').split('/').map(encodeURIComponent).join('/');

// --- message: what a page may ask and hear -------------------------------------------------------------------------

/** {version, kept, listed, removed, pins, packs: {name: {kind, title, engine, revision, steps, sheet, pinned, kept,
 * listed}}, gone}; kept and listed count files; gone: names that were chosen and that this version has not. */
const count = async () => {
  const { version, removed } = SITE;
  if (removed) return { version, kept: 0, listed: 0, removed };
  const [found, chosen, cache] = await Promise.all([index(), pins(), caches.open(CACHE)]);
  const all = found ?? {};
  const here = new Set((await cache.keys()).map(({ url }) => url));
  if (!found) here.delete(addressOf(INDEX));
  const keptOf = paths => paths.filter(path => here.has(addressOf(path))).length;
  const pinned = pinnedOf(all, chosen);
  const list = [...listOf(all, pinned).keys()];
  const said = Object.entries(all).map(([name, { files, ...facts }]) => {
    const paths = Object.keys(files);
    return [name, { ...facts, pinned: pinned.includes(name), kept: keptOf(paths), listed: paths.length }];
  });
  const gone = (chosen ?? []).filter(name => !Object.hasOwn(all, name));
  return { version, kept: keptOf(list), listed: list.length, pins: chosen, packs: Object.fromEntries(said), gone };
};

/** What this worker's own address answers: 'gone', 'elsewhere' (a redirect), or null. A missing network or a server
 * error tells nothing about where the site is. */
const moved = async () => {
  const answer = await fetch(`${SCOPE.href}sw.js`, { cache: 'no-store', redirect: 'manual' }).catch(() => undefined);
  if (answer?.type === 'opaqueredirect') return 'elsewhere';
  return [404, 410].includes(answer?.status) ? 'gone' : null;
};

/** The text of a file of this worker's own list, from its own copy. null if there is none. */
const textOf = async path => {
  const isListed = typeof path === 'string' && (await everything()).has(path);
  return isListed ? await (await copied(path))?.text() ?? null : null;
};

const tell = async note => {
  for (const page of await self.clients.matchAll({ includeUncontrolled: true })) page.postMessage(note);
};
