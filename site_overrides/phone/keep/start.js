// The start: reads all copies, repairs each from the others, and reports what it found.

import { own } from '../base/own.js';
import { byKey, compare, keyOf } from './unite.js';
import { erase, noteLog, putRecords, readJob, survey } from './works.js';

const look = async (read) => {
  const { done, why, found } = await read(survey);
  if (!done) return { why };
  return {
    keys: found.keys, jobs: found.jobs, count: found.count?.value ?? 0, wiped: found.wiped?.value ?? {}, hadLog: found.log?.value === true,
    isNew: !found.count,
  };
};

// Each job's later wiping of the two.
const mergeWiped = (a, b) => {
  const later = Object.entries(b).map(([job, n]) => [job, Math.max(n, own(a, job) ?? 0)]);
  return { ...a, ...Object.fromEntries(later) };
};

const stored = async (read, { job, keys }) => {
  const { found } = await read(readJob(job));
  return (found?.records ?? []).filter((record) => keys.has(keyOf(record)));
};

// -> how many records found room
const fillMirror = async ({ read, mirror }, toMirror, toStore) => {
  let filled = 0;
  for (const group of toMirror) {
    const records = await stored(read, group);
    if (records.every(mirror.put)) {
      mirror.stay(group.job);
      filled += records.length;
    } else {
      mirror.leave(group.job);
    }
  }
  for (const record of toStore) mirror.put(record);
  return filled;
};

// -> how many records it took; what it does not take now it is offered with the next tick of its job
const fillLog = async ({ read, log }, toLog, toStore) => {
  const groups = await Promise.all(toLog.map((group) => stored(read, group)));
  const records = groups.flat();
  const { done } = await log.put([...records, ...toStore]);
  if (!done) return 0;
  log.confirm(records.map(({ mark }) => mark));
  return records.length;
};

const latest = (records) => records.reduce((most, { n }) => Math.max(most, n), 0);

/**
 * start({read, write, mirror, opening, wasTicked, tell, isFresh}) -> Promise of {count, wiped, unkept, isSuspect, isAlone}: the
 * counter, {job: counter when it was wiped}, the records that the store does not hold because it cannot be written, by key,
 * whether the store had lost something, and whether the log then held nothing by which it could be trusted to remember.
 * opening: Promise of the log; wasTicked() -> Promise of whether anything was ever ticked here.
 */
export const start = async ({ read, write, mirror, opening, wasTicked, tell, isFresh = () => false }) => {
  const looking = look(read);
  const log = await opening;
  const count = Math.max(mirror.count(), latest(log.atOpening.records));
  const wipedInMirror = mergeWiped(mirror.note('wiped', {}), log.atOpening.wiped);
  const records = mirror.records();
  if (!mirror.works) tell({ what: 'mirror-blocked' });
  const tellRefusal = ({ why, stopped }) => {
    if (why === 'blocked') tell({ what: 'store-blocked' });
    else if (!stopped) tell({ what: 'store-refuses', why });
  };

  let shelf = await looking;
  const hadLog = shelf.hadLog || mirror.note('log', false);
  if (hadLog && log.why) tell({ what: 'log-stopped', why: log.why });
  if (shelf.why) {
    tellRefusal(shelf);
    const held = [...log.atOpening.records, ...records].filter(({ job, n }) => n > (own(wipedInMirror, job) ?? 0));
    return { count, wiped: wipedInMirror, unkept: byKey(held), isSuspect: false, isAlone: false };
  }
  // Only asked if the stores look as if nobody had ever used them.
  const isBlank = shelf.isNew && !hadLog && log.atOpening.isNew && !count && !records.length;
  const isAllLost = isBlank && !isFresh() && await wasTicked();
  if (isAllLost) tell({ what: 'all-lost' });

  // Jobs wiped while the store could not be written.
  const overdue = Object.entries(wipedInMirror).filter(([job, upTo]) => upTo > (own(shelf.wiped, job) ?? 0));
  for (const [job, upTo] of overdue) await write(erase(job, upTo));
  if (overdue.length) shelf = { ...shelf, ...await look(read) };

  const wiped = mergeWiped(shelf.wiped, wipedInMirror);
  const { strays, logStrays, toStore, toMirror, toLog, findings } = compare({
    shelf, records, count, wiped,
    loose: new Set(mirror.note('loose', [])),
    left: mirror.note('left', {}),
    log: log.works() ? { ...log.atOpening, isLost: hadLog && (log.atOpening.isNew || (!log.atOpening.records.length && shelf.keys.length > 0)) } : null,
  });
  strays.forEach(mirror.forgetRecord);
  if (logStrays.length || log.isWasteful()) await log.wipe(wiped);
  const filled = mirror.works ? await fillMirror({ read, mirror }, toMirror, toStore) : 0;
  const logged = log.works() ? await fillLog({ read, log }, toLog, toStore) : 0;
  // Writes even if there is nothing to repair, because only a real write shows, before the first tick, that the store
  // takes one.
  const most = Math.max(count, shelf.count);
  const written = await write(putRecords(toStore, most, null));
  if (!written.done) tellRefusal(written);
  else log.confirm(toStore.map(({ mark }) => mark));
  if (log.works() && !hadLog) {
    mirror.setNote('log', true);
    await write(noteLog);
  }
  const repaired = new Map([['store', written.done ? toStore.length : 0], ['mirror', filled], ['log', logged]]);
  for (const { leg, ...finding } of findings) {
    if (leg === 'store' && isFresh()) continue; // that it was empty is told by its having been set aside
    if (leg === 'mirror' && !mirror.works) continue;
    tell(leg ? { ...finding, repaired: repaired.get(leg) } : finding);
  }
  const isSuspect = isAllLost || (!isFresh() && findings.some(({ leg }) => leg === 'store'));
  return { count: most, wiped, unkept: byKey(written.done ? [] : toStore), isSuspect, isAlone: log.atOpening.isNew };
};
