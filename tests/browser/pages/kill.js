// One life of a phone that will be killed: first it tells what is still there, then it ticks until it dies.
// ?way=kept|relaxed|local|early&serial=17&pace=40. It tells the server by address alone: /told/read, /told/painted,
// /told/dropped, /told/failed.

import { openKeep } from '/phone/keep/keep.js';
import { entry } from './entry.js';

const query = new URLSearchParams(location.search);
const way = query.get('way');
const pace = Number(query.get('pace'));
const JOB = 'J-1';

const sleep = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });
const tell = (what, about) => fetch(`/told/${what}?${new URLSearchParams(about)}`);
const frame = () => new Promise((resolve) => { requestAnimationFrame(resolve); });

// [1, 2, 3, 7] -> '1-3,7-7'
const ranges = (serials) => {
  const runs = [];
  for (const serial of [...serials].sort((a, b) => a - b)) {
    const last = runs.at(-1);
    if (last?.[1] === serial - 1) last[1] = serial;
    else runs.push([serial, serial]);
  }
  return runs.map((run) => run.join('-')).join(',');
};

// Told in the frame that shows it, so what was told is at least what was seen.
const paint = async (serial, id) => {
  await frame();
  const line = document.createElement('li');
  line.dataset.kept = id;
  line.textContent = `Tick ${serial}`;
  document.querySelector('#ticks').prepend(line);
  tell('painted', { serial });
};

// The log is flushed whatever the main store does: the control for the main store's durability goes without it.
const lacking = way === 'relaxed' ? { storage: null } : {};
const open = (more) => openKeep({ scope: 'kill/', now: () => Date.now(), ...lacking, ...more });

const valuesOf = async (keep) => (await keep.journal(JOB)).map(({ value }) => value);

// What IndexedDB alone gives back, before the mirror could mend it. A store that is slow to open after a death is waited
// for: one that has not answered yet is not one that has lost anything.
const PATIENCE = 25_000;
const readStore = async () => {
  const keep = await open({ localStorage: null, watchdogMs: PATIENCE });
  const values = await valuesOf(keep);
  const silent = keep.trouble.filter(({ what }) => ['store-refuses', 'store-blocked', 'store-stopped'].includes(what));
  keep.close();
  if (silent.length) throw new Error(`The store did not answer: ${JSON.stringify(silent)}`);
  return values;
};

const keptFirst = async (keep, serial) => {
  const made = entry({ job: JOB, value: serial });
  const { kept, why } = await keep.append(made);
  if (kept) await paint(serial, made.id);
  else tell('dropped', { serial, why });
};

const paintedFirst = async (keep, serial) => {
  const made = entry({ job: JOB, value: serial });
  await paint(serial, made.id);
  await sleep(50);
  await keep.append(made);
};

const localOnly = async (_keep, serial) => {
  localStorage.setItem(`tick:${serial}`, String(serial));
  await paint(serial, String(serial));
};

const readLocal = () => Object.entries(localStorage)
  .filter(([key]) => key.startsWith('tick:'))
  .map(([, serial]) => Number(serial));

// The control for a power cut: all is the phone's own way but for the durability.
const relax = () => {
  const { transaction } = IDBDatabase.prototype;
  IDBDatabase.prototype.transaction = function relaxed(shelves, mode) {
    return transaction.call(this, shelves, mode, { durability: 'relaxed' });
  };
};

const tickBy = { kept: keptFirst, relaxed: keptFirst, early: paintedFirst, local: localOnly }[way];

const live = async () => {
  if (way === 'relaxed') relax();
  const stored = way === 'local' ? readLocal() : await readStore();
  const keep = await open();
  const held = way === 'local' ? stored : await valuesOf(keep);
  await tell('read', { stored: ranges(stored), held: ranges(held), trouble: JSON.stringify(keep.trouble) });
  const begun = performance.now();
  for (let turn = 0; ; turn += 1) {
    await tickBy(keep, Number(query.get('serial')) + turn);
    await sleep(Math.max(0, begun + (turn + 1) * pace - performance.now()));
  }
};

live().catch((error) => tell('failed', { error: error.stack ?? error }));
