// One control that keeps something: a tap, or a press held down for 0.6 s. It is busy until the answer comes, and says
// in words when nothing was kept. What is kept it shows only when the drawn state says so.

import { W, notKept } from '../words.js';
import { flag, make, mark, say, sayOrHide, set } from './nodes.js';

export const HOLD_MS = 600;
const TWICE_MS = 400; // two taps of one finger on a glove come within this
const CONFIRM_MS = 5000;

let lastTouch = -Infinity; // when any control was last pressed by touch: the next step's control lies under the same finger

const tooSoon = (event) => {
  if (event.detail > 1) return true;
  const soon = event.pointerType === 'touch' && event.timeStamp - lastTouch < TWICE_MS;
  if (event.pointerType === 'touch') lastTouch = event.timeStamp;
  return soon;
};

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
    set(node, 'aria-busy', null);
    onBusy(false);
    if (answer && (answer.words || !isDone(answer))) say(message, answer.words ?? notKept(answer.why));
  };

  if (hold) holdDown(node, fire);
  else node.addEventListener('click', (event) => { if (!tooSoon(event)) fire(); });
  return { message, isBusy: () => busy };
};

// Pointer or key held for 0.6 s. A click that comes from neither (a screen reader, a switch) must come twice.
const holdDown = (node, fire) => {
  let timer = null;
  let armed = -Infinity;
  let byHand = -Infinity;
  const stop = () => {
    clearTimeout(timer);
    timer = null;
    flag(node, 'pressing', false);
  };
  const begin = () => {
    if (timer || node.getAttribute('aria-disabled') === 'true' || node.getAttribute('aria-busy') === 'true') return;
    flag(node, 'pressing', true);
    timer = setTimeout(() => { stop(); fire(); }, HOLD_MS);
  };
  const isKey = (event) => event.key === ' ' || event.key === 'Enter';
  node.addEventListener('pointerdown', (event) => { if (event.isPrimary && event.button === 0) begin(); });
  for (const end of ['pointerup', 'pointercancel', 'pointerleave', 'blur']) {
    node.addEventListener(end, (event) => { if (end !== 'blur') byHand = event.timeStamp; stop(); });
  }
  node.addEventListener('contextmenu', (event) => event.preventDefault());
  node.addEventListener('keydown', (event) => {
    if (!isKey(event)) return;
    event.preventDefault();
    if (!event.repeat) begin();
  });
  node.addEventListener('keyup', (event) => {
    if (!isKey(event)) return;
    event.preventDefault();
    stop();
  });
  node.addEventListener('click', (event) => {
    if (event.detail > 0 || event.timeStamp - byHand < 100) return;
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
