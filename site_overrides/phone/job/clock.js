// Works out deadlines for a given now. Pure: a wait is a deadline in the journal, never a countdown in memory. A phone's
// clock may be set, and the clock of another phone cannot be compared. Then a person says how much time has passed.

import { waitSeconds } from '../journal/answers.js';
import { phoneMs } from '../quantities/dates.js';

export { phoneMs, waitSeconds };

/** How far a clock may be behind what it said before, in milliseconds, until it counts as set back. */
const SLACK = 2000;

/**
 * waitOf(seen, check, values, {device, now, jumped}) -> null if it is not started (a watched wait starts with its reading), else {seconds, startedAt, until, left,
 * over, ask}. seen: state.steps[path]; check: of the worksheet's step; values: state.values; now: milliseconds of phone
 * time. left: seconds. `ask` says why a person must say how much time has passed, or is null: 'another-phone' (the wait
 * was started on another one), 'clock' (this clock was set since), 'unknown' (how long to wait is not known yet).
 * When `ask` is not null, only what a person said makes it over.
 */
export const waitOf = (seen, check, values, { device, now, jumped = false }) => {
  const isStart = ({ part, kind, value }) => (
    part === 'start' && kind === 'check' && (!check.watch || typeof value.number === 'number')
  );
  const starts = seen.answers.filter(isStart);
  if (!starts.length) return null;
  const seconds = waitSeconds(check, values);
  const began = starts.filter((start) => start.device === device).map(({ at }) => phoneMs(at)).filter((ms) => ms !== null);
  const startedAt = began.length ? Math.min(...began) : null;
  const ask = askWhy({ seconds, startedAt, now, jumped });
  const until = ask === null ? startedAt + seconds * 1000 : null;
  const left = until === null ? null : Math.max(0, (until - now) / 1000);
  const isSaid = seconds !== null && seen.elapsed !== null && seen.elapsed >= seconds;
  return { seconds, startedAt, until, left, over: isSaid || left === 0, ask };
};

const askWhy = ({ seconds, startedAt, now, jumped }) => {
  if (seconds === null) return 'unknown';
  if (startedAt === null) return 'another-phone';
  return jumped || now < startedAt - SLACK ? 'clock' : null;
};

/**
 * Whether the clock was set between two looks at it. before, after: {wall, steady} in milliseconds, `steady` from a
 * clock that nobody sets (performance.now). -> 'back', 'ahead' or null. A phone that slept also looks as if set ahead,
 * so ask only for looks between which the page was never hidden.
 */
export const clockSet = (before, after) => {
  const gained = (after.wall - before.wall) - (after.steady - before.steady);
  if (Math.abs(gained) <= SLACK) return null;
  return gained < 0 ? 'back' : 'ahead';
};

/** Whether this phone's clock ran backwards between two of its entries, or is behind the last one now. */
export const ranBack = (entries, { device, now }) => {
  const times = entries.filter((entry) => entry.device === device).map(({ at }) => phoneMs(at)).filter((ms) => ms !== null);
  return [...times, now].some((ms, number, all) => number > 0 && ms < all[number - 1] - SLACK);
};

/** Seconds until a second look by oneself counts as a self-check; answers: state answers of the steps it looks at. */
export const selfCheckLeft = (answers, after, now) => {
  const times = answers.map(({ at }) => phoneMs(at)).filter((ms) => ms !== null);
  return Math.max(0, ...times.map((ms) => after - (now - ms) / 1000));
};
