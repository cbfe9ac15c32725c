// What each address of the phone's half of the site opens. Nothing imports it.

import { openCalculators } from './pages/calculators.js';
import { openPhone } from './pages/phone.js';
import { guardPresses } from './screen/common/press_guard.js';

guardPresses(globalThis);

const html = document.documentElement;
const { page } = html.dataset;
const hasJobs = page === 'worksheet' || page === 'jobs';
const go = (job) => { location.hash = encodeURIComponent(job); };
const phone = await openPhone({ document, go });

const route = () => {
  const { job, filled } = phone.addresses.named(location.hash);
  if (job !== null && hasJobs) return phone.pages.turnTo(() => phone.openJob(job), true);
  return phone.pages.turnTo(() => phone.openList(filled ?? {}), false);
};

globalThis.addEventListener('hashchange', route);
const calculators = page === 'calculators' && openCalculators({ into: document.getElementById('calculators'), now: () => Date.now() });
await Promise.all([route(), calculators]);
html.dataset.ready = '';
