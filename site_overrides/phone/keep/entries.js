// Journals in and out: entries become records, and records are written to every copy and read from the store and the mirror.

import { openState } from './entries_state.js';
import { entriesIn, isEntry, jobsOf, listJobs, recordOf } from './records.js';
import { byKey, keyOf } from './unite.js';
import { erase, putRecords, readJob, survey } from './works.js';

// -> keepRecords(records) -> Promise of {kept, why, mirrored}
// Everything of these jobs that is not saved yet goes into the same transaction, so that no saved entry depends on an unsaved one.
// Kept is what the store has taken and, where there is one, the log: a store that was torn takes and forgets. The log and
// the mirror are written while the store is at work: it costs the tap little, and is there if the store is silent.
const openWriter = ({ state, write, mirror, log, noteTicked, wrote, heard, now }) => async (records) => {
  const jobs = jobsOf(records);
  const late = state.unkept().filter(({ job }) => jobs.has(job));
  state.expect(records);
  const offered = byKey([...late, ...records]);
  const all = [...offered.values()];
  const wasLogging = log.works();
  const writing = write(putRecords(all, state.count(), now()));
  const logging = log.put(all);
  state.noteLoose();
  const mirrored = records.map(mirror.put).every(Boolean);
  const [stored, logged] = await Promise.all([writing, logging]);
  const done = stored.done && (logged.done || !wasLogging);
  const why = stored.done ? logged.why : stored.why;
  if (done) {
    state.confirm(offered.keys());
    log.confirm(all.map(({ mark }) => mark));
    state.noteLoose();
    noteTicked(); // nobody waits for it
  }
  for (const job of jobs) wrote(job, done);
  if (done) for (const job of jobsOf(late)) heard(job);
  return records.some(state.isUnkept) ? { kept: false, why, mirrored } : { kept: true, mirrored };
};

const openReader = ({ state, read, mirror, log }) => ({
  // -> Promise of a job's records by key. What the store holds is kept; what only the mirror holds is not, whoever wrote it there.
  heldOf: async (job) => {
    const { found } = await read(readJob(job));
    const stored = found?.records ?? [];
    const isLost = (record) => state.isUnkept(record) && log.works() && !log.has(record);
    state.confirm(stored.filter((record) => !isLost(record)).map(keyOf));
    const mirrored = mirror.records(job).filter((record) => !state.isWiped(record));
    state.find(mirrored);
    return byKey([...stored, ...mirrored, ...state.unkeptOf(job)].filter((record) => !state.isWiped(record)));
  },
  jobs: async () => {
    const { found } = await read(survey);
    const loose = [...(found ? [] : mirror.records()), ...state.unkept()];
    const stored = (found?.keys ?? []).map(([job, id, mark]) => ({ job, id, mark }));
    const stamps = [...(found?.jobs ?? []), ...loose].filter((stamp) => !state.isWiped(stamp));
    return listJobs(stamps, [...stored, ...loose]);
  },
});

/**
 * openEntries({read, write, mirror, log, tell, noteTicked, wrote, heard, now, found}) -> {append, union, journal, unkept, jobs, wipe, again,
 * isLeft}, as openKeep describes them; found is what start() gave, wrote(job, isKept) tells the other tabs, heard(job) this one
 * that what was not kept is kept now. isLeft() -> whether anything is not kept.
 */
export const openEntries = ({ read, write, mirror, log, tell, noteTicked, wrote, heard, now, found }) => {
  const state = openState({ mirror, found });
  const keepRecords = openWriter({ state, write, mirror, log, noteTicked, wrote, heard, now });
  const { heldOf, jobs } = openReader({ state, read, mirror, log });
  const nothingToKeep = () => ({ kept: true, mirrored: mirror.works });

  const union = async (entries) => {
    const offered = await Promise.all(entries.filter(isEntry).map(recordOf));
    const records = byKey(offered);
    const held = new Set();
    for (const job of jobsOf(offered)) for (const key of (await heldOf(job)).keys()) held.add(key);
    const added = [...records.keys()].filter((key) => !held.has(key)).length;
    const toWrite = [...records.values()].filter((record) => !held.has(keyOf(record)) || state.isUnkept(record));
    const outcome = toWrite.length ? await keepRecords(toWrite.map(state.numbered)) : nothingToKeep();
    return { ...outcome, added, had: records.size - added };
  };

  const again = async (job = null) => {
    const records = job === null ? state.unkept() : state.unkeptOf(job);
    return records.length ? keepRecords(records) : nothingToKeep();
  };

  const wipe = async (job) => {
    const upTo = state.wipe(job);
    const [{ done, why }] = await Promise.all([write(erase(job, upTo)), log.wipe({ [job]: upTo })]);
    wrote(job);
    return done ? { wiped: true } : { wiped: false, why };
  };

  return {
    append: async (entry) => keepRecords([state.numbered(await recordOf(entry))]),
    union,
    journal: async (job) => entriesIn((await heldOf(job)).values(), tell),
    unkept: (job) => entriesIn(state.unkeptOf(job), tell),
    jobs,
    wipe,
    again,
    isLeft: state.isLeft,
  };
};
