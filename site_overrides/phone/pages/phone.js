// Composes the phone's half of the site: the keep, who writes, the jobs, the copy of the site, and the pages from
// these.

import { openJobsHere } from '../job/jobs_here.js';
import { openJobStart } from '../job/start.js';
import { openShelf } from '../job/work.js';
import { openWriter } from '../job/writer.js';
import { openKeep } from '../keep/keep.js';
import { openLasting } from '../keep/lasting.js';
import { newsOf, sheetsToRead } from '../screen/list/news.js';
import { sameNumber } from '../screen/list/same_number.js';
import { openAddresses } from '../site/addresses.js';
import { openSiteCopy } from '../site/copy.js';
import { openKnownSheets } from '../site/known_sheets.js';
import { openPacks } from '../site/packs.js';
import { openSiteSheets } from '../site/sheets.js';
import { openJobPage } from './job_page.js';
import { openListPage } from './list_page.js';
import { openPages } from './pages.js';

const now = () => Date.now();
const random = (n) => crypto.getRandomValues(new Uint8Array(n));

// What was started on this phone was started from a page of this site.
const startedHere = (keep, device) => async () => {
  const journals = await Promise.all((await keep.jobs()).map(({ job }) => keep.journal(job)));
  return journals.flat().filter(({ kind, device: by }) => kind === 'start' && by === device).map(({ sheet }) => sheet);
};

/**
 * openPhone({document, go}) -> Promise of {pages, addresses, openJob(job), openList(filled)}. go(job) sets the address to a
 * job's, '' to the list's; openJob and openList give a page as openPages turns to it.
 */
export const openPhone = async ({ document, go }) => {
  const { page, shop, root: rootPath } = document.documentElement.dataset;
  const root = new URL(rootPath || './', location.href);
  const name = `${root.pathname} ${shop}`;
  const fromHome = globalThis.matchMedia?.('(display-mode: standalone)').matches ?? false;

  const keep = await openKeep({ scope: `${shop} ${root.pathname}`, now, sheetsName: `handturn:${name} sheets` });
  const pages = openPages(document);
  const addresses = openAddresses({ root, document });
  const lasting = openLasting({ keep, fromHome, onChange: pages.onDevice });
  const writer = await openWriter({ keep, now, random, onTick: lasting.afterTick });
  const shelf = openShelf({ keep });
  const known = await openKnownSheets({ keep, shop, before: startedHere(keep, writer.device) });
  const sheets = openSiteSheets({ shelf, known, folderOf: addresses.folderOf });
  const own = page === 'worksheet' ? await sheets.at('sheet.json') : null;
  const jobs = openJobsHere({ keep, shelf, known, jobAt: addresses.jobAt, onSite: sheets.named });
  const packs = openPacks({ keep, jobs: jobs.list });
  const site = openSiteCopy({
    name, pins: packs.wanted, news: { compare: newsOf, paths: sheetsToRead }, halfDone: pages.halfDone,
    onChange: pages.onDevice, onSheets: (digests) => known.learn(digests) && pages.refresh(),
  });
  packs.onChange(site.chosen);
  const start = openJobStart({ own, keep, shelf, writer, packs, random, now, sameNumber, go });

  const numberedElsewhere = async (job, number) => sameNumber((await jobs.list()).filter((one) => one.job !== job), number);
  const openJob = (job) => openJobPage({
    job, root, keep, shelf, known, own, now, offline: site.offline, onSite: sheets.named, numbered: (number) => numberedElsewhere(job, number), renew: site.accept,
    leave: () => go(''), ...writer,
  });
  const openList = (filled) => openListPage({ page, own, keep, jobs, packs, site, lasting, addresses, writer, start, now, fromHome, filled });
  return { pages, addresses, openJob, openList };
};
