// Pieces of work done on the store in one transaction each; see openStore for shelf and ask. None of them awaits
// anything but the store: that would end the transaction.

export const wholeJob = (job) => IDBKeyRange.bound([job], [job, []]);

const raise = (shelf, ask, name, value) => {
  ask(name, shelf('notes').get(name), (note) => {
    shelf('notes').put({ name, value: Math.max(value, note?.value ?? 0) });
  });
};

const stampJob = (shelf, ask, { job, n, touched }) => {
  ask('job', shelf('jobs').get(job), (before) => {
    const stamp = { job, n: Math.max(n, before?.n ?? 0), touched: touched ?? before?.touched ?? null };
    ask('stamp', shelf('jobs').put(stamp));
  });
};

/** Keep records; count is the counter after them, touched the time in ms, or null for a repair. */
export const putRecords = (records, count, touched) => (shelf, ask) => {
  const jobs = new Map();
  for (const record of records) {
    ask('entry', shelf('entries').put(record));
    jobs.set(record.job, Math.max(record.n, jobs.get(record.job) ?? 0));
  }
  for (const [job, n] of jobs) stampJob(shelf, ask, { job, n, touched });
  raise(shelf, ask, 'count', count);
};

/** Wipe what a job held when the counter stood at upTo; what came later stays. */
export const erase = (job, upTo) => (shelf, ask) => {
  ask('records', shelf('entries').getAll(wholeJob(job)), (records) => {
    const gone = records.filter(({ n }) => n <= upTo);
    for (const record of gone) ask('gone', shelf('entries').delete([job, record.id, record.mark]));
    if (gone.length === records.length) ask('job', shelf('jobs').delete(job));
  });
  ask('wiped', shelf('notes').get('wiped'), (note) => {
    ask('wiped', shelf('notes').put({ name: 'wiped', value: { ...note?.value, [job]: upTo } }));
  });
  raise(shelf, ask, 'count', upTo);
};

export const readJob = (job) => (shelf, ask) => ask('records', shelf('entries').getAll(wholeJob(job)));

/** Note that the log has held all of it once: a log that is empty after that was lost. */
export const noteLog = (shelf, ask) => ask('log', shelf('notes').put({ name: 'log', value: true }));

/** -> found: {keys: [[job, id, mark]], jobs: [{job, n, touched}], count: {value}, wiped: {value}, log: {value}} */
export const survey = (shelf, ask) => {
  ask('keys', shelf('entries').getAllKeys());
  ask('jobs', shelf('jobs').getAll());
  ask('count', shelf('notes').get('count'));
  ask('wiped', shelf('notes').get('wiped'));
  ask('log', shelf('notes').get('log'));
};
