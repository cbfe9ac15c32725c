// A job's page: the job at work and its screen, the passing time, a newer worksheet, and the job as a file.

import { halfDoneStep } from './busy.js';
import { exportText, recordName, sheetsNamed, shareOrDownload } from './carry.js';
import { clockSet, ranBack, waitOf, waitSeconds } from './clock.js';
import { culprits } from './culprits.js';
import { jobScreen } from './screen/job.js';
import { isKnown } from './journal.js';
import { table } from './own.js';
import { brokenJob } from './screen/left_out.js';
import { namesOf } from './screen/names.js';
import { make, plainly } from './screen/nodes.js';
import { openAwake, openSound, paceOf } from './sound.js';
import { startedWords } from './screen/same_number.js';
import { W } from './words.js';
import { S } from './words_stops.js';
import { openWork } from './work.js';

// Whoever gets the file sees from its name that its worksheet may not be the shop's.
const FILE_SAYS = table({ known: '', unmet: 'worksheet-not-met-on-site', stranger: 'worksheet-of-a-stranger' });
const AWAY_MS = 60_000;
const SECOND = 1000;
const MOST_MENDED = 5; // faults a page gets over; one that goes on and on is no longer an entry's
const IDLE_SECONDS = 15; // how often the screen is drawn when no time runs

const sayOnly = (text, home) => ({
  node: make('main', { class: 'plain' }, make('p', { class: 'note' }, text), make('a', { class: 'row', href: home }, W.allJobs)),
  stop: () => {},
  onDevice: () => {},
  arrive: () => {},
});

// The job as a record, made before the tap that hands it on: sharing must follow its tap at once. What was handed on
// last is remembered until somebody says that they have it.
const carrier = ({ work, shelf, known, me, now }) => {
  let made = null; // {of, text}
  let handed = new Set(); // ids in the file that was handed on
  const prepare = async () => {
    const { entries } = work.all();
    if (made?.of !== entries) made = { of: entries, text: await exportText(entries, shelf.sheets) };
    return made.text;
  };
  const hand = async () => {
    const { entries } = work.all();
    const text = made?.of === entries ? made.text : await prepare();
    const { origin } = known.originOf(shelf.named(entries));
    const name = recordName(work.state().job?.number ?? '', me(), new Date(now()).toISOString(), FILE_SAYS[origin]);
    const done = await shareOrDownload(text, name, { navigator, document });
    if (done !== 'cancelled') handed = new Set(entries.map(({ id }) => id));
    return done;
  };
  const isHanded = () => handed.size > 0 && [...work.unkept().ids].every((id) => handed.has(id));
  const confirm = () => work.save(handed);
  return { prepare, hand, isHanded, confirm };
};

// Looks at the clock each second. A phone that slept looks as if its clock had been set, so only looks between which the
// page was never hidden are compared.
const watchTime = ({ now, draw, isRunning, isBreak, onBack, onSet }) => {
  let looked = null;
  let jumped = false;
  let seconds = 0;
  let leftAt = null;
  const look = () => {
    const next = document.hidden ? null : { wall: now(), steady: performance.now() };
    const isSet = Boolean(looked && next && clockSet(looked, next));
    if (isSet && !jumped) onSet();
    jumped ||= isSet;
    looked = next;
  };
  const beat = setInterval(() => {
    look();
    seconds += 1;
    if (!document.hidden && (isRunning() || isBreak() || seconds % IDLE_SECONDS === 0)) draw();
  }, SECOND);
  const onVisible = () => {
    looked = null;
    if (document.hidden) {
      leftAt = now();
      return;
    }
    if (leftAt !== null && now() - leftAt >= AWAY_MS) onBack();
    draw();
  };
  document.addEventListener('visibilitychange', onVisible);
  const stop = () => {
    clearInterval(beat);
    document.removeEventListener('visibilitychange', onVisible);
  };
  return { stop, jumped: () => jumped };
};

