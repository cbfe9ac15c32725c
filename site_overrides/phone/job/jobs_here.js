// The jobs on this phone, as a list shows them. Knows no screen.

import { gather } from '../journal/journal.js';
import { W } from '../words/words.js';
import { judgeKept } from './unkept.js';

const lookAt = async ({ job, touched }, { keep, shelf, known, jobAt }) => {
  const entries = await keep.journal(job);
  await shelf.fetchKept(entries);
  const unkept = new Set(keep.unkept(job).map(({ id }) => id));
  const { state } = judgeKept({ all: gather(entries), sheets: shelf.sheets, unkept, saved: new Set() });
  const sheet = shelf.sheets[state.sheet];
  const title = sheet ? `${sheet.title}, ${sheet.engine.title}` : '';
  const startedBy = entries.find(({ kind }) => kind === 'start')?.who ?? '';
  const { origin } = known.originOf(shelf.named(entries));
  return { job, touched, state, title, startedBy, origin, unkept: unkept.size, worksheet: sheet?.worksheet, href: jobAt(job, sheet) };
};

// One job that cannot be read must not hide the others.
const jobHere = async (one, about) => {
  try {
    return await lookAt(one, about);
  } catch (error) {
    reportError(error);
    const { job } = one;
    const { jobAt } = about;
    return { ...one, state: null, title: W.jobFault, origin: 'known', unkept: 0, href: jobAt(job, null) };
  }
};

/**
 * openJobsHere({keep, shelf, known, jobAt, onSite}) -> {list(), ask(jobs)}. list() -> Promise of [{job, touched, state, title,
 * startedBy, origin, unkept, worksheet, href}]; state is null where a job cannot be folded. ask(jobs): the site's own word on
 * worksheets of jobs that came from elsewhere, asked for once -> Promise of whether there was any to ask for.
 */
export const openJobsHere = (about) => {
  const asked = new Set();
  const list = async () => Promise.all((await about.keep.jobs()).map((one) => jobHere(one, about)));
  const ask = async (jobs) => {
    const names = jobs.filter(({ origin }) => origin === 'unmet').map(({ worksheet }) => worksheet);
    const fresh = [...new Set(names)].filter((name) => name && !asked.has(name));
    for (const name of fresh) asked.add(name);
    await Promise.all(fresh.map(about.onSite));
    return fresh.length > 0;
  };
  return { list, ask };
};
