// One control that keeps something: a tap, or a press held down for 0.6 s. It is busy until the answer comes, and says
// in words when nothing was kept. What is kept it shows only when the drawn state says so.
//
// A press answers once, and only what it began on. The page goes on to the next step while the finger that answered is
// still down, and whatever the platform makes of its release lands on a control that nobody has seen. So on the whole page,
// for every button, row, line that opens, link and box (press_guard.js):
// - a press counts only when nothing else was down as it began: no finger, pen, mouse button or key;
// - it counts only where it ends on the control that it began on, and that control still means the same. It does not
//   count when it slid off, when the browser took it for scrolling, or when the page was left or lost its focus;
// - it is used up by its answer: neither its release nor a key that repeats answers again;
// - nothing that is pressed within 0.4 s of an answer, or of the page's going on, counts;
// - a click without a press (a screen reader, a switch) counts while nothing is down; for a hold it must come twice.

import { W, notKept } from '../../words/words.js';
import { flag, make, mark, say, sayOrHide, set } from './nodes.js';
import { isByHand, pressBegun, settle } from './press_guard.js';

export const HOLD_MS = 600;
const CONFIRM_MS = 5000;

/** Is there nothing more to do for an answer: it is kept, or counts all the same until the page is loaded anew? */
export const isDone = (answer) => Boolean(answer?.kept || answer?.counts);

/**
 * pressable({node, onPress, hold}) gives the node its behaviour. onPress() -> Promise of {kept, why} or of null, when
 * there was nothing to keep. Returns {message, isBusy}: the line that says what went wrong, to be put beside the node.
 */
export const pressable = ({ node, onPress, hold = false, onBusy = () => {} }) => {
  const message = make('p', { class: 'message', role: 'alert' });
  let busy = false;

  const fire = async () => {
    if (busy || node.getAttribute('aria-disabled') === 'true') return;
    busy = true;
    settle();
    set(node, 'aria-busy', 'true');
    onBusy(true);
    say(message, '');
    let answer = null;
    try {
      answer = await onPress();
    } catch (error) {
      answer = { kept: false, why: 'fault' };
      setTimeout(() => { throw error; });
    }
    busy = false;
    settle();
    set(node, 'aria-busy', null);
    onBusy(false);
    if (answer && (answer.words || !isDone(answer))) say(message, answer.words ?? notKept(answer.why));
  };

  if (hold) holdDown(node, fire);
  else node.addEventListener('click', fire);
  return { message, isBusy: () => busy };
};

// Pointer or key held for 0.6 s. A click that comes from neither (a screen reader, a switch) must come twice.
const holdDown = (node, fire) => {
  let armed = -Infinity;
  const begin = (event) => {
    const press = pressBegun(event);
    if (!press || node.getAttribute('aria-disabled') === 'true' || node.getAttribute('aria-busy') === 'true') return;
    flag(node, 'pressing', true);
    const stop = () => {
      clearTimeout(timer);
      flag(node, 'pressing', false);
    };
    const timer = setTimeout(() => {
      stop();
      if (press.take()) fire();
    }, HOLD_MS);
    press.end(stop);
  };
  const isKey = (event) => event.key === ' ' || event.key === 'Enter';
  node.addEventListener('pointerdown', (event) => { if (event.button === 0) begin(event); });
  node.addEventListener('contextmenu', (event) => event.preventDefault());
  node.addEventListener('keydown', (event) => {
    if (!isKey(event)) return;
    event.preventDefault();
    if (!event.repeat) begin(event);
  });
  node.addEventListener('keyup', (event) => { if (isKey(event)) event.preventDefault(); });
  node.addEventListener('click', (event) => {
    if (isByHand(event) || !event.isTrusted) return; // nor from Enter in a box of its form
    const since = event.timeStamp - armed;
    armed = event.timeStamp;
    if (since >= HOLD_MS && since <= CONFIRM_MS) fire();
  });
};

/**
 * pressButton({kind, attrs, hold, onPress}) -> {node, message, update({label, sub, figure, kept, off})}. kept: as shared
 * gives it; what is not kept yet is offered again by a tap.
 */
export const pressButton = ({ attrs, hold = false, onPress, look = 'press' }) => {
  const figure = make('span', { class: 'figure' });
  const label = make('span', {});
  const sub = make('span', { class: 'sub' });
  const node = make('button', { type: 'button', class: look, ...attrs });
  if (hold) node.append(make('span', { class: 'fill', 'aria-hidden': 'true' }));
  node.append(label, figure, sub);
  let shown = {};
  const draw = () => {
    say(label, press.isBusy() ? W.busy : shown.label ?? '');
    sayOrHide(figure, shown.figure);
    sayOrHide(sub, shown.sub ?? (hold && !shown.kept && !shown.off ? W.holdSay : ''));
    mark(node, shown.kept);
    set(node, 'aria-disabled', shown.off && !shown.kept?.unkept ? 'true' : null);
  };
  const press = pressable({ node, hold, onPress: () => (shown.kept?.unkept ? shown.kept.again() : onPress()), onBusy: () => draw() });
  return { node, message: press.message, update: (next) => { shown = next; draw(); } };
};
