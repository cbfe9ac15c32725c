// Works out what each copy lacks. Pure: it only compares, and keep.js writes.

import { own } from '../base/own.js';

export const keyOf = ({ job, id, mark }) => JSON.stringify([job, id, mark]);

export const byKey = (records) => new Map(records.map((record) => [keyOf(record), record]));

// At most how many entries were written after what the store remembers and are in no copy now. A wiped job's entries
// count as written.
const missingOf = (shelf, elsewhere, count) => {
  const after = elsewhere.filter(({ n }) => n > shelf.count).length;
  return count - shelf.count - after;
};

// {job: keys of what the store holds and another leg does not}, the job touched last first
const lackingIn = (keys, shelf, stayedOut) => {
  const touched = new Map(shelf.jobs.map(({ job, n }) => [job, n]));
  const lacking = new Map();
  for (const [job, id, mark] of shelf.keys) {
    const key = keyOf({ job, id, mark });
    if (keys.has(key) || stayedOut(job, touched.get(job))) continue;
    if (!lacking.has(job)) lacking.set(job, new Set());
    lacking.get(job).add(key);
  }
  return [...lacking]
    .map(([job, of]) => ({ job, keys: of }))
    .sort((a, b) => (touched.get(b.job) ?? 0) - (touched.get(a.job) ?? 0));
};

/**
 * compare({shelf, records, loose, count, log, left, wiped}) -> {strays, logStrays, toStore, toMirror, toLog, findings}
 * shelf is what the store holds: {keys: [[job, id, mark]], jobs: [{job, n}], count}; records: the mirror's, loose: marks of
 * those that the store never took; count: the greatest any other leg knows; log: null where there is none, else {records,
 * kept: marks that the store had taken, isLost, damaged}; left: {job: counter when it left the mirror}; wiped: {job: counter
 * when it was wiped}.
 * strays and logStrays are records of wiped jobs that the mirror or the log had not yet forgotten on disk; toMirror and toLog
 * are lists of {job, keys} that the store alone holds, the job touched last first; toStore goes to the others as well.
 * Findings: 'store-empty-mirror-not', 'store-behind', 'mirror-empty-store-not', 'mirror-behind', 'log-lost', 'log-damaged',
 * 'log-behind' with the `leg` to repair, and 'entries-missing' with `atMost` and the `jobs` that the store alone held. What
 * the store never took is no sign of damage.
 */
export const compare = ({ shelf, records, loose = new Set(), count, log = null, left, wiped }) => {
  const isStray = ({ job, n }) => n <= (own(wiped, job) ?? 0);
  const mirrored = byKey(records.filter((record) => !isStray(record)));
  const logged = byKey((log?.records ?? []).filter((record) => !isStray(record)));
  const inStore = new Set(shelf.keys.map((key) => JSON.stringify(key)));
  const touched = new Map(shelf.jobs.map(({ job, n }) => [job, n]));

  const toMirror = lackingIn(mirrored, shelf, (job, last) => Object.hasOwn(left, job) && last <= own(left, job));
  const toLog = log ? lackingIn(logged, shelf, () => false) : [];
  const elsewhere = new Map([...logged, ...mirrored]);
  const toStore = [...elsewhere].filter(([key]) => !inStore.has(key)).map(([, record]) => record);
  const wasTaken = (record) => (logged.has(keyOf(record)) ? log.kept.has(record.mark) : !loose.has(record.mark));

  const findings = [];
  if (toStore.some(wasTaken)) findings.push({ leg: 'store', what: inStore.size ? 'store-behind' : 'store-empty-mirror-not' });
  if (toMirror.length) {
    findings.push({ leg: 'mirror', what: mirrored.size ? 'mirror-behind' : 'mirror-empty-store-not' });
  }
  if (log?.isLost) findings.push({ leg: 'log', what: 'log-lost' });
  else if (log?.damaged) findings.push({ leg: 'log', what: 'log-damaged' });
  else if (toLog.length) findings.push({ leg: 'log', what: 'log-behind' });
  const missing = missingOf(shelf, [...elsewhere.values()], count);
  const wipedSince = Object.values(wiped).some((n) => n > shelf.count);
  const held = new Set([...elsewhere.values()].map(({ job }) => job));
  const jobs = Object.keys(left).filter((job) => !touched.has(job) && !held.has(job));
  if (jobs.length || (missing > 0 && !wipedSince)) findings.push({ what: 'entries-missing', atMost: missing, jobs });
  return {
    strays: records.filter(isStray), logStrays: (log?.records ?? []).filter(isStray), toStore, toMirror, toLog, findings,
  };
};
