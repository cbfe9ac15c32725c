// Journals in and out. A record is {job, id, mark, n, text}: the entry's canonical text, and the counter when it came.

import { canonical, digest } from '../base/digest.js';
import { own } from '../base/own.js';
import { keyOf } from './unite.js';
import { erase, putRecords, readJob, survey } from './works.js';

const byText = (a, b) => (a < b ? -1 : Number(a > b));

const byTurn = (a, b) => a.lamport - b.lamport || byText(a.writer, b.writer) || byText(a.id, b.id);

const isEntry = (entry) => typeof entry?.id === 'string' && typeof entry.job === 'string';

// The same id with other content is another record: both are kept.
const recordOf = async (entry) => {
  const text = canonical(entry);
  return { job: entry.job, id: entry.id, mark: (await digest(text)).slice(0, 16), text };
};

/**
 * openEntries({read, write, mirror, log, tell, noteTicked, wrote, heard, now, found}) -> {append, union, journal, unkept, jobs, wipe, again,
 * isLeft}, as openKeep describes them; found is what start() gave, wrote(job, isKept) tells the other tabs, heard(job) this one
 * that what was not kept is kept now. isLeft() -> whether anything is not kept.
 */
export const openEntries = ({ read, write, mirror, log, tell, noteTicked, wrote, heard, now, found: { count, wiped, unkept } }) => {
  const confirmed = new Set(); // keys of what the store was seen to hold in this page's life

  const nextNumber = () => {
    count = Math.max(count, mirror.count()) + 1;
    return count;
  };

  // A record that is tried again keeps its number, because it is the same record.
  const numbered = (record) => unkept.get(keyOf(record)) ?? { ...record, n: nextNumber() };

  const jobsOf = (records) => new Set(records.map(({ job }) => job));

  const confirm = (keys) => {
    for (const key of keys) {
      confirmed.add(key);
      unkept.delete(key);
    }
  };

  // The mirror must know by itself what the store never took, or it would look like a store that forgot: after a kill it may
  // be alone in holding a tick. Noted before the tick itself, since the browser may end between the two.
  let loose = '[]';
  const noteLoose = () => {
    const marks = [...unkept.values()].map(({ mark }) => mark);
    const text = JSON.stringify(marks);
    if (text !== loose) mirror.setNote('loose', marks);
    loose = text;
  };

  // Everything of these jobs that is not saved yet goes into the same transaction, so that no saved entry depends on an unsaved one.
  // Kept is what the store has taken and, where there is one, the log: a store that was torn takes and forgets. The log and
  // the mirror are written while the store is at work: it costs the tap little, and is there if the store is silent.
  const keepRecords = async (records) => {
    const jobs = jobsOf(records);
    const late = [...unkept.values()].filter(({ job }) => jobs.has(job));
    for (const record of records) unkept.set(keyOf(record), record);
    const offered = new Map([...late, ...records].map((record) => [keyOf(record), record]));
    const wasLogging = log.works();
    const writing = write(putRecords([...offered.values()], count, now()));
    const logging = log.put([...offered.values()]);
    noteLoose();
    const mirrored = records.map(mirror.put).every(Boolean);
    const [stored, logged] = await Promise.all([writing, logging]);
    const done = stored.done && (logged.done || !wasLogging);
    const why = stored.done ? logged.why : stored.why;
    if (done) {
      confirm(offered.keys());
      log.confirm([...offered.values()].map(({ mark }) => mark));
      noteLoose();
      noteTicked(); // nobody waits for it
    }
    for (const job of jobs) wrote(job, done);
    if (done) for (const job of jobsOf(late)) heard(job);
    const isKept = records.every((record) => !unkept.has(keyOf(record)));
    return isKept ? { kept: true, mirrored } : { kept: false, why, mirrored };
  };

  const append = async (entry) => keepRecords([numbered(await recordOf(entry))]);

  const isWiped = ({ job, n }) => n <= (own(wiped, job) ?? 0);

  const unkeptOf = (job) => [...unkept.values()].filter((record) => record.job === job);

  // What the store holds is kept; what only the mirror holds is not, whoever wrote it there.
  const heldOf = async (job) => {
    const { found } = await read(readJob(job));
    const stored = found?.records ?? [];
    const isLost = (record) => unkept.has(keyOf(record)) && log.works() && !log.has(record);
    confirm(stored.filter((record) => !isLost(record)).map(keyOf));
    const mirrored = mirror.records(job).filter((record) => !isWiped(record));
    for (const record of mirrored) if (!confirmed.has(keyOf(record))) unkept.set(keyOf(record), record);
    const records = [...stored, ...mirrored, ...unkeptOf(job)];
    return new Map(records.filter((record) => !isWiped(record)).map((record) => [keyOf(record), record]));
  };

  const again = async (job = null) => {
    const records = job === null ? [...unkept.values()] : unkeptOf(job);
    return records.length ? keepRecords(records) : { kept: true, mirrored: mirror.works };
  };

  const union = async (entries) => {
    const offered = await Promise.all(entries.filter(isEntry).map(recordOf));
    const records = new Map(offered.map((record) => [keyOf(record), record]));
    const held = new Set();
    for (const job of jobsOf(offered)) for (const key of (await heldOf(job)).keys()) held.add(key);
    const added = [...records.keys()].filter((key) => !held.has(key)).length;
    const toWrite = [...records].filter(([key]) => !held.has(key) || unkept.has(key)).map(([, record]) => record);
    const outcome = toWrite.length
      ? await keepRecords(toWrite.map(numbered))
      : { kept: true, mirrored: mirror.works };
    return { ...outcome, added, had: records.size - added };
  };

  const entryIn = ({ job, id, text }) => {
    try {
      return JSON.parse(text);
    } catch {
      tell({ what: 'entry-unreadable', job, id });
      return null;
    }
  };

  const entriesIn = (records) => [...records].map(entryIn).filter(Boolean).sort(byTurn);

  const jobs = async () => {
    const { found } = await read(survey);
    const loose = [...(found ? [] : mirror.records()), ...unkept.values()];
    const stored = (found?.keys ?? []).map(([job, id, mark]) => ({ job, id, mark }));
    const stamps = [...(found?.jobs ?? []), ...loose].filter((stamp) => !isWiped(stamp));
    const listed = new Map();
    for (const { job, n, touched } of stamps) {
      const before = listed.get(job) ?? { n: 0, touched: null };
      listed.set(job, { job, entries: 0, n: Math.max(n, before.n), touched: touched ?? before.touched });
    }
    const distinct = new Map([...stored, ...loose].map((record) => [keyOf(record), record.job]));
    for (const job of distinct.values()) if (listed.has(job)) listed.get(job).entries += 1;
    return [...listed.values()]
      .sort((a, b) => b.n - a.n)
      .map(({ job, entries, touched }) => ({ job, entries, touched }));
  };

  const wipe = async (job) => {
    count = Math.max(count, mirror.count());
    wiped = { ...wiped, [job]: count };
    mirror.setNote('wiped', wiped);
    mirror.forget(job);
    for (const record of unkeptOf(job)) unkept.delete(keyOf(record));
    const [{ done, why }] = await Promise.all([write(erase(job, count)), log.wipe({ [job]: count })]);
    wrote(job);
    return done ? { wiped: true } : { wiped: false, why };
  };

  return {
    append,
    union,
    journal: async (job) => entriesIn((await heldOf(job)).values()),
    unkept: (job) => entriesIn(unkeptOf(job)),
    jobs,
    wipe,
    again,
    isLeft: () => unkept.size > 0,
  };
};
