// Finds the entries that a page cannot draw, by trying it without some of them. Pure.

const MOST_TRIALS = 80; // each one folds and draws the whole job

const halves = (list) => [list.slice(0, Math.ceil(list.length / 2)), list.slice(Math.ceil(list.length / 2))];

/**
 * culprits(ids, works) -> the fewest of `ids` without which works(left out) holds, or null where nothing helps.
 * works(Set of ids) -> whether the page can be drawn without these entries. The newest entries are tried first. After
 * MOST_TRIALS everything still in question is left out.
 */
export const culprits = (ids, works) => {
  let trials = 0;
  const tried = (out) => {
    trials += 1;
    return works(new Set(out));
  };
  // It works without `of` and `also`: which of `of` is to blame?
  const find = (of, also) => {
    if (of.length < 2 || trials >= MOST_TRIALS) return of;
    const [early, late] = halves(of);
    if (tried([...late, ...also])) return find(late, also);
    if (tried([...early, ...also])) return find(early, also);
    const first = find(late, [...early, ...also]);
    return [...first, ...find(early, [...first, ...also])];
  };
  if (tried([])) return [];
  return tried(ids) ? find(ids, []) : null;
};
