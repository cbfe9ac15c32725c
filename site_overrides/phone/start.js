// Composes the phone's half of the site: the keep, the journal, the offline copy and the screen. Nothing imports it.

import { exportText, readRecord, recordName, sheetsNamed, shareOrDownload } from './carry.js';
import { clockSet, ranBack } from './clock.js';
import { canonical, digest } from './digest.js';
import { add, gather, judge, newEntry, newId, nextLamport } from './journal.js';
import { openKeep } from './keep.js';
import { startOffline, takeUpdate } from './offline.js';
import { deviceLine } from './screen/device.js';
import { jobScreen } from './screen/job.js';
import { importBox, jobsList } from './screen/jobs.js';
import { make, show } from './screen/nodes.js';
import { startForm } from './screen/start_form.js';
import { fieldsOf } from './screen/verbs.js';
import { W } from './words.js';

const html = document.documentElement;
const { page, shop, root: rootPath } = html.dataset;
const root = new URL(rootPath || './', location.href);
const screen = document.getElementById('screen');
const paper = document.getElementById('paper');
const AWAY_MS = 60_000;
const SECOND = 1000;
const IDLE_SECONDS = 15; // how often the screen is drawn when no time runs

const now = () => Date.now();
const random = (n) => crypto.getRandomValues(new Uint8Array(n));

const keep = await openKeep({ scope: `${shop} ${root.pathname}`, now });
const settled = async (name, fresh) => {
  const value = await keep.setting(name);
  if (value) return value;
  const made = fresh();
  if (made) await keep.setSetting(name, made);
  return made;
};
const device = await settled('device', () => newId(random));
const writer = newId(random);
let me = (await keep.setting('who')) ?? '';

// --- worksheets -------------------------------------------------------------------------------------------------------

const sheets = {}; // digest -> worksheet, all that this page life has met

const hold = async (text) => {
  const mark = await digest(text);
  sheets[mark] ??= JSON.parse(text);
  return { digest: mark, sheet: sheets[mark], text };
};

const fetchSheet = async (address) => {
  try {
    const answer = await fetch(address);
    return answer.ok ? await hold(await answer.text()) : null;
  } catch {
    return null;
  }
};

const onSite = (worksheet) => fetchSheet(new URL(`w/${encodeURIComponent(worksheet)}/sheet.json`, root));

const fetchKept = async (mark) => {
  if (sheets[mark]) return;
  const text = await keep.sheet(mark);
  if (text) await hold(text);
};

const own = page === 'worksheet' ? await fetchSheet('sheet.json') : null;

// --- one job ----------------------------------------------------------------------------------------------------------

let last = null; // the entry this writer made last: the next one names it
const unkept = new Map(); // what was tapped and not kept: the next tap offers the same entry again

const makeEntry = async (verb, { job, gathered, state, sheet, mark }) => {
  const who = verb.who ?? me;
  const fields = fieldsOf(verb, { gathered, state, sheet });
  const prev = last ? await digest(canonical(last)) : '';
  const entry = newEntry(verb.kind, fields, {
    job, device, writer, prev, lamport: nextLamport(gathered), who, sheet: verb.sheet ?? mark, now: now(), random,
  });
  last = entry;
  return entry;
};

const offer = async (verb, inView) => {
  const name = canonical([inView.job, verb.kind, verb.step ?? '', verb.part ?? '', verb.value, verb.who ?? me]);
  const entry = unkept.get(name) ?? await makeEntry(verb, inView);
  unkept.set(name, entry);
  const answer = await keep.append(entry);
  if (answer.kept) unkept.delete(name);
  return { ...answer, entry };
};