// The next move and the end of every paced wait that runs on this phone.
const movesToCome = (state, sheet, about) => Object.entries(state.steps).flatMap(([path, seen]) => {
  const check = sheet.steps.find((step) => step.path === path)?.check;
  if (seen.state !== 'waiting' || check?.kind !== 'wait') return [];
  const running = waitOf(seen, check, state.values, about);
  const every = waitSeconds({ seconds: check.every ?? null, value: check.every_value }, state.values);
  const pace = running && !running.over ? paceOf(running, every, about.now) : null;
  if (!pace) return [];
  const end = { key: `${path} end`, at: running.until, kind: 'end' };
  return pace.next === null ? [end] : [{ key: `${path} ${pace.due + 1}`, at: pace.next, kind: 'move' }, end];
});

const soundOfPhone = (now) => openSound({
  makeContext: globalThis.AudioContext ? () => new AudioContext() : null,
  vibrate: navigator.vibrate?.bind(navigator),
  isVisible: () => !document.hidden,
  now,
});

/**
 * openJobPage({job, root, keep, shelf, known, offer, onSite, numbered, own, device, who, now, offline, leave, renew}) -> Promise of
 * {node, stop(), onDevice(), arrive(), halfDone(hands)}. who: {me(), take(initials)}; numbered(number) -> Promise of the other
 * job here that has this number, or null; onSite(worksheet) -> Promise of {digest, sheet, text}
 * as the site has it now, or null; `own` is that of the page's own worksheet; leave() goes to the list of jobs;
 * renew() takes a new version of the site. halfDone({step, why}|null) names what is in hand, or half done in the journal.
 */
