// Composes the phone's half of the site: the keep, the offline copy, the pages and what each address opens.
// Nothing imports it.

import { openBusy, openHands } from './busy.js';
import { openCalculators } from './calculators.js';
import { readRecord, refusedBySize } from './carry.js';
import { digest } from './digest.js';
import { gather, judge, newId } from './journal.js';
import { openJobPage } from './job_page.js';
import { openKeep } from './keep.js';
import { openKnownSheets } from './known_sheets.js';
import { openLasting } from './lasting.js';
import { startOffline, takeUpdate } from './offline.js';
import { openPacks } from './packs.js';
import { reach } from './reach.js';
import { deviceLine } from './screen/device.js';
import { importBox, jobsList } from './screen/jobs.js';
import { newsOf, sheetsToRead } from './screen/news.js';
import { make, show } from './screen/nodes.js';
import { keptList, pinsBox, sayFacts } from './screen/pins.js';
import { guardPresses } from './screen/press_guard.js';
import { promiseBox } from './screen/promise.js';
import { startForm } from './screen/start_form.js';
import { sameNumber, showWritten } from './screen/same_number.js';
import { judgeKept } from './unkept.js';
import { openUpdate } from './update.js';
import { W } from './words.js';
import { N } from './words_news.js';
import { openPen, openShelf } from './work.js';

guardPresses(globalThis);

const html = document.documentElement;
const { page, shop, root: rootPath } = html.dataset;
const root = new URL(rootPath || './', location.href);
const home = new URL('jobs/', root).href;
const screen = document.getElementById('screen');
const paper = document.getElementById('paper');
const now = () => Date.now();
const random = (n) => crypto.getRandomValues(new Uint8Array(n));

const keep = await openKeep({ scope: `${shop} ${root.pathname}`, now, sheetsName: `handturn:${root.pathname} ${shop} sheets` });

const ownDevice = async () => {
  const known = await keep.setting('device');
  if (known) return known;
  const made = newId(random);
  await keep.setSetting('device', made);
  return made;
};

const device = await ownDevice();
const shelf = openShelf({ keep });
// What was started on this very phone was started from a page of this site.
const startedHere = async () => {
  const journals = await Promise.all((await keep.jobs()).map(({ job: one }) => keep.journal(one)));
  return journals.flat().filter(({ kind, device: by }) => kind === 'start' && by === device).map(({ sheet }) => sheet);
};
const known = await openKnownSheets({ keep, shop, before: startedHere });
const pen = openPen({ keep, device, writer: newId(random), now, random });
const fromHome = globalThis.matchMedia?.('(display-mode: standalone)').matches ?? false;
const offer = async (verb, inView) => {
  const answer = await pen(verb, inView);
  if (answer.kept && verb.kind !== 'start') lasting.afterTick();
  return answer;
};
let me = (await keep.setting('who')) ?? '';
const who = {
  me: () => me,
  take: (initials) => {
    me = initials;
    return keep.setSetting('who', initials);
  },
};

// --- worksheets of the site -------------------------------------------------------------------------------------------

const fetchSheet = async (address) => {
  try {
    const answer = await fetch(address);
    if (!answer.ok) return null;
    const held = await shelf.hold(await answer.text());
    known.learn([held.digest]);
    return held;
  } catch {
    return null;
  }
};

const folderOf = (worksheet) => new URL(`w/${encodeURIComponent(worksheet)}/`, root);
const onSite = (worksheet) => fetchSheet(new URL('sheet.json', folderOf(worksheet)));
const own = page === 'worksheet' ? await fetchSheet('sheet.json') : null;

// --- the pages that list jobs and start them --------------------------------------------------------------------------

// A job whose worksheet this site no longer has is opened by the page of all jobs.
const addressOf = (job, sheet) => {
  const listed = [...document.querySelectorAll('[data-worksheet]')].map((one) => one.dataset.worksheet);
  const isHere = sheet && listed.includes(sheet.worksheet);
  return `${isHere ? folderOf(sheet.worksheet) : home}#${encodeURIComponent(job)}`;
};

