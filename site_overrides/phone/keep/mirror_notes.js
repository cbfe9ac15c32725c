// Local storage as it really is: it may be null, or throw at every touch. It holds small values as notes, by name.

/** guarded(work, otherwise) -> what work returns, or otherwise if it throws. */
export const guarded = (work, otherwise) => {
  try { return work(); } catch { return otherwise; }
};

/**
 * openNotes({prefix, localStorage, tell}) -> {note, setNote, setAside, count, write}; only write throws.
 * note(name, otherwise) -> the value, or otherwise where there is none of its type; setNote(name, value) -> whether it stands;
 * setAside(key, text) puts a bad value under another key and tells it; count() -> the counter that stands;
 * write(name, text): the text itself.
 */
export const openNotes = ({ prefix, localStorage, tell }) => {
  const write = (name, text) => localStorage.setItem(prefix + name, text);

  const setAside = (key, text) => {
    guarded(() => {
      localStorage.setItem(`${prefix}bad:${key.slice(prefix.length)}`, text);
      localStorage.removeItem(key);
    });
    tell({ what: 'mirror-unreadable', key });
  };

  // A value that does not parse, or is not an object where one is expected, is set aside under another key, never
  // dropped.
  const note = (name, otherwise) => guarded(() => {
    const text = localStorage.getItem(prefix + name);
    if (text === null) return otherwise;
    const value = guarded(() => JSON.parse(text), undefined);
    if (value !== null && typeof value === typeof otherwise) return value;
    setAside(prefix + name, text);
    return otherwise;
  }, otherwise);

  const setNote = (name, value) => guarded(() => { write(name, JSON.stringify(value)); return true; }, false);

  return { note, setNote, setAside, count: () => note('count', 0), write };
};
