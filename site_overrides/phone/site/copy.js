// The site as this page knows it: how far its copy on this phone is, what a version that waits would change, and taking it.

import { digest } from '../base/digest.js';
import { reach } from '../base/reach.js';
import { N } from '../words/news.js';
import { openBusy, openHands } from './busy.js';
import { openOffline, takeUpdate } from './offline.js';
import { openUpdate } from './update.js';

/**
 * openSiteCopy({name, pins, news, halfDone, onChange, onSheets}) -> {offline(), chosen(), accept()}. name is the site's among
 * those of this origin; pins() -> Promise of the packs to keep; news: {compare, paths} of worksheets; halfDone(hands) names
 * what is half done on this page, given what is in hand. offline() is the last word of openOffline, with `news` where there
 * are any; onChange() follows each, onSheets(digests) the worksheets that the site names. accept() takes the new version.
 */
export const openSiteCopy = ({ name, pins, news, halfDone, onChange, onSheets }) => {
  const site = openOffline({ pins });
  const hands = openHands(document);
  const busy = openBusy({ name: `handturn:${name} busy`, Channel: reach('BroadcastChannel'), isBusy: () => halfDone(hands.look()) });
  const renewal = openUpdate({
    ...news, busy, words: N, hash: digest, read: site.read, take: takeUpdate, reload: () => location.reload(), onNews: onChange,
  });
  let offline = { state: 'loading' };
  site.start((state, detail) => {
    offline = { state, ...detail };
    onSheets(Object.values(offline.packs ?? {}).map(({ sheet }) => sheet));
    renewal.look(offline);
    onChange();
  });
  return { offline: () => ({ ...offline, news: renewal.news() }), chosen: site.chosen, accept: renewal.accept };
};
