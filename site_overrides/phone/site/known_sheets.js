// Which worksheets are this site's: every one that this phone has met there, by digest. A record brings others; whose they
// are is said wherever their job is shown. Knows no screen.

const NAME = 'sheets of this site';
const MOST = 400;

const RANK = ['known', 'unmet', 'stranger'];

/**
 * openKnownSheets({keep, shop, before}) -> Promise of {learn(digests), originOf(sheets)}. before() -> Promise of the digests that
 * are known although nobody noted them: asked for once, on the first opening. learn: met on the site; whether any is new. originOf([{digest,
 * sheet}]) -> the least known of them: {origin, sheet}; origin: known; unmet: of this shop by its own word, and never met
 * on the site by this phone, as an older revision may be; stranger: of another shop by its own word.
 */
export const openKnownSheets = async ({ keep, shop, before }) => {
  const noted = await keep.setting(NAME);
  const known = new Set(Array.isArray(noted) ? noted : await before());
  const write = () => keep.setSetting(NAME, [...known].slice(-MOST));
  if (!Array.isArray(noted)) write();
  const learn = (digests) => {
    const fresh = digests.filter((digest) => typeof digest === 'string' && !known.has(digest));
    for (const digest of fresh) known.add(digest);
    if (fresh.length) write();
    return fresh.length > 0;
  };
  const rankOf = ({ digest, sheet }) => (known.has(digest) ? 0 : sheet.shop.id === shop ? 1 : 2);
  const originOf = (sheets) => {
    const [worst] = [...sheets].sort((a, b) => rankOf(b) - rankOf(a));
    return worst ? { origin: RANK.at(rankOf(worst)), sheet: worst.sheet } : { origin: 'known', sheet: null };
  };
  return { learn, originOf };
};