/** openJob(job) -> {node, update(), stop()} or a page that says why not. */
const openJob = async (job) => {
  let gathered = gather(await keep.journal(job));
  if (!gathered.entries.length) return sayOnly(W.unknownJob);
  await Promise.all(sheetsNamed(gathered.entries).map(fetchKept));
  let state = judge(gathered, sheets);
  if (!state.sheet) return sayOnly(W.noSheet);
  let back = null;
  let view = null;
  let queue = Promise.resolve();
  let newest = own;

  const write = async (verb) => {
    if (!verb.who && !me) return { kept: false, words: W.whoFirst };
    if (verb.kind === 'adopt') await keep.putSheet(verb.sheet, newest.text);
    const { entry, ...answer } = await offer(verb, { job, gathered, state, sheet: sheets[state.sheet], mark: state.sheet });
    if (!answer.kept) return answer;
    navigator.vibrate?.(30);
    gathered = add(gathered, entry);
    refresh();
    return state.inert.includes(entry.id) ? { ...answer, words: W.closedNothing(1) } : answer;
  };
  const send = (verb) => {
    queue = queue.then(() => write(verb), () => write(verb));
    return queue;
  };
  const take = async (initials) => {
    me = initials;
    draw();
    await keep.setSetting('who', me);
  };
  const forget = async (typed) => {
    if (typed !== state.job?.number) return { kept: false, words: W.wipeWrong };
    const { wiped, why } = await keep.wipe(job);
    if (wiped) location.hash = '';
    return { kept: wiped, why };
  };
  let record = null; // {of, text}: what would be handed on, of how many entries
  const prepare = async () => {
    const { entries } = gathered;
    if (record?.of !== entries) record = { of: entries, text: await exportText(entries, sheets) };
    return record.text;
  };
  const hand = async () => {
    const text = record?.of === gathered.entries ? record.text : await prepare();
    const name = recordName(state.job?.number ?? '', me, new Date(now()).toISOString());
    return shareOrDownload(text, name, { navigator, document });
  };
  const offered = () => {
    if (newest?.sheet.worksheet !== sheets[state.sheet].worksheet) return null;
    return sheetsNamed(gathered.entries).includes(newest.digest) ? null : newest;
  };
  const node = make('div');
  let drawnSheet = null;
  const makeView = () => {
    const sheet = sheets[state.sheet];
    const folder = new URL(`w/${encodeURIComponent(sheet.worksheet)}/`, root);
    view = jobScreen({ sheet, job, send, take, forget, carry: { prepare, hand }, home: new URL('jobs/', root).href, pictures: `${folder.href}pictures/` });
    drawnSheet = state.sheet;
    node.replaceChildren(view.node);
  };
  const draw = () => {
    if (drawnSheet !== state.sheet) makeView();
    view.update({ state, gathered, sheets, me, device, now: now(), jumped: jumped || ranBack(gathered.entries, { device, now: now() }), offered: offered(), back, trouble: keep.trouble, words: offline });
  };
  const refresh = () => {
    state = judge(gathered, sheets);
    document.title = `${state.job?.number ?? ''} ${sheets[state.sheet].title}`.trim();
    draw();
  };
  const comeBack = () => {
    const entries = gathered.entries.filter(({ step }) => step);
    back = entries.length ? { last: entries.at(-1), at: now() } : null;
  };
  // A phone that slept looks as if its clock had been set, so only looks of an unhidden page are compared.
  let looked = null;
  let jumped = false;
  const watchClock = () => {
    const next = document.hidden ? null : { wall: now(), steady: performance.now() };
    jumped ||= Boolean(looked && next && clockSet(looked, next));
    looked = next;
  };
  let seconds = 0;
  const beat = setInterval(() => {
    seconds += 1;
    watchClock();
    if (document.hidden) return;
    const runs = Object.values(state.steps).some((step) => step.state === 'waiting');
    if (runs || seconds % IDLE_SECONDS === 0) draw();
  }, SECOND);
  let leftAt = null;
  const onVisible = () => {
    looked = null;
    if (document.hidden) leftAt = now();
    else {
      if (leftAt !== null && now() - leftAt >= AWAY_MS) comeBack();
      draw();
    }
  };
  document.addEventListener('visibilitychange', onVisible);
  const stopOther = keep.onOther(async (wrote) => {
    if (wrote.job !== job) return;
    gathered = gather([...gathered.entries, ...await keep.journal(job)]);
    await Promise.all(sheetsNamed(gathered.entries).map(fetchKept));
    refresh();
  });
  comeBack();
  refresh();
  if (!newest) {
    onSite(sheets[state.sheet].worksheet).then((found) => {
      newest = found;
      draw();
    });
  }
  const stop = () => {
    clearInterval(beat);
    document.removeEventListener('visibilitychange', onVisible);
    stopOther();
  };
  return { node, stop, hasJob: true, onDevice: draw, arrive: () => view.arrive() };
};

const sayOnly = (text) => ({
  node: make('main', { class: 'plain' }, make('p', { class: 'note' }, text), make('a', { class: 'row', href: new URL('jobs/', root).href }, W.allJobs)),
  stop: () => {},
  hasJob: true,
  onDevice: () => {},
});

// --- the pages that list jobs and start them --------------------------------------------------------------------------

