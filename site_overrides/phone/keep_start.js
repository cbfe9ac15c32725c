// The start: both legs are looked at and made one, and what was found is told.

import { compare, keyOf } from './keep_unite.js';
import { own } from './own.js';
import { erase, putRecords, readJob, survey } from './keep_works.js';

const look = async (read) => {
  const { done, why, found } = await read(survey);
  if (!done) return { why };
  return { keys: found.keys, jobs: found.jobs, count: found.count?.value ?? 0, wiped: found.wiped?.value ?? {} };
};

// Each job's later wiping of the two.
const mergeWiped = (a, b) => {
  const later = Object.entries(b).map(([job, n]) => [job, Math.max(n, own(a, job) ?? 0)]);
  return { ...a, ...Object.fromEntries(later) };
};

// -> how many records found room
const fillMirror = async ({ read, mirror }, toMirror) => {
  let filled = 0;
  for (const { job, keys } of toMirror) {
    const { found } = await read(readJob(job));
    const records = (found?.records ?? []).filter((record) => keys.has(keyOf(record)));
    if (records.every(mirror.put)) {
      mirror.stay(job);
      filled += records.length;
    } else {
      mirror.leave(job);
    }
  }
  return filled;
};

const byKey = (records) => new Map(records.map((record) => [keyOf(record), record]));

/**
 * start({read, write, mirror, tell, isFresh}) -> Promise of {count, wiped, unkept}: the counter, {job: counter when it was
 * wiped}, and the records that only the mirror holds because the store cannot be written, by key.
 */
export const start = async ({ read, write, mirror, tell, isFresh = () => false }) => {
  const count = mirror.count();
  const wipedInMirror = mirror.note('wiped', {});
  const records = mirror.records();
  if (!mirror.works) tell({ what: 'mirror-blocked' });
  const tellRefusal = ({ why, stopped }) => {
    if (why === 'blocked') tell({ what: 'store-blocked' });
    else if (!stopped) tell({ what: 'store-refuses', why });
  };

  let shelf = await look(read);
  if (shelf.why) {
    tellRefusal(shelf);
    const held = records.filter(({ job, n }) => n > (own(wipedInMirror, job) ?? 0));
    return { count, wiped: wipedInMirror, unkept: byKey(held) };
  }

  // Jobs wiped while the store could not be written.
  const overdue = Object.entries(wipedInMirror).filter(([job, upTo]) => upTo > (own(shelf.wiped, job) ?? 0));
  for (const [job, upTo] of overdue) await write(erase(job, upTo));
  if (overdue.length) shelf = { ...shelf, ...await look(read) };

  const wiped = mergeWiped(shelf.wiped, wipedInMirror);
  const left = mirror.note('left', {});
  const { strays, toStore, toMirror, findings } = compare({ shelf, records, count, left, wiped });
  strays.forEach(mirror.forgetRecord);
  const filled = mirror.works ? await fillMirror({ read, mirror }, toMirror) : 0;
  // Written even with nothing to repair: only a real write shows, before the first tick, that the store takes one.
  const most = Math.max(count, shelf.count);
  const written = await write(putRecords(toStore, most, null));
  if (!written.done) tellRefusal(written);
  const repaired = { store: written.done ? toStore.length : 0, mirror: filled };
  for (const { leg, ...finding } of findings) {
    if (leg === 'store' && isFresh()) continue; // that it was empty is told by its having been set aside
    if (leg === 'store') tell({ ...finding, repaired: repaired.store });
    else if (mirror.works) tell(leg ? { ...finding, repaired: repaired.mirror } : finding);
  }
  return { count: most, wiped, unkept: byKey(written.done ? [] : toStore) };
};
