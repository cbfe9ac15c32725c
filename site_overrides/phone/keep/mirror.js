// The second copy: local storage, one key for each entry. It answers at once and may lose the last minute when the browser
// is killed, so it never decides whether an entry is saved. It is needed on the day the first copy comes back empty.

import { guarded, openNotes } from './mirror_notes.js';
import { openRecords } from './mirror_records.js';

const isFull = (error) => error.name === 'QuotaExceededError' || error.code === 22 || error.code === 1014;

// -> whether local storage takes something, or would if it were not full
const probe = (localStorage, key, count) => {
  const stamp = String(Math.max(count, 0));
  try {
    localStorage.setItem(key, stamp);
  } catch (error) {
    return isFull(error);
  }
  return guarded(() => localStorage.getItem(key) === stamp, false);
};

// {job: its greatest n} as a Map
const lastTouched = (records) => {
  const last = new Map();
  for (const { job, n } of records) last.set(job, Math.max(n, last.get(job) ?? 0));
  return last;
};

/**
 * openMirror({prefix, localStorage, tell}) -> the mirror. localStorage may be null or throw at every touch: then
 * `works` is false. A record is {job, id, mark, n, text}: text is the entry's canonical JSON, n the counter when it
 * was written. tell() hears {what: 'mirror-left', job, entries} when a job had to leave and {what:
 * 'mirror-unreadable', key} of a bad value.
 */
export const openMirror = ({ prefix, localStorage, tell }) => {
  const { note, setNote, setAside, count, write } = openNotes({ prefix, localStorage, tell });
  const entries = openRecords({ prefix, localStorage, setAside });

  // The whole job leaves, because half of it would look like a whole one on the day the store is gone.
  const leave = (job) => {
    const gone = entries.remove(job);
    setNote('left', { ...note('left', {}), [job]: count() });
    tell({ what: 'mirror-left', job, entries: gone });
  };

  const stay = (job) => {
    const left = note('left', {});
    if (Object.hasOwn(left, job)) setNote('left', Object.fromEntries(Object.entries(left).filter(([one]) => one !== job)));
  };

  // The job that nobody touched for longest leaves first, but never one touched later than the job that comes in.
  const makeRoom = (record) => {
    const [oldest] = [...lastTouched(entries.records())]
      .filter(([job, n]) => job !== record.job && n < record.n)
      .sort(([, a], [, b]) => a - b);
    if (!oldest) return false;
    leave(oldest[0]);
    return entries.keys(oldest[0]).length === 0;
  };

  // -> whether the record is in the mirror now
  const put = (record) => {
    for (;;) {
      try {
        entries.write(record);
        if (record.n > count()) write('count', String(record.n));
        return true;
      } catch (error) {
        if (!isFull(error) || !makeRoom(record)) return false;
      }
    }
  };

  return {
    works: localStorage ? probe(localStorage, `${prefix}probe`, count()) : false,
    put,
    records: entries.records,
    count,
    leave,
    stay,
    forget: (job) => {
      entries.remove(job);
      stay(job);
    },
    forgetRecord: entries.forget,
    note,
    setNote,
  };
};