const jobsHere = async () => {
  const found = [];
  for (const { job, touched } of await keep.jobs()) {
    const entries = await keep.journal(job);
    await Promise.all(sheetsNamed(entries).map(fetchKept));
    const state = judge(gather(entries), sheets);
    const sheet = sheets[state.sheet];
    const folder = sheet && offeredHere(sheet.worksheet) ? `w/${encodeURIComponent(sheet.worksheet)}/` : 'jobs/';
    found.push({ job, touched, state, sheet, title: sheet ? `${sheet.title}, ${sheet.engine.title}` : '', href: `${new URL(folder, root).href}#${job}` });
  }
  return found;
};

// A worksheet that this site no longer has: its jobs are opened from the list's own page.
const offeredHere = (worksheet) => page !== 'jobs' || [...document.querySelectorAll('[data-worksheet]')].some((one) => one.dataset.worksheet === worksheet);

const bringIn = async (text) => {
  const read = await readRecord(text);
  if (read.refused) return read;
  for (const [mark, sheet] of Object.entries(read.sheets)) await keep.putSheet(mark, sheet);
  const done = await keep.union(read.entries);
  await current.refresh?.();
  return done.kept ? done : { refused: W.importUnkept };
};

const startJob = async ({ who, value }) => {
  const job = newId(random);
  const put = await keep.putSheet(own.digest, own.text);
  if (!put.kept) return put;
  me = who;
  await keep.setSetting('who', who);
  const gathered = gather([]);
  const state = judge(gathered, sheets);
  const answer = await offer({ kind: 'start', step: '', value }, { job, gathered, state, sheet: own.sheet, mark: own.digest });
  if (answer.kept) location.hash = job;
  return answer;
};

const listPage = async (filled) => {
  const isHere = page === 'worksheet';
  const list = jobsList();
  const line = deviceLine({
    update: async () => {
      if (await takeUpdate()) location.reload();
      return null;
    },
  });
  const box = importBox({ bringIn });
  const form = isHere && own ? startForm({ sheet: own.sheet, filled, who: me, start: startJob }) : null;
  const refresh = async () => {
    const jobs = await jobsHere();
    list.update({ jobs: jobs.filter(({ sheet }) => !isHere || sheet?.worksheet === own?.sheet.worksheet), now: now() });
  };
  const onDevice = () => line.update({ ...offline, trouble: keep.trouble });
  await refresh();
  onDevice();
  const stopOther = keep.onOther(refresh);
  const spots = { device: document.getElementById('device'), here: document.getElementById('here') };
  spots.device?.replaceChildren(line.node);
  spots.here?.replaceChildren(list.node, ...page === 'jobs' ? [box.node] : []);
  const head = () => [make('h1', {}, own.sheet.title), make('p', {}, own.sheet.engine.title)];
  const node = !isHere ? null : make(
    'main', { class: 'plain' }, make('header', {}, own ? head() : make('h1', {}, W.startTitle)), line.node,
    form ? make('section', {}, make('h2', {}, W.startTitle), form.node) : make('p', { class: 'note' }, W.noSheetHere), list.node, box.node,
    make('p', {}, make('a', { class: 'row', href: new URL('jobs/', root).href }, W.allJobs)),
    make('h2', {}, W.paper),
  );
  return { node, stop: stopOther, refresh, onDevice, hasJob: false };
};

// --- routes -----------------------------------------------------------------------------------------------------------

let offline = { state: 'loading' };
let current = { stop: () => {}, onDevice: () => {} };

const route = async () => {
  const hash = decodeURIComponent(location.hash.slice(1).split('?')[0]);
  const filled = Object.fromEntries(new URLSearchParams(location.hash.split('?')[1] ?? ''));
  const isJob = hash !== '' && hash !== 'new' && (page === 'worksheet' || page === 'jobs');
  current.stop();
  const next = isJob ? await openJob(hash) : await listPage(filled);
  current = next;
  for (const main of document.querySelectorAll('body > main')) show(main, !next.hasJob);
  if (next.hasJob) paper?.remove();
  else if (paper) document.body.append(paper);
  if (next.node) screen.replaceChildren(next.node);
  else screen.replaceChildren();
  show(screen, next.node);
  next.onDevice();
  if (isJob) next.arrive?.();
};

globalThis.addEventListener('hashchange', route);
globalThis.addEventListener('beforeprint', () => paper && document.body.append(paper));
globalThis.addEventListener('afterprint', () => current.hasJob && paper?.remove());
startOffline({
  onState: (state, detail) => {
    offline = { state, ...detail };
    current.onDevice();
  },
});
await route();
html.dataset.ready = '';
