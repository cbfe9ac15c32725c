// A job's page: the job at work and its screen, the passing time, a newer worksheet, and the job as a file.

import { sheetsNamed } from '../base/entry.js';
import { openDrawing } from '../job/drawing.js';
import { openFile } from '../job/file.js';
import { openPace, openTime } from '../job/time.js';
import { openWork } from '../job/work.js';
import { isKnown } from '../journal/journal.js';
import { make, plainly } from '../screen/common/nodes.js';
import { jobScreen } from '../screen/job/job.js';
import { brokenJob } from '../screen/job/left_out.js';
import { namesOf } from '../screen/job/names.js';
import { startedWords } from '../screen/list/same_number.js';
import { loadPictures } from '../screen/step/sheet_text.js';
import { halfDoneStep } from '../site/busy.js';
import { S } from '../words/stops.js';
import { W, sayTimesIn } from '../words/words.js';

const sayOnly = (text, home) => ({
  node: make('main', { class: 'plain' }, make('p', { class: 'note' }, text), make('a', { class: 'row', href: home }, W.allJobs)),
  stop: () => {},
  onDevice: () => {},
  arrive: () => {},
});

// Before the start is corrected to a number that another job here has, the page says so once.
const openTaken = (numbered) => {
  let told = null; // the number that the page has said is taken
  return async ({ kind, part, value }) => {
    if (kind !== 'correct' || part !== 'number' || value.number === told) return '';
    const other = await numbered(value.number);
    told = other && value.number;
    return other ? S.numberTaken(startedWords(other)) : '';
  };
};

// What a person does to the job. Whoever writes also draws: an answer is taken in, and the screen goes on from it, in
// one draw.
const deedsOf = ({ job, keep, work, who, newest, numbered, leave, draw }) => {
  const saysTaken = openTaken(numbered);
  const send = async (verb) => {
    if (!verb.who && !who.me()) return { kept: false, words: W.whoFirst };
    const taken = await saysTaken(verb);
    if (taken) return { kept: false, words: taken };
    if (verb.kind === 'adopt') await keep.putSheet(verb.sheet, newest().text);
    const answer = await work.write(verb, who.me());
    if (answer.kept) navigator.vibrate?.(30);
    draw({ verb, answer });
    if (!answer.kept) return answer;
    const isHeld = work.state().steps[verb.step]?.why.some(({ code }) => code === 'result'); // and the step says so itself
    return answer.isInert && !isHeld ? { ...answer, words: W.closedNothing(1) } : answer;
  };
  const again = async () => {
    const answer = await work.again();
    draw();
    return answer;
  };
  const take = (initials) => {
    who.take(initials);
    draw();
  };
  const forget = async (typed) => {
    if (typed !== work.state().job?.number) return { kept: false, words: W.wipeWrong };
    const { wiped, why } = await keep.wipe(job);
    if (wiped) leave();
    return { kept: wiped, why };
  };
  return { send, again, take, forget };
};

// The screen of the worksheet at work. It is made anew if the job has taken another worksheet.
const openScreen = ({ job, root, work, home, carry, renew, node, deeds, draw }) => {
  let view = null;
  let drawn = null; // digest of the worksheet that the screen was made for
  const anew = (at, greet = '') => {
    const sheet = work.sheet();
    sayTimesIn(sheet.shop.time_zone);
    const pictures = new URL(`w/${encodeURIComponent(sheet.worksheet)}/pictures/`, root).href;
    loadPictures(sheet, pictures);
    view = jobScreen({ greet, at: work.state().steps[at] ? at : undefined, sheet, job, ...deeds, draw, renew, carry, home, pictures });
    drawn = work.state().sheet;
    node.replaceChildren(view.node);
  };
  const update = (facts, given = null) => {
    const isOther = drawn !== work.state().sheet;
    if (isOther) anew(undefined, view ? W.adopted : '');
    document.title = plainly(`${facts.state.job?.number ?? ''} ${work.sheet().title}`).trim();
    view.update(facts, isOther ? null : given);
  };
  return { anew, update, at: () => view?.at(), arrive: () => view.arrive() };
};

// A newer worksheet that the site has, until the job has taken it.
const offeredOf = (newest, work) => {
  const isOther = newest && newest.sheet.worksheet === work.sheet().worksheet;
  return isOther && !sheetsNamed(work.gathered().entries).includes(newest.digest) ? newest : null;
};

