// The worker that lets the site answer with no network. The build puts the list in front of this file:
//   const SITE = {shop, version, shell: {path: sha256}, packs: {worksheet: {path: sha256}}, removed?}
// Only what is listed is kept, and only bytes that match the list. A new version waits until the last page of the
// old one is closed or a person asks for it; until its copy is whole, the old one is not touched.

const SCOPE = new URL(self.registration.scope);
// A pathname holds no space, so the names of a site at / never begin like those of a site at /shop-a/.
const OURS = `handturn:${SCOPE.pathname} `;
const CACHE = `${OURS}${SITE.shop} ${SITE.version}`;
const LIST = new Map([SITE.shell, ...Object.values(SITE.packs)].flatMap(group => Object.entries(group)));
const OFFLINE_PAGE = 'offline/index.html';
const LANES = 4; // files fetched at a time

self.addEventListener('install', event => event.waitUntil(SITE.removed ? self.skipWaiting() : fill()));

self.addEventListener('activate', event => event.waitUntil(SITE.removed ? leave() : dropOlder()));

self.addEventListener('fetch', event => {
  const answer = answerTo(event.request);
  if (answer) event.respondWith(answer);
});

self.addEventListener('message', event => {
  const act = MESSAGES.get(event.data);
  if (act) event.waitUntil(act().then(answer => event.ports[0]?.postMessage(answer)));
});

const MESSAGES = new Map([
  ['activate-now', () => self.skipWaiting()],
  ['claim', () => self.clients.claim()],
  ['count', async () => ({ version: SITE.version, listed: LIST.size, kept: await countKept(), removed: SITE.removed })],
  ['repair', () => fill().then(() => true, () => false)],
]);

// --- install: all or nothing ---------------------------------------------------------------------------------------

const fill = async () => {
  const names = new Set([CACHE, ...await ownNames()]);
  const sources = await Promise.all(Array.from(names, name => caches.open(name)));
  const todo = LIST.entries();
  const stop = new AbortController();
  let kept = 0;
  const lane = async () => {
    for (const [path, sha] of todo) {
      if (!await copyOf(path, sha, sources)) await fetchInto(sources[0], path, sha, stop.signal);
      tell({ kept: kept += 1, listed: LIST.size });
    }
  };
  try {
    await Promise.all(Array.from({ length: LANES }, lane));
  } catch (error) {
    // What did arrive stays in a cache that no worker reads, and is not fetched again at the next attempt.
    stop.abort();
    await tell({ failed: error.message });
    throw error;
  }
};

// From this version's own earlier attempt or from the version before; a kept copy is checked like any other.
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

// Rebuilt, so that neither a redirect nor Vary follows the copy; what the host says of policy and type does.
const headersOf = answer => {
  const headers = new Headers(answer.headers);
  for (const name of ['vary', 'content-encoding', 'content-length']) headers.delete(name);
  return headers;
};

const sha256 = async bytes => {
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(hash, byte => byte.toString(16).padStart(2, '0')).join('');
};

// --- activate: tidy up after this site alone -----------------------------------------------------------------------

const ownNames = async () => (await caches.keys()).filter(name => name.startsWith(OURS));

const drop = names => Promise.all(names.map(name => caches.delete(name)));

const dropOlder = async () => {
  const names = await ownNames();
  // A still newer version may be filling its cache right now: then tidying up is left to that one.
  if (!self.registration.installing && !self.registration.waiting) await drop(names.filter(name => name !== CACHE));
};

const leave = async () => {
  await drop(await ownNames());
  await tell({ removed: true });
  await self.registration.unregister();
};

// --- fetch: what is listed comes from the copy, everything else from the network -----------------------------------

const answerTo = request => {
  const url = new URL(request.url);
  const name = nameOf(url);
  if (request.method !== 'GET' || name === undefined) return undefined;
  const path = name === '' || name.endsWith('/') ? `${name}index.html` : name;
  if (LIST.has(path)) return fromCopy(path, request);
  if (LIST.has(`${path}/index.html`)) return Response.redirect(addressOf(`${path}/`) + url.search);
  if (request.mode === 'navigate' && LIST.has(OFFLINE_PAGE)) return fetch(request).catch(offlinePage);
  return undefined;
};

const fromCopy = async (path, request) => await copied(path).catch(() => undefined) ?? fetch(request);

const copied = path => caches.match(addressOf(path), { cacheName: CACHE });

// The page is shown at an address of any depth, so its own `../` are led to the site's root.
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

// A page is fetched and kept at its folder's address, which every host serves without a redirect.
const addressOf = path =>
  SCOPE.href + path.replace(/(^|\/)index\.html$/, '$1').split('/').map(encodeURIComponent).join('/');

// --- message: what a page may ask and hear -------------------------------------------------------------------------

const countKept = async () => {
  const found = await Promise.all(Array.from(LIST.keys(), copied));
  return found.filter(Boolean).length;
};

const tell = async note => {
  for (const page of await self.clients.matchAll({ includeUncontrolled: true })) page.postMessage(note);
};
