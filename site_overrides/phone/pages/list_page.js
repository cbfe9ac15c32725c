// The pages that list jobs: the jobs here, how ready this phone is and, on a worksheet's page, the form that starts
// one.

import { readRecord, refusedBySize } from '../job/carry.js';
import { make } from '../screen/common/nodes.js';
import { standing } from '../screen/common/standing.js';
import { deviceLine } from '../screen/list/device.js';
import { importBox, jobsList } from '../screen/list/jobs.js';
import { keptList, pinsBox, sayFacts } from '../screen/list/pins.js';
import { promiseBox } from '../screen/list/promise.js';
import { showWritten } from '../screen/list/same_number.js';
import { startForm } from '../screen/list/start_form.js';
import { W } from '../words/words.js';

const bringerIn = ({ keep, refresh }) => async (file) => {
  const read = refusedBySize(file.size) ?? await readRecord(await file.text());
  if (read.refused) return read;
  for (const [mark, sheet] of Object.entries(read.sheets)) await keep.putSheet(mark, sheet);
  const done = await keep.union(read.entries);
  await refresh();
  return done;
};

const boxesOf = ({ keep, packs, site, addresses, refresh }) => ({
  list: jobsList(),
  line: deviceLine({ update: site.accept }),
  promise: promiseBox({ guide: addresses.guide }),
  box: importBox({ bringIn: bringerIn({ keep, refresh }) }),
  pins: pinsBox({ choose: (name, on) => packs.choose(name, on, Object.keys(site.offline().packs)) }),
  kept: keptList({ addressOf: addresses.folderOf }),
});

const sheetPage = ({ line, list, box, promise }, { own, me, filled, start, home }) => make(
  'main', { class: 'plain' },
  make('header', {}, make('h1', {}, own?.sheet.title ?? W.startTitle), make('p', {}, own?.sheet.engine.title ?? '')),
  own ? standing(own.sheet) : null,
  line.node,
  own
    ? make('section', {}, make('h2', {}, W.startTitle), startForm({ sheet: own.sheet, filled, who: me, start, promise: promise.node }).node)
    : make('p', { class: 'note' }, W.noSheetHere),
  list.node, box.node, make('p', {}, make('a', { class: 'row', href: home }, W.allJobs)), make('h2', {}, W.paper),
);

// Put the parts where the site's own pages have room for them.
const place = ({ list, line, promise, box, pins, kept }, isJobsPage) => {
  document.getElementById('device')?.replaceChildren(line.node, ...isJobsPage ? [promise.node] : []);
  document.getElementById('here')?.replaceChildren(list.node, ...isJobsPage ? [box.node, pins.node] : []);
  document.getElementById('kept')?.replaceChildren(kept.node);
};

/**
 * openListPage({page, own, keep, jobs, packs, site, lasting, addresses, writer, start, now, fromHome, filled}) -> Promise of
 * {node, refresh(), onDevice(), stop(), arrive()}. page: 'worksheet', 'jobs' or another; own: the worksheet of the page, or
 * null; start as openJobStart gives it; filled: the fields of the start form that an address fills in.
 */
export const openListPage = async (about) => {
  const { page, own, keep, jobs, packs, site, lasting, addresses, writer, start, now, fromHome, filled } = about;
  let listed = [];
  let inUse = new Set();
  const isMine = ({ worksheet }) => page !== 'worksheet' || worksheet === own?.sheet.worksheet;
  const refresh = async () => {
    listed = await jobs.list();
    boxes.list.update({ jobs: listed.filter(isMine), now: now() });
    showWritten(listed);
    packs.learn(listed);
    inUse = await packs.inUse();
    boxes.pins.update({ ...site.offline(), inUse });
    jobs.ask(listed).then((isNews) => isNews && refresh()); // the list does not wait for the network
  };
  const boxes = boxesOf({ keep, packs, site, addresses, refresh });
  const onDevice = () => {
    const offline = site.offline();
    boxes.line.update({ ...offline, trouble: keep.trouble });
    boxes.pins.update({ ...offline, inUse });
    boxes.kept.update(offline);
    sayFacts(offline.packs);
    boxes.promise.update({
      ...lasting.facts(), trouble: keep.trouble, log: keep.hasLog, offline, jobs: listed.length, fromHome, secure: globalThis.isSecureContext,
    });
  };
  await refresh();
  onDevice();
  place(boxes, page === 'jobs');
  const startHere = (given) => start({ ...given, listed });
  const form = { own, me: writer.who.me(), filled, start: startHere, home: addresses.home };
  return { node: page === 'worksheet' ? sheetPage(boxes, form) : null, refresh, onDevice, stop: keep.onOther(refresh), arrive: () => {} };
};
