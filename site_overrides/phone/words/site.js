// Every word about the site on this phone: what of it is kept here, and what became of it. What happened, what is safe,
// what to do next.

import { table } from '../base/own.js';

const plural = (n, one, many) => `${n} ${n === 1 ? one : many}`;

/** Why this phone is not, or not yet, ready without a network, by the `why` of offline.js. */
export const SITE_WHY = table({
  'plain-http': 'Not saved for work offline: this page came over plain http. The page must be reachable'
    + ' to open. Open the shop\'s https address instead.',
  'no-worker': 'Not saved for work offline: this browser cannot do it. The page must be reachable to open.'
    + ' Use an up-to-date browser, not in a private window.',
  blocked: 'Not saved for work offline: site data is blocked in this browser. Allow it for this address.',
  refused: 'Not saved for work offline: the browser does not trust this address or its certificate.'
    + ' Ask whoever looks after the site.',
  preview: 'A preview: nothing is saved for work offline.',
  withdrawn: 'This site has been withdrawn: it is no longer saved for work offline. Jobs and their worksheets'
    + ' are still on this phone. Send each job to a file while this page opens, and ask for the new address.',
  'no-copy': 'Not yet ready offline: a file did not arrive whole. What did arrive is saved. Stay on the'
    + ' network and open this page again.',
  incomplete: 'Not ready offline: part of the copy on this phone is gone. What you tick is still saved.'
    + ' Stay on the network until this line is gone.',
  'some-missing': 'Not all that was chosen for this phone has arrived. What is here works offline. Stay on'
    + ' the network until this line is gone.',
  'no-answer': 'Not known whether this phone is ready offline. Close this page and open it again.',
});

/** What the address answered when it was asked for news, by the `moved` of offline.js. */
export const SITE_MOVED = table({
  gone: 'This site no longer answers at this address. What is on this phone goes on working, and no tick is lost. But'
    + ' nothing new comes. Ask for the new address, and move the jobs there by file.',
  elsewhere: 'This address answers with another one: the site has moved, or this network wants you to log in first.'
    + ' What is on this phone goes on working, and no tick is lost. If logging in does not end it, ask for the new'
    + ' address, and move the jobs there by file.',
});

export const S = {
  pinsTitle: 'Saved on this phone',
  pinsSay: 'What is switched on opens offline.',
  pinsGone: (names) => `No longer on this site: ${names.join(', ')}. A job begun with it goes on: it has its own copy of the worksheet.`,
  kept: 'Saved on this phone',
  arriving: (kept, listed) => `Not all here yet: ${kept} of ${plural(listed, 'file', 'files')}`,
  inUse: 'Saved: a job on this phone needs it',
  notKept: 'Only with a network',
  unpinned: 'This phone could not save the choice.',
  keptCount: (kept, all, guide) => {
    const sheets = `Saved here: ${kept} of ${plural(all, 'worksheet', 'worksheets')}`;
    return guide === null ? `${sheets}.` : `${sheets}, ${guide ? 'and the guide' : 'not the guide'}.`;
  },
  facts: (revision, steps) => `Revision ${revision}, ${plural(steps, 'step', 'steps')}`,
  keptTitle: 'Worksheets saved on this phone',
  keptNone: 'No worksheet is saved on this phone.',
};
