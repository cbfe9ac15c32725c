// Which worksheets this phone keeps: what a person chose, and always what an open job needs. Knows no screen.

const isOpen = ({ state, worksheet }) => Boolean(worksheet) && state && !state.complete && !state.declined;

const same = (some, others) => some.size === others?.size && [...some].every((name) => others.has(name));

/**
 * openPacks({keep, jobs}) -> {wanted(), inUse(), choose(name, on, all), learn(jobs), forget(), onChange(callback)}.
 * jobs() -> Promise of the jobs here, [{worksheet, state}]. wanted() -> Promise of the names of packs to be kept, null for
 * all: nobody ever chose. inUse() -> Promise of the names that open jobs need. choose -> {kept, why}; `all` is what there is
 * to choose from. learn: the jobs as they are now; forget: they are to be looked at again. onChange: callback() follows whatever
 * may change wanted().
 */
export const openPacks = ({ keep, jobs }) => {
  const hearers = [];
  let needed = null;

  const tell = () => Promise.all(hearers.map((hearer) => hearer()));

  const namesOf = (list) => new Set(list.filter(isOpen).map(({ worksheet }) => worksheet));

  const inUse = async () => {
    needed ??= namesOf(await jobs());
    return needed;
  };

  const wanted = async () => {
    const chosen = await keep.setting('pins');
    return Array.isArray(chosen) ? [...new Set([...chosen, ...await inUse()])].sort() : null;
  };

  const choose = async (name, on, all) => {
    const chosen = await keep.setting('pins') ?? all;
    const next = all.filter((one) => (one === name ? on : chosen.includes(one)));
    const answer = await keep.setSetting('pins', next.length === all.length ? null : next);
    await tell();
    return answer;
  };

  const learn = (list) => {
    const found = namesOf(list);
    const isNews = needed !== null && !same(found, needed);
    needed = found;
    if (isNews) tell();
  };

  const forget = () => {
    needed = null;
    tell();
  };

  return { wanted, inUse, choose, learn, forget, onChange: (hearer) => hearers.push(hearer) };
};