export const openJobPage = async ({ job, root, keep, shelf, known, offer, onSite, numbered, own, device, who, now, offline, leave, renew }) => {
  const home = new URL('jobs/', root).href;
  const work = await openWork({ job, keep, shelf, offer, onChange: () => draw() });
  if (!work.all().entries.length) return sayOnly(W.unknownJob, home);
  const carry = carrier({ work, shelf, known, me: who.me, now });
  if (!work.sheet() && !work.leftOut().length) return sayOnly(W.noSheet, home);
  const node = make('div');
  let newest = own;
  let view = null;
  let back = null; // {last, at}: what was kept last when somebody came back
  let drawn = null; // digest of the worksheet that the screen was made for
  let isBroken = false;
  let isTrying = false;
  let mended = 0;
  const sound = soundOfPhone(now);
  const awake = openAwake(navigator.wakeLock);

  let toldOf = null; // the number of another job here, once the page has said that it is taken
  const saysTaken = async ({ kind, part, value }) => {
    if (kind !== 'correct' || part !== 'number' || value.number === toldOf) return '';
    const other = await numbered(value.number);
    toldOf = other && value.number;
    return other ? S.numberTaken(startedWords(other)) : '';
  };
  const send = async (verb) => {
    if (!verb.who && !who.me()) return { kept: false, words: W.whoFirst };
    const taken = await saysTaken(verb);
    if (taken) return { kept: false, words: taken };
    if (verb.kind === 'adopt') await keep.putSheet(verb.sheet, newest.text);
    const answer = await work.write(verb, who.me());
    if (answer.kept) navigator.vibrate?.(30);
    if (!answer.kept) return answer;
    const isHeld = work.state().steps[verb.step]?.why.some(({ code }) => code === 'result'); // and the step says so itself
    return answer.isInert && !isHeld ? { ...answer, words: W.closedNothing(1) } : answer;
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
  const offered = () => {
    const isOther = newest && newest.sheet.worksheet === work.sheet().worksheet;
    return isOther && !sheetsNamed(work.gathered().entries).includes(newest.digest) ? newest : null;
  };
  const comeBack = () => {
    const last = work.all().entries.findLast((entry) => entry.step && isKnown(entry));
    back = last ? { last, at: now() } : null;
  };
  const makeView = () => {
    const sheet = work.sheet();
    const pictures = new URL(`w/${encodeURIComponent(sheet.worksheet)}/pictures/`, root).href;
    const greet = view && drawn !== work.state().sheet ? W.adopted : ''; // a screen in place of another: the job has taken a new worksheet
    view = jobScreen({ greet, sheet, job, send, again: work.again, take, forget, renew, carry, home, pictures, onFault: isTrying ? null : mend });
    drawn = work.state().sheet;
    node.replaceChildren(view.node);
  };
  // A clock that was set while a time ran is still wrong for it after the page was loaded anew.
  const clockKey = `clock set ${job}`;
  const wasSet = Boolean(await keep.setting(clockKey));
  const isJumped = () => (wasSet && isRunning()) || time.jumped() || ranBack(work.gathered().entries, { device, now: now() });
  // Of the worksheet in use, or else of one that part of the job was done on.
  const originNow = () => {
    const inUse = known.originOf([{ digest: work.state().sheet, sheet: work.sheet() }]);
    if (inUse.origin !== 'known') return { ...inUse, isPart: false };
    return { ...known.originOf(shelf.named(work.gathered().entries)), isPart: true };
  };
  const backNow = () => (back && work.leftOut().includes(back.last) ? null : back);
  const drawNow = () => {
    const state = work.state();
    if (drawn !== state.sheet) makeView();
    document.title = plainly(`${state.job?.number ?? ''} ${work.sheet().title}`).trim();
    const jumped = isJumped();
    const moves = movesToCome(state, work.sheet(), { device, now: now(), jumped });
    sound.follow(moves);
    awake.keep(moves.length > 0 && !document.hidden);
    view.update({
      state, gathered: work.gathered(), sheets: shelf.sheets, me: who.me(), device, now: now(), jumped, back: backNow(), sound,
      offered: offered(), trouble: keep.trouble, offline: offline(), unkept: work.unkept(), withheld: work.withheld(), saved: work.saved(), leftOut: work.leftOut(),
      origin: originNow(),
    });
  };
  // Anew, with the step that was looked at: what throws there must throw here too.
  const drawAnew = (at) => {
    drawn = null;
    drawNow();
    if (at && work.state().steps[at]) view.look(at);
  };
  const isWell = (out, at) => {
    try {
      work.leaveOut(out);
      if (work.sheet()) drawAnew(at);
      return true;
    } catch {
      return false;
    }
  };
  const giveUp = () => {
    isBroken = true;
    time.stop();
    node.replaceChildren(brokenJob({ carry, home }));
  };
  // The page met a fault: which entries does it come from? It goes on without them, and says so; else the file is what is left.
  const mend = (error) => {
    if (isTrying || isBroken) return;
    mended += 1;
    reportError(error);
    const at = view?.at();
    isTrying = true;
    const found = mended > MOST_MENDED ? [] : culprits(work.all().entries.map(({ id }) => id), (out) => isWell(out, at)) ?? [];
    const out = new Set(found);
    const works = isWell(out, at) && Boolean(work.sheet());
    isTrying = false;
    if (mended > MOST_MENDED || !works || !isWell(out, at)) giveUp();
  };
  const draw = () => {
    if (isBroken) return;
    try {
      drawNow();
    } catch (error) {
      mend(error);
    }
  };
  const isRunning = () => Object.values(work.state().steps).some((step) => step.state === 'waiting');
  // Somebody alone waits until a value may be read again.
  const isBreak = () => Object.values(work.state().values).some((value) => value.waits);
  const time = watchTime({ now, draw, isRunning, isBreak, onBack: comeBack, onSet: () => isRunning() && keep.setSetting(clockKey, now()) });
  if (wasSet && !isRunning()) keep.setSetting(clockKey, null);
  comeBack();
  if (work.leftOut().length) mend(new Error('the journal could not be folded'));
  else draw();
  if (!newest && !isBroken) {
    onSite(work.sheet().worksheet).then((found) => {
      newest = found;
      draw();
    });
  }
  const stop = () => {
    time.stop();
    sound.stop();
    awake.stop();
    work.stop();
  };
  const halfDone = (hands) => {
    if (isBroken) return null;
    const state = work.state();
    const unkept = work.all().entries.find(({ id }) => work.unkept().ids.has(id));
    const found = hands ?? (unkept && { step: unkept.step, why: 'unkept' }) ?? halfDoneStep(state);
    const { name } = namesOf({ state, sheet: work.sheet() });
    return found && { job: state.job?.number ?? '', step: name(found.step), why: found.why };
  };
  return { node, stop, onDevice: draw, arrive: () => isBroken || view.arrive(), halfDone };
};
