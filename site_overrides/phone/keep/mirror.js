// The second copy: local storage, one key for each entry. It answers at once and may lose the last minute when the browser
// is killed, so it never decides whether an entry is saved. It is needed on the day the first copy comes back empty.

const isFull = (error) => error.name === 'QuotaExceededError' || error.code === 22 || error.code === 1014;

const sealed = encodeURIComponent; // so that a colon only ever separates

/**
 * openMirror({prefix, localStorage, tell}) -> the mirror. localStorage may be null or throw at every touch: then
 * `works` is false. A record is {job, id, mark, n, text}: text is the entry's canonical JSON, n the counter when it
 * was written. tell() hears {what: 'mirror-left', job, entries} when a job had to leave and {what:
 * 'mirror-unreadable', key} of a bad value.
 */
export const openMirror = ({ prefix, localStorage, tell }) => {
  const nameOf = ({ job, id, mark }) => `${prefix}entry:${sealed(job)}:${sealed(id)}:${mark}`;

  const write = (name, text) => localStorage.setItem(prefix + name, text);

  const guarded = (work, otherwise) => {
    try { return work(); } catch { return otherwise; }
  };

  const probe = () => {
    const stamp = String(Math.max(count(), 0));
    try {
      write('probe', stamp);
    } catch (error) {
      return isFull(error);
    }
    return guarded(() => localStorage.getItem(`${prefix}probe`) === stamp, false);
  };

  // A value that does not parse, or is no object where one is due, is set aside under another key, never thrown away.
  const note = (name, otherwise) => guarded(() => {
    const text = localStorage.getItem(prefix + name);
    if (text === null) return otherwise;
    const value = guarded(() => JSON.parse(text), undefined);
    if (value !== null && typeof value === typeof otherwise) return value;
    setAside(prefix + name, text);
    return otherwise;
  }, otherwise);

  const setNote = (name, value) => guarded(() => { write(name, JSON.stringify(value)); return true; }, false);

  const setAside = (key, text) => {
    guarded(() => {
      localStorage.setItem(`${prefix}bad:${key.slice(prefix.length)}`, text);
      localStorage.removeItem(key);
    });
    tell({ what: 'mirror-unreadable', key });
  };

  const count = () => note('count', 0);

  const entryKeys = (job) => guarded(() => {
    const start = job === undefined ? `${prefix}entry:` : `${prefix}entry:${sealed(job)}:`;
    const keys = [];
    for (let i = 0; i < localStorage.length; i += 1) {
      const key = localStorage.key(i);
      if (key?.startsWith(start)) keys.push(key);
    }
    return keys;
  }, []);

  const recordAt = (key) => {
    const text = guarded(() => localStorage.getItem(key), null);
    if (text === null) return null;
    const [job, id, mark] = key.slice(`${prefix}entry:`.length).split(':');
    const space = text.indexOf(' ');
    const n = Number(text.slice(0, space));
    const body = text.slice(space + 1);
    const sound = space > 0 && n > 0 && guarded(() => JSON.parse(body).id === decodeURIComponent(id), false);
    if (sound) return { job: decodeURIComponent(job), id: decodeURIComponent(id), mark, n, text: body };
    setAside(key, text);
    return null;
  };

  const records = (job) => entryKeys(job).map(recordAt).filter(Boolean);

  const lastTouched = () => {
    const last = new Map();
    for (const { job, n } of records()) last.set(job, Math.max(n, last.get(job) ?? 0));
    return last;
  };

  const remove = (job) => {
    const keys = entryKeys(job);
    for (const key of keys) guarded(() => localStorage.removeItem(key));
    return keys.length;
  };

  // The whole job leaves: half of it would look like a whole one on the day the store is gone.
  const leave = (job) => {
    const entries = remove(job);
    setNote('left', { ...note('left', {}), [job]: count() });
    tell({ what: 'mirror-left', job, entries });
  };

  const stay = (job) => {
    const left = note('left', {});
    if (Object.hasOwn(left, job)) setNote('left', Object.fromEntries(Object.entries(left).filter(([one]) => one !== job)));
  };

  // The job that nobody touched for the longest time leaves first, but never one touched later than the job that comes in.
  const makeRoom = (record) => {
    const [oldest] = [...lastTouched()]
      .filter(([job, n]) => job !== record.job && n < record.n)
      .sort(([, a], [, b]) => a - b);
    if (!oldest) return false;
    leave(oldest[0]);
    return entryKeys(oldest[0]).length === 0;
  };

  // -> whether the record is in the mirror now
  const put = (record) => {
    for (;;) {
      try {
        localStorage.setItem(nameOf(record), `${record.n} ${record.text}`);
        if (record.n > count()) write('count', String(record.n));
        return true;
      } catch (error) {
        if (!isFull(error) || !makeRoom(record)) return false;
      }
    }
  };

  return {
    works: localStorage ? probe() : false,
    put,
    records,
    count,
    leave,
    stay,
    forget: (job) => {
      remove(job);
      stay(job);
    },
    forgetRecord: (record) => guarded(() => localStorage.removeItem(nameOf(record))),
    note,
    setNote,
  };
};
