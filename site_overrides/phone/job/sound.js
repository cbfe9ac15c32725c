// What a paced wait sounds like: a beep and a buzz at each move and at the end. The moves are worked out from the start
// in the journal, so they go on correctly after a reload. Sound only comes after a tap, because browsers want that.
import { table } from '../base/own.js';

const SECOND = 1000;
const LATE_MS = 1500; // a phone that slept makes no noise for a move long past

/**
 * paceOf({startedAt, seconds, left}, every, now) -> {due, of, next, since}: moves that were due until now, the first with
 * the start; how many in all; when the next one comes, and how long ago the last one was due, in milliseconds. null if the
 * wait has no pace, or when it began is not known on this phone.
 */
export const paceOf = (running, every, now) => {
  const { startedAt, seconds } = running;
  if (!(every > 0) || startedAt === null || seconds === null || running.ask !== null) return null;
  const of = Math.max(1, Math.ceil(seconds / every));
  const passed = Math.max(0, now - startedAt);
  const due = Math.min(of, Math.floor(passed / (every * SECOND)) + 1);
  const at = (move) => startedAt + move * every * SECOND;
  return { due, of, next: due < of ? at(due) : null, since: now - at(due - 1) };
};

// Two short tones for a move, one long one for the end. Both can be heard beside an extractor fan.
const TONES = table({ move: [[0, 0.12], [0.18, 0.12]], end: [[0, 0.9]] });
const PITCH = table({ move: 1900, end: 1300 });
const BUZZ = table({ move: [150, 80, 150], end: [700] });
const LOUD = 0.5;

const play = (context, kind) => {
  for (const [after, long] of TONES[kind]) {
    const tone = context.createOscillator();
    const gain = context.createGain();
    const from = context.currentTime + after;
    tone.type = 'square';
    tone.frequency.value = PITCH[kind];
    gain.gain.setValueAtTime(LOUD, from);
    gain.gain.exponentialRampToValueAtTime(0.001, from + long);
    tone.connect(gain).connect(context.destination);
    tone.start(from);
    tone.stop(from + long);
  }
};

/**
 * openSound({makeContext, vibrate, isVisible, now}) -> {wake(), state(), mute(on), follow(times), stop()}.
 * wake() must be called within a tap, and is done when there is sound. state(): 'none' where the phone has no sound, 'asleep' until a tap, 'on', 'muted'.
 * follow([{key, at, kind}]) takes the place of what was to come: at is phone time in milliseconds, kind 'move' or 'end'.
 */
export const openSound = ({ makeContext, vibrate, isVisible, now }) => {
  let context = null;
  let isMuted = false;
  const coming = new Map(); // key -> {at, timer}

  const wake = async () => {
    try {
      context ??= makeContext?.() ?? null;
      await context?.resume();
    } catch {
      context = null; // no sound here: the mark on the screen is left
    }
  };
  const state = () => {
    if (!makeContext) return 'none';
    if (context?.state !== 'running') return 'asleep';
    return isMuted ? 'muted' : 'on';
  };
  const mute = (on) => { isMuted = on; };
  const fire = ({ key, at, kind }) => {
    coming.delete(key);
    if (!isVisible() || now() - at > LATE_MS) return;
    if (state() === 'on') play(context, kind);
    vibrate?.(BUZZ[kind]);
  };
  const drop = (key) => {
    clearTimeout(coming.get(key)?.timer);
    coming.delete(key);
  };
  const follow = (times) => {
    const wanted = new Map(times.map((one) => [one.key, one]));
    // What is due right now is about to sound, so it is no longer in what is to come.
    for (const [key, { at }] of coming) if (at > now() && wanted.get(key)?.at !== at) drop(key);
    for (const one of times) {
      if (coming.has(one.key) || one.at < now()) continue;
      coming.set(one.key, { at: one.at, timer: setTimeout(() => fire(one), one.at - now()) });
    }
  };
  const stop = () => {
    for (const key of [...coming.keys()]) drop(key);
    context?.close().catch(() => {});
    context = null;
  };
  return { wake, state, mute, follow, stop };
};

/** openAwake(wakeLock) -> {keep(on), stop()}: keeps the screen on while a pace runs, if the phone can do that. */
export const openAwake = (wakeLock) => {
  let lock = null;
  let asked = false;
  const letGo = () => {
    lock?.release().catch(() => {});
    lock = null;
  };
  const keep = (on) => {
    if (!on) {
      asked = false;
      letGo();
    } else if (!asked && wakeLock) {
      asked = true;
      wakeLock.request('screen').then((made) => {
        lock = made;
        // The phone releases it whenever the page is hidden. The next look asks for it again.
        made.addEventListener('release', () => { asked = false; });
        if (!asked) letGo();
      }, () => {});
    }
  };
  return { keep, stop: () => keep(false) };
};
