// What stands on the page now: one page at a time, with the paper's list beside it where no job is open.

import { make, show } from '../screen/common/nodes.js';
import { W } from '../words/words.js';

const NONE = { node: null, stop: () => {}, onDevice: () => {}, arrive: () => {} };

/**
 * openPages(document) -> {turnTo(open, isJob), onDevice(), refresh(), halfDone(hands)}. turnTo ends the page that stands and
 * shows what open() -> Promise of a page gives: {node, stop(), onDevice(), arrive()}, a list also with refresh(), a job
 * with halfDone(hands). Two that follow each other quickly never end as a mixture of both. onDevice() tells the page that
 * stands what this phone can do now, refresh() that other jobs may be here; halfDone names what is half done.
 */
export const openPages = (document) => {
  const screen = document.getElementById('screen');
  const paper = document.getElementById('paper');
  const mains = [...document.querySelectorAll('body > main')];
  let current = NONE;
  let turning = Promise.resolve();

  const stand = (page, isJob) => {
    current = page;
    for (const main of mains) show(main, !isJob);
    if (isJob) paper?.remove();
    else if (paper) document.body.append(paper);
    screen.replaceChildren(...page.node ? [page.node] : []);
    show(screen, page.node);
    page.onDevice();
    page.arrive();
  };
  const turn = async (open, isJob) => {
    current.stop();
    current = NONE;
    stand(await open(), isJob);
  };
  const fail = (error) => {
    screen.replaceChildren(make('main', { class: 'plain' }, make('p', { class: 'note', role: 'alert' }, W.fault)));
    show(screen, true);
    reportError(error);
  };
  const turnTo = (open, isJob) => {
    turning = turning.then(() => turn(open, isJob)).catch(fail);
    return turning;
  };
  const isJobOpen = () => screen.querySelector('[data-job]') !== null;
  const halfDone = (inHand) => (current.halfDone ? current.halfDone(inHand) : inHand && { job: '', step: '', why: inHand.why });

  globalThis.addEventListener('beforeprint', () => paper && document.body.append(paper));
  globalThis.addEventListener('afterprint', () => isJobOpen() && paper?.remove());
  return { turnTo, halfDone, onDevice: () => current.onDevice(), refresh: () => current.refresh?.() };
};
