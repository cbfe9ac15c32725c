// What this page knows of its records: the counter, what is not saved yet, what the store had, what was wiped.

import { own } from '../base/own.js';
import { keyOf } from './unite.js';

/**
 * openState({mirror, found}) -> the state; found: {count, wiped, unkept}, as start() gives them.
 * count() -> the counter; numbered(record) -> the record with its number. unkept() -> the records
 * not kept, unkeptOf(job) -> those of a job; isUnkept(record); isLeft() -> whether there are any. expect(records): they are to be kept;
 * confirm(keys): they are; find(records): the mirror holds them, and those that the store was not seen to hold are not kept.
 * noteLoose() tells the mirror what is not kept. wipe(job) -> the counter up to which it is wiped; isWiped(record).
 */
export const openState = ({ mirror, found }) => {
  let { count, wiped } = found;
  const { unkept } = found;
  const confirmed = new Set(); // keys of what the store was seen to hold in this page's life
  const expect = (records) => { for (const record of records) unkept.set(keyOf(record), record); };

  const all = () => [...unkept.values()];
  const unkeptOf = (job) => all().filter((record) => record.job === job);

  // The mirror must know by itself what the store never took, or it would look like a store that forgot: after a kill it may
  // be alone in holding a tick. Noted before the tick itself, since the browser may end between the two.
  let loose = '[]';
  const noteLoose = () => {
    const marks = all().map(({ mark }) => mark);
    const text = JSON.stringify(marks);
    if (text !== loose) mirror.setNote('loose', marks);
    loose = text;
  };

  const nextNumber = () => {
    count = Math.max(count, mirror.count()) + 1;
    return count;
  };

  return {
    count: () => count,
    // A record that is tried again keeps its number, because it is the same record.
    numbered: (record) => unkept.get(keyOf(record)) ?? { ...record, n: nextNumber() },
    unkept: all,
    unkeptOf,
    isUnkept: (record) => unkept.has(keyOf(record)),
    isLeft: () => unkept.size > 0,
    expect,
    confirm: (keys) => {
      for (const key of keys) {
        confirmed.add(key);
        unkept.delete(key);
      }
    },
    find: (records) => expect(records.filter((record) => !confirmed.has(keyOf(record)))),
    noteLoose,
    isWiped: ({ job, n }) => n <= (own(wiped, job) ?? 0),
    wipe: (job) => {
      count = Math.max(count, mirror.count());
      wiped = { ...wiped, [job]: count };
      mirror.setNote('wiped', wiped);
      mirror.forget(job);
      for (const record of unkeptOf(job)) unkept.delete(keyOf(record));
      return count;
    },
  };
};
