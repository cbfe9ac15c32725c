// Which presses were meant: everything that is down on the page, and whether a click is the end of one press that began
// where it ends. The rule itself stands in press.js.

const SETTLE_MS = 400; // two taps of one finger on a glove come within this, and nobody reads a new screen faster
const CLICK_MS = 1000; // a click comes within this of the press it belongs to
const KEY_MS = 1500; // a held key repeats; one that was not heard of for this long went up elsewhere
const PRESSING_KEYS = new Set(['Enter', ' ']);
const CONTROL = 'a[href], button, summary, select, input, textarea, label, [role=button]';
const SAYS = /^(data-|href$|aria-(disabled|pressed|checked|label)$)/;

const down = new Map(); // what is down -> its press
let ended = null; // the press that ended last; its click may still come
let settled = -Infinity; // when an answer was last given, or came, or the page went on to another step
let claimed = null; // the click that was found to be the end of a press

// By the clock of the events: that of the page may be set by whoever tries it.
const clock = () => new Event('now').timeStamp;

const controlOf = (target) => {
  const control = target?.closest?.(CONTROL) ?? null;
  return control?.closest('label') ?? control;
};

// What a control would answer now: its hooks and its face. A time that runs on its face changes nothing.
const meaningOf = (control) => {
  if (!control) return '';
  const hooks = [...control.attributes].filter(({ name }) => SAYS.test(name)).map(({ name, value }) => `${name}=${value}`);
  const face = control.querySelector('time') ? control.cloneNode(true) : control;
  if (face !== control) for (const time of face.querySelectorAll('time')) time.remove();
  return [...hooks, face.textContent].join('\n');
};

const isOver = (control, { x, y }) => !control || control.contains(control.ownerDocument.elementFromPoint(x, y));

const isAlone = (now) => [...down.values()].every(({ isKey, seenAt }) => isKey && now - seenAt > KEY_MS);

const begin = (id, event, { isKey = false, isFirst = true } = {}) => {
  const now = event.timeStamp;
  const control = controlOf(event.target);
  const counts = isFirst && isAlone(now) && now - settled >= SETTLE_MS;
  down.set(id, { control, meaning: meaningOf(control), counts, isKey, at: isKey ? null : { x: event.clientX, y: event.clientY }, seenAt: now, onEnd: null });
};

const end = (id, now, counts = true) => {
  const press = down.get(id) ?? { control: null, counts: false };
  down.delete(id);
  press.counts &&= counts;
  press.seenAt = now;
  press.onEnd?.();
  ended = press;
};

const loseAll = () => {
  for (const id of [...down.keys()]) end(id, clock(), false);
};

const isMeant = (press, control) => press.counts && press.control === control && control.isConnected && meaningOf(control) === press.meaning;

// The press that a click ends; null for a click without one: a screen reader's, a switch's, that of a label on its box.
const pressOf = (event) => {
  const isByKey = event.detail === 0 && !event.pointerType;
  const held = isByKey ? [...down.values()].find(({ isKey }) => isKey) : null;
  if (held) return held;
  const isRecent = ended && Boolean(ended.isKey) === isByKey && event.timeStamp - ended.seenAt < CLICK_MS;
  return isRecent ? ended : null;
};

const onClick = (event) => {
  const control = controlOf(event.target);
  if (!event.isTrusted || !control) return;
  const press = pressOf(event);
  const passes = press ? isMeant(press, control) : isAlone(event.timeStamp);
  if (press) press.counts = false;
  if (press === ended) ended = null;
  if (press && passes) claimed = event;
  if (passes) return;
  event.preventDefault();
  event.stopImmediatePropagation();
};

const pointer = ({ pointerType, pointerId }) => `${pointerType} ${pointerId}`;

const onPointerDown = (event) => {
  if (!event.pointerType) return; // a screen reader's
  // The first of its kind: whatever else of that kind seems to be down went up unheard.
  if (event.isPrimary) for (const id of [...down.keys()]) if (id.startsWith(`${event.pointerType} `)) down.delete(id);
  begin(pointer(event), event, { isFirst: event.isPrimary });
};

const onPointerMove = (event) => {
  const press = down.get(pointer(event));
  if (!press) return;
  press.at = { x: event.clientX, y: event.clientY };
  if (press.counts && !isOver(press.control, press.at)) {
    press.counts = false;
    press.onEnd?.();
  }
};

const onKeyDown = (event) => {
  if (!PRESSING_KEYS.has(event.key) || event.ctrlKey || event.metaKey || event.altKey) return;
  const held = down.get(event.key);
  if (held && event.repeat) held.seenAt = event.timeStamp;
  else begin(event.key, event, { isKey: true, isFirst: !event.repeat });
};

/** Begins to watch the page's presses; before that none counts. `page` is the window. */
export const guardPresses = (page) => {
  const heard = { capture: true, passive: true };
  page.addEventListener('pointerdown', onPointerDown, heard);
  page.addEventListener('pointermove', onPointerMove, heard);
  page.addEventListener('pointerup', (event) => event.pointerType && end(pointer(event), event.timeStamp), heard);
  page.addEventListener('pointercancel', (event) => end(pointer(event), event.timeStamp, false), heard);
  page.addEventListener('keydown', onKeyDown, heard);
  page.addEventListener('keyup', (event) => PRESSING_KEYS.has(event.key) && end(event.key, event.timeStamp), heard);
  page.addEventListener('click', onClick, { capture: true });
  page.addEventListener('blur', ({ target }) => target === page && loseAll(), heard);
  page.addEventListener('pagehide', loseAll, heard);
  page.document.addEventListener('visibilitychange', loseAll, heard);
};

/** The page has gone on: what is pressed before a person can have seen it was not meant for it. */
export const settle = () => { settled = clock(); };

/** Is this click the end of a press by hand, and not that of a screen reader or a switch? */
export const isByHand = (event) => event === claimed;

/**
 * The press that has just begun with a pointerdown or keydown, or null when it does not count: {end(onEnd), take()}. onEnd()
 * is called when it ends, whatever ends it; take() -> whether it still means what it meant, and uses it up.
 */
export const pressBegun = (event) => {
  const press = down.get(event.key ?? pointer(event));
  if (!press?.counts) return null;
  const take = () => {
    const isGood = isMeant(press, press.control) && (press.isKey || isOver(press.control, press.at));
    press.counts = false;
    return isGood;
  };
  return { end: (onEnd) => { press.onEnd = onEnd; }, take };
};