const lookAt = async ({ job, touched }) => {
  const entries = await keep.journal(job);
  await shelf.fetchKept(entries);
  const unkept = new Set(keep.unkept(job).map(({ id }) => id));
  const { state } = judgeKept({ all: gather(entries), sheets: shelf.sheets, unkept, saved: new Set() });
  const sheet = shelf.sheets[state.sheet];
  const title = sheet ? `${sheet.title}, ${sheet.engine.title}` : '';
  const startedBy = entries.find(({ kind }) => kind === 'start')?.who ?? '';
  const { origin } = known.originOf(shelf.named(entries));
  return { job, touched, state, title, startedBy, origin, unkept: unkept.size, worksheet: sheet?.worksheet, href: addressOf(job, sheet) };
};

// One job that cannot be looked at must not hide the others.
const jobHere = async (one) => {
  try {
    return await lookAt(one);
  } catch (error) {
    reportError(error);
    const { job } = one;
    return { ...one, state: null, title: W.jobFault, origin: 'known', unkept: 0, href: addressOf(job, null) };
  }
};

// The site's own word on worksheets of jobs that came from elsewhere, asked for once.
const asked = new Set();
const askSite = async (jobs) => {
  const names = jobs.filter(({ origin }) => origin === 'unmet').map(({ worksheet }) => worksheet);
  const fresh = [...new Set(names)].filter((name) => name && !asked.has(name));
  for (const name of fresh) asked.add(name);
  await Promise.all(fresh.map(onSite));
  return fresh.length > 0;
};

const jobsHere = async () => Promise.all((await keep.jobs()).map(jobHere));

const packs = openPacks({ keep, jobs: jobsHere, onChange: () => site.chosen() });

const bringIn = async (file) => {
  const read = refusedBySize(file.size) ?? await readRecord(await file.text());
  if (read.refused) return read;
  for (const [mark, sheet] of Object.entries(read.sheets)) await keep.putSheet(mark, sheet);
  const done = await keep.union(read.entries);
  await current.refresh();
  return done;
};

let listedHere = []; // as the page that lists jobs last saw them: a store in trouble must not keep a start waiting
const startJob = async ({ who: initials, value, isSecond }) => {
  const same = isSecond ? null : sameNumber(listedHere, value.number);
  if (same) return { kept: false, same };
  await keep.putSheet(own.digest, own.text);
  await who.take(initials);
  const job = newId(random);
  const gathered = gather([]);
  const inView = { job, gathered, state: judge(gathered, shelf.sheets), sheet: own.sheet, mark: own.digest, who: initials };
  const answer = await offer({ kind: 'start', value }, inView);
  packs.forget();
  location.hash = encodeURIComponent(job);
  return { ...answer, counts: true };
};

const sheetPage = ({ line, list, box, promise, filled }) => make(
  'main', { class: 'plain' },
  make('header', {}, make('h1', {}, own?.sheet.title ?? W.startTitle), make('p', {}, own?.sheet.engine.title ?? '')),
  line.node,
  own
    ? make('section', {}, make('h2', {}, W.startTitle), startForm({ sheet: own.sheet, filled, who: me, start: startJob, promise }).node)
    : make('p', { class: 'note' }, W.noSheetHere),
  list.node, box.node, make('p', {}, make('a', { class: 'row', href: home }, W.allJobs)), make('h2', {}, W.paper),
);

