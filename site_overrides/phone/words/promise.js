// The words about what this phone promises to keep.

import { table } from '../base/own.js';

export const PROMISE = table({
  'kept-twice': 'A tick shown as saved outlives a crash and an empty battery.',
  'kept-once': 'A tick shown as saved outlives a crash and an empty battery. There is no second copy: send the job to a file now and then.',
  'second-only': 'The main copy cannot be written now. Ticks go to a second copy, and a crash may lose the last minute of it. They are shown as not saved.',
  'nothing': 'Nothing ticked here outlives this page.',
  'stops-ask': 'Use another phone if you can. If you start here all the same, every stop waits until the job is in a saved file.',
  'no-log': 'There is no third copy here. After an empty battery the main copy may be damaged and lose what is ticked next. Send the job to a file then.',
  'full': 'Keep room free. A full phone saves no more ticks. A browser opened and closed on it may drop the copy of the site: the site then opens only with a network.',
  'unseen': 'A private window, or a browser set to clear when it closes, takes the whole job with it. This page cannot see either. In doubt, send the job to a file before you close.',
  'agreed': 'The browser has agreed not to clear this site by itself.',
  'not-agreed': 'The browser may clear this site when the phone runs short of room. Keep some room free.',
  'not-asked': 'After the first tick this page asks the browser not to clear this site by itself.',
  'cannot-ask': 'This browser cannot be asked to keep this site when the phone runs short of room. Keep some room free.',
  'unused': 'Some browsers clear sites that were not opened for some days. Send an unfinished job to a file before a break.',
  'offline-ready': 'The page opens offline.',
  'offline-later': 'The page may not open offline yet. Stay on it until the first line says that it is ready.',
  'offline-never': 'This page does not open offline on this phone. What is saved stays.',
});

export const P = {
  title: 'What this phone promises',
  more: 'More about what this phone saves',
  homeTitle: 'Put it on the home screen first',
  homeSteps: [
    'Open the browser’s menu, or its share button.',
    'Choose “Add to home screen” or “Install”.',
    'Open the site from its new icon, and wait there until it is ready offline.',
  ],
  homeWhy: 'The site opens like an app then, and fewer browsers clear it. On some phones the icon does not see jobs begun in a tab: move such a job by its file.',
};
