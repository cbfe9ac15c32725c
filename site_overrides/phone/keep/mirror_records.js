// The records in local storage, one key for each: entry:<job>:<id>:<mark>, and in it `<n> <text>`.

import { guarded } from './mirror_notes.js';

const sealed = encodeURIComponent; // so that a colon only ever separates

/**
 * openRecords({prefix, localStorage, setAside}) -> {write, records, keys, remove, forget}; only write throws.
 * write(record) puts one in its place; records(job) -> those of a job, or of all; keys(job) -> their keys;
 * remove(job) -> how many keys it took away, or tried to; forget(record) takes away one. A value that is no record is set aside.
 */
export const openRecords = ({ prefix, localStorage, setAside }) => {
  const place = `${prefix}entry:`;
  const keyOf = ({ job, id, mark }) => `${place}${sealed(job)}:${sealed(id)}:${mark}`;

  const keys = (job) => guarded(() => {
    const start = job === undefined ? place : `${place}${sealed(job)}:`;
    const found = [];
    for (let i = 0; i < localStorage.length; i += 1) {
      const key = localStorage.key(i);
      if (key?.startsWith(start)) found.push(key);
    }
    return found;
  }, []);

  const recordAt = (key) => {
    const text = guarded(() => localStorage.getItem(key), null);
    if (text === null) return null;
    const [job, id, mark] = key.slice(place.length).split(':');
    const space = text.indexOf(' ');
    const n = Number(text.slice(0, space));
    const body = text.slice(space + 1);
    const sound = space > 0 && n > 0 && guarded(() => JSON.parse(body).id === decodeURIComponent(id), false);
    if (sound) return { job: decodeURIComponent(job), id: decodeURIComponent(id), mark, n, text: body };
    setAside(key, text);
    return null;
  };

  return {
    write: (record) => localStorage.setItem(keyOf(record), `${record.n} ${record.text}`),
    records: (job) => keys(job).map(recordAt).filter(Boolean),
    keys,
    remove: (job) => {
      const gone = keys(job);
      for (const key of gone) guarded(() => localStorage.removeItem(key));
      return gone.length;
    },
    forget: (record) => guarded(() => localStorage.removeItem(keyOf(record))),
  };
};
