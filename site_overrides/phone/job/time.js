// The time that passes on a job's page: its beat, a clock that was set, the moves that come and their sound.

import { clockSet, ranBack, waitOf, waitSeconds } from './clock.js';
import { openAwake, openSound, paceOf } from './sound.js';

const AWAY_MS = 60_000;
const SECOND = 1000;
const IDLE_SECONDS = 15; // how often the screen is drawn when no time runs

const isRunning = ({ steps }) => Object.values(steps).some((step) => step.state === 'waiting');
// Whether somebody alone waits until a value may be read again.
const isBreak = ({ values }) => Object.values(values).some((value) => value.waits);

// Looks at the clock each second. A phone that slept looks as if its clock had been set, so only looks between which
// the page was never hidden are compared.
const watchTime = ({ now, draw, isMoving, onBack, onSet }) => {
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
    if (!document.hidden && (isMoving() || seconds % IDLE_SECONDS === 0)) draw();
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

/**
 * openTime({job, keep, work, device, now, draw, onBack}) -> Promise of {jumped(), stop()}. draw() is called at each beat
 * that changes something, onBack() where somebody comes back after a minute or more. jumped(): may the clock not be
 * trusted for a time that runs?
 */
export const openTime = async ({ job, keep, work, device, now, draw, onBack }) => {
  const isRunningNow = () => isRunning(work.state());
  // A clock that was set while a time ran is still wrong for it after the page was loaded again.
  const name = `clock set ${job}`;
  const wasSet = Boolean(await keep.setting(name));
  if (wasSet && !isRunningNow()) keep.setSetting(name, null);
  const time = watchTime({
    now, draw, onBack,
    isMoving: () => isRunningNow() || isBreak(work.state()),
    onSet: () => isRunningNow() && keep.setSetting(name, now()),
  });
  const jumped = () => (wasSet && isRunningNow()) || time.jumped() || ranBack(work.gathered().entries, { device, now: now() });
  return { jumped, stop: time.stop };
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

/** openPace({now, device}) -> {sound, follow({state, sheet, jumped}), stop()}: the sound of the moves, and a screen that stays lit for them. */
export const openPace = ({ now, device }) => {
  const sound = soundOfPhone(now);
  const awake = openAwake(navigator.wakeLock);
  const follow = ({ state, sheet, jumped }) => {
    const moves = movesToCome(state, sheet, { device, now: now(), jumped });
    sound.follow(moves);
    awake.keep(moves.length > 0 && !document.hidden);
  };
  const stop = () => {
    sound.stop();
    awake.stop();
  };
  return { sound, follow, stop };
};
