// What two legs must give each other to be one again. Pure: it looks and says, keep.js does.

import { own } from './own.js';

export const keyOf = ({ job, id, mark }) => JSON.stringify([job, id, mark]);

// How many entries were written down after the store's last memory and are in neither leg now; at most, since a wiped
// job's entries count as written.
const missingOf = (shelf, mirrored, mirrorCount) => {
  const after = mirrored.filter(({ n }) => n > shelf.count).length;
  return mirrorCount - shelf.count - after;
};

/**
 * compare({shelf, records, count, left, wiped}) -> {strays, toStore, toMirror, findings}
 * shelf is what the store holds: {keys: [[job, id, mark]], jobs: [{job, n}], count}; records and count: the mirror's;
 * left: {job: counter when it left the mirror}; wiped: {job: counter when it was wiped}.
 * strays are records of wiped jobs that the mirror had not yet forgotten on disk; toMirror is a list of
 * {job, keys}, the job touched last first. Findings: 'store-empty-mirror-not', 'store-behind',
 * 'mirror-empty-store-not', 'mirror-behind' with the `leg` to repair, and 'entries-missing' with `atMost` and the
 * `jobs` that the store alone held.
 */
export const compare = ({ shelf, records, count, left, wiped }) => {
  const isStray = ({ job, n }) => n <= (own(wiped, job) ?? 0);
  const strays = records.filter(isStray);
  const mirrored = records.filter((record) => !isStray(record));
  const inStore = new Set(shelf.keys.map((key) => JSON.stringify(key)));
  const inMirror = new Set(mirrored.map(keyOf));
  const touched = new Map(shelf.jobs.map(({ job, n }) => [job, n]));

  const stayedOut = (job) => Object.hasOwn(left, job) && touched.get(job) <= own(left, job);
  const lacking = new Map();
  for (const [job, id, mark] of shelf.keys) {
    const key = keyOf({ job, id, mark });
    if (inMirror.has(key) || stayedOut(job)) continue;
    if (!lacking.has(job)) lacking.set(job, new Set());
    lacking.get(job).add(key);
  }
  const toMirror = [...lacking]
    .map(([job, keys]) => ({ job, keys }))
    .sort((a, b) => (touched.get(b.job) ?? 0) - (touched.get(a.job) ?? 0));
  const toStore = mirrored.filter((record) => !inStore.has(keyOf(record)));

  const findings = [];
  if (toStore.length) findings.push({ leg: 'store', what: inStore.size ? 'store-behind' : 'store-empty-mirror-not' });
  if (toMirror.length) {
    findings.push({ leg: 'mirror', what: inMirror.size ? 'mirror-behind' : 'mirror-empty-store-not' });
  }
  const missing = missingOf(shelf, mirrored, count);
  const wipedSince = Object.values(wiped).some((n) => n > shelf.count);
  const jobs = Object.keys(left).filter((job) => !touched.has(job));
  if (jobs.length || (missing > 0 && !wipedSince)) findings.push({ what: 'entries-missing', atMost: missing, jobs });
  return { strays, toStore, toMirror, findings };
};
