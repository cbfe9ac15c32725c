// Records of entries: {job, id, mark, n, text}: the entry's canonical text, a mark of its content, and the counter when it
// came. Pure.

import { canonical, digest } from '../base/digest.js';
import { byTurn } from '../base/entry.js';
import { keyOf } from './unite.js';

export const isEntry = (entry) => typeof entry?.id === 'string' && typeof entry.job === 'string';

/** recordOf(entry) -> Promise of its record without n. The same id with other content is another record: both are kept. */
export const recordOf = async (entry) => {
  const text = canonical(entry);
  return { job: entry.job, id: entry.id, mark: (await digest(text)).slice(0, 16), text };
};

export const jobsOf = (records) => new Set(records.map(({ job }) => job));

const entryIn = ({ job, id, text }, tell) => {
  try {
    return JSON.parse(text);
  } catch {
    tell({ what: 'entry-unreadable', job, id });
    return null;
  }
};

/** The entries of records in the order of a journal; tell() hears {what: 'entry-unreadable', job, id} of each that is none. */
export const entriesIn = (records, tell) => (
  [...records].map((record) => entryIn(record, tell)).filter(Boolean).sort(byTurn)
);

/**
 * listJobs(stamps, records) -> [{job, entries, touched}], the job written last first. A job is listed for a stamp {job, n,
 * touched}; a record of another job counts for nothing, and one that comes twice counts once.
 */
export const listJobs = (stamps, records) => {
  const listed = new Map();
  for (const { job, n, touched } of stamps) {
    const before = listed.get(job) ?? { n: 0, touched: null };
    listed.set(job, { job, entries: 0, n: Math.max(n, before.n), touched: touched ?? before.touched });
  }
  const distinct = new Map(records.map((record) => [keyOf(record), record.job]));
  for (const job of distinct.values()) if (listed.has(job)) listed.get(job).entries += 1;
  return [...listed.values()]
    .sort((a, b) => b.n - a.n)
    .map(({ job, entries, touched }) => ({ job, entries, touched }));
};