const openListPage = async (filled) => {
  const list = jobsList();
  const line = deviceLine({ update: renewal.accept });
  const promise = promiseBox({ guide: new URL('guide/this-phone/', root).href });
  const box = importBox({ bringIn });
  const pins = pinsBox({ choose: (name, on) => packs.choose(name, on, Object.keys(offline.packs)) });
  const kept = keptList({ addressOf: folderOf });
  let inUse = new Set();
  let jobs = 0;
  const isMine = ({ worksheet }) => page !== 'worksheet' || worksheet === own?.sheet.worksheet;
  const refresh = async () => {
    const listed = await jobsHere();
    jobs = listed.length;
    listedHere = listed;
    list.update({ jobs: listed.filter(isMine), now: now() });
    showWritten(listed);
    packs.learn(listed);
    inUse = await packs.inUse();
    pins.update({ ...offline, inUse });
    askSite(listed).then((isNews) => isNews && refresh()); // the list does not wait for the network
  };
  const onDevice = () => {
    line.update({ ...offline, trouble: keep.trouble });
    pins.update({ ...offline, inUse });
    kept.update(offline);
    sayFacts(offline.packs);
    promise.update({ ...lasting.facts(), trouble: keep.trouble, log: keep.hasLog, offline, jobs, fromHome, secure: globalThis.isSecureContext });
  };
  await refresh();
  onDevice();
  document.getElementById('device')?.replaceChildren(line.node, ...page === 'jobs' ? [promise.node] : []);
  document.getElementById('here')?.replaceChildren(list.node, ...page === 'jobs' ? [box.node, pins.node] : []);
  document.getElementById('kept')?.replaceChildren(kept.node);
  const node = page === 'worksheet' ? sheetPage({ line, list, box, promise: promise.node, filled }) : null;
  return { node, refresh, onDevice, stop: keep.onOther(refresh), arrive: () => {} };
};

// --- addresses: #<job> is a job, #new?... a start form that is filled in ------------------------------------------------

let offline = { state: 'loading' };
let current = { stop: () => {}, onDevice: () => {} };
const lasting = openLasting({ keep, fromHome, onChange: () => current.onDevice() });

// --- a new version: what it changes, and nothing half done on any open page -------------------------------------------

const hands = openHands(document);
const halfDone = () => {
  const inHand = hands.look();
  return current.halfDone ? current.halfDone(inHand) : inHand && { job: '', step: '', why: inHand.why };
};
const renewal = openUpdate({
  read: (which, path) => site.read(which, path),
  compare: newsOf, paths: sheetsToRead, hash: digest, take: takeUpdate, reload: () => location.reload(), words: N,
  busy: openBusy({ name: `handturn:${root.pathname} ${shop} busy`, Channel: reach('BroadcastChannel'), isBusy: halfDone }),
  onNews: () => {
    offline = { ...offline, news: renewal.news() };
    current.onDevice();
  },
});

const openJob = (job) => openJobPage({
  job, root, keep, shelf, known, offer, onSite, own,
  numbered: async (number) => sameNumber((await jobsHere()).filter((one) => one.job !== job), number),
  device, who, now, offline: () => offline, leave: () => { location.hash = ''; },
  renew: renewal.accept,
});

const plain = (text) => {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
};

const isJobOpen = () => screen.querySelector('[data-job]') !== null;

const route = async () => {
  const [name, filled] = location.hash.slice(1).split('?');
  const isJob = name !== '' && name !== 'new' && (page === 'worksheet' || page === 'jobs');
  current.stop();
  current = isJob ? await openJob(plain(name)) : await openListPage(Object.fromEntries(new URLSearchParams(filled ?? '')));
  for (const main of document.querySelectorAll('body > main')) show(main, !isJob);
  if (isJob) paper?.remove();
  else if (paper) document.body.append(paper);
  screen.replaceChildren(...current.node ? [current.node] : []);
  show(screen, current.node);
  current.onDevice();
  current.arrive();
};

// Two quick changes of the address must not end as a mixture of both pages.
let routing = Promise.resolve();
const goOn = () => {
  routing = routing.then(route).catch((error) => {
    screen.replaceChildren(make('main', { class: 'plain' }, make('p', { class: 'note', role: 'alert' }, W.fault)));
    show(screen, true);
    reportError(error);
  });
  return routing;
};

globalThis.addEventListener('hashchange', goOn);
globalThis.addEventListener('beforeprint', () => paper && document.body.append(paper));
globalThis.addEventListener('afterprint', () => isJobOpen() && paper?.remove());
const site = startOffline({
  pins: packs.wanted,
  onState: (state, detail) => {
    offline = { state, ...detail };
    if (known.learn(Object.values(offline.packs ?? {}).map(({ sheet }) => sheet))) current.refresh?.();
    renewal.look(offline);
    offline.news = renewal.news();
    current.onDevice();
  },
});
await Promise.all([goOn(), page === 'calculators' && openCalculators({ into: document.getElementById('calculators'), now })]);
html.dataset.ready = '';