// Whose worksheet it is: the one at work, or another one that part of the job was done on.
const originOf = (work, { shelf, known }) => {
  const inUse = known.originOf([{ digest: work.state().sheet, sheet: work.sheet() }]);
  if (inUse.origin !== 'known') return { ...inUse, isPart: false };
  return { ...known.originOf(shelf.named(work.gathered().entries)), isPart: true };
};

// What was saved last when somebody came back: {last, at}, or null.
const openBack = ({ work, now }) => {
  let back = null;
  const comeBack = () => {
    const last = work.all().entries.findLast((entry) => entry.step && isKnown(entry));
    back = last ? { last, at: now() } : null;
  };
  comeBack();
  return { comeBack, back: () => (back && work.leftOut().includes(back.last) ? null : back) };
};

// What a person is doing, or what is half done in the journal, as {job, step, why}, or null.
const halfDoneOf = (work, hands) => {
  const state = work.state();
  const unkept = work.all().entries.find(({ id }) => work.unkept().ids.has(id));
  const found = hands ?? (unkept && { step: unkept.step, why: 'unkept' }) ?? halfDoneStep(state);
  const { name } = namesOf({ state, sheet: work.sheet() });
  return found && { job: state.job?.number ?? '', step: name(found.step), why: found.why };
};

// Everything that the screen shows now.
const factsOf = ({ work, keep, shelf, known, who, device, now, offline, newest, time, pace, back }) => () => {
  const state = work.state();
  const jumped = time.jumped();
  pace.follow({ state, sheet: work.sheet(), jumped });
  return {
    state, jumped, device, now: now(), me: who.me(), back: back.back(), sound: pace.sound,
    gathered: work.gathered(), sheets: shelf.sheets, offered: offeredOf(newest(), work), origin: originOf(work, { shelf, known }),
    trouble: keep.trouble, offline: offline(), unkept: work.unkept(), withheld: work.withheld(), saved: work.saved(), leftOut: work.leftOut(),
  };
};

// What is shown besides the journal, as a text.
const outsideOf = (about) => () => JSON.stringify([about.offline(), about.keep.trouble, originOf(about.work, about).origin]);

/**
 * openJobPage({job, root, keep, shelf, known, offer, onSite, numbered, own, device, who, now, offline, leave, renew}) -> Promise
 * of {node, stop(), onDevice(), arrive(), halfDone(hands)}. who: {me(), take(initials)}; numbered(number) -> Promise of the other job
 * here that has this number, or null; onSite(worksheet) -> Promise of {digest, sheet, text}
 * as the site has it now, or null; `own` is that of the page's own worksheet; leave() goes to the list of jobs;
 * renew() takes a new version of the site. halfDone({step, why}|null) names what is in hand, or half done in the journal.
 */
export const openJobPage = async (given) => {
  const { job, root, keep, shelf, offer, onSite, own, now, device } = given;
  const home = new URL('jobs/', root).href;
  const drawing = openDrawing();
  const { draw } = drawing;
  const work = await openWork({ job, keep, shelf, offer, onChange: () => draw() });
  const isEmpty = !work.all().entries.length;
  if (isEmpty || (!work.sheet() && !work.leftOut().length)) {
    work.stop();
    return sayOnly(isEmpty ? W.unknownJob : W.noSheet, home);
  }
  sayTimesIn(work.sheet()?.shop.time_zone);
  let newest = own;
  const about = { ...given, work, home, draw, newest: () => newest, node: make('div') };
  about.back = openBack(about);
  about.carry = openFile({ ...about, me: about.who.me });
  about.deeds = deedsOf(about);
  about.pace = openPace({ now, device });
  about.time = await openTime({ ...about, onBack: about.back.comeBack });
  const screen = openScreen(about);
  const giveUp = () => {
    about.time.stop();
    about.node.replaceChildren(brokenJob(about));
  };
  drawing.begin({ work, screen, facts: factsOf(about), outside: outsideOf(about), giveUp });
  if (!newest && !drawing.isBroken()) {
    onSite(work.sheet().worksheet).then((found) => {
      newest = found;
      if (found) draw();
    });
  }
  const stop = () => {
    for (const one of [about.time, about.pace, work]) one.stop();
  };
  return {
    node: about.node, stop, onDevice: drawing.look,
    arrive: () => drawing.isBroken() || screen.arrive(),
    halfDone: (hands) => (drawing.isBroken() ? null : halfDoneOf(work, hands)),
  };
};
