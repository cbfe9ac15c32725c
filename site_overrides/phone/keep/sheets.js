// A second place for the sheets that jobs name: a cache of this site's own, which no clean-up touches. It is needed on the
// day the first place comes back empty. Whoever takes a sheet from here checks its digest. It shares no file with the
// stores, so it also holds the mark that something was ticked here: empty stores beside that mark have lost everything.

const PATIENCE_MS = 2000; // a cache that does not answer is none

const inTime = async (work, otherwise) => {
  let timer;
  const late = new Promise((resolve) => { timer = setTimeout(resolve, PATIENCE_MS, otherwise); });
  try {
    return await Promise.race([work(), late]);
  } catch {
    return otherwise;
  } finally {
    clearTimeout(timer);
  }
};

const TICKED = 'ticked'; // no digest is called so

/**
 * openSheets({caches, name}) -> {get, put, mend, drop, noteTicked, wasTicked}: none throws or rejects. caches may be null, or
 * throw at every touch. wasTicked() -> Promise of whether noteTicked() was ever called here, as far as this browser knows.
 */
export const openSheets = ({ caches, name }) => {
  const met = new Set(); // what is there for certain
  // An address that no page of any site has.
  const addressOf = (digest) => `/handturn-sheet/${digest}`;
  const put = (digest, text) => inTime(async () => {
    const cache = await caches.open(name);
    await cache.put(addressOf(digest), new Response(text, { headers: { 'Content-Type': 'application/json' } }));
    met.add(digest);
    return true;
  }, false);
  const get = (digest) => inTime(async () => {
    const kept = await caches.match(addressOf(digest), { cacheName: name });
    return kept ? kept.text() : null;
  }, null);
  const mend = async (digest, text) => {
    if (met.has(digest)) return;
    met.add(digest);
    if (await get(digest) !== text) await put(digest, text);
  };
  const drop = (digest) => {
    met.delete(digest);
    return inTime(async () => (await caches.open(name)).delete(addressOf(digest)), false);
  };
  return {
    get,
    put,
    mend,
    drop,
    noteTicked: () => mend(TICKED, TICKED),
    wasTicked: async () => await get(TICKED) === TICKED,
  };
};
