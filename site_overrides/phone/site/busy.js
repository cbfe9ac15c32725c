// Tells whether a check-off is half done on any open page of this site. While one is, a tap takes no new version.

import { CLOSED } from '../journal/tables.js';

const PATIENCE = 400; // ms that the other pages have to answer

/**
 * openBusy({name, Channel, isBusy}) -> {ask(), stop}. isBusy() says what is half done on this page, as plain data, or
 * null. ask() -> Promise of the same, of this page or of another that is open, or of null. `name` is the site's;
 * Channel is BroadcastChannel or null. A page that does not answer (an older one, one put to sleep) counts as idle: it
 * is not reloaded, so nothing in it is lost.
 */
export const openBusy = ({ name, Channel, isBusy, patience = PATIENCE }) => {
  const asking = new Set();
  const channel = Channel ? new Channel(name) : null;
  const hear = ({ data: { ask, half } }) => {
    const own = ask ? isBusy() : null;
    if (own) channel.postMessage({ half: own });
    if (half) for (const answer of asking) answer(half);
  };
  channel?.addEventListener('message', hear);

  const askOthers = () => new Promise((resolve) => {
    const answer = (half) => {
      clearTimeout(tooLate);
      asking.delete(answer);
      resolve(half);
    };
    const tooLate = setTimeout(answer, patience, null);
    asking.add(answer);
    channel.postMessage({ ask: true });
  });

  const ask = async () => isBusy() ?? (channel ? askOthers() : null);
  return { ask, stop: () => channel?.close() };
};

/** The first step of a folded job with some but not all of its parts answered, as {step, why}, or null. Pure. */
export const halfDoneStep = ({ order, steps }) => {
  const step = order.find((path) => {
    const { state, done, of } = steps[path];
    return state === 'waiting' || (!CLOSED.has(state) && done.length > 0 && done.length < of.length);
  });
  return step === undefined ? null : { step, why: steps[step].state === 'waiting' ? 'wait' : 'parts' };
};

const BOXES = 'input:not([type]), input[type=text], input[type=number], input[type=date], textarea';
const UNDER_WAY = '.pressing, [aria-busy=true]:not([data-action=update])';

const stepOf = (node) => node.closest('[data-step]')?.dataset.step ?? null;

/**
 * openHands(page) -> {look(), stop}. look() says what a person is doing on this page as {step, why}, or null: a
 * press under way, or something typed or marked that is not saved. `page` is the document.
 */
export const openHands = (page) => {
  const typed = new Map(); // box -> {before, text}; text null: nothing typed since it came
  const marked = new Set();
  const ear = new AbortController();
  const heard = { signal: ear.signal, capture: true };

  const onFocus = ({ target }) => {
    if (!target.matches?.(BOXES) || typed.get(target)?.text === target.value) return;
    typed.set(target, { before: target.value, text: null });
  };
  const onInput = ({ target }) => {
    if (target.matches?.(BOXES)) typed.set(target, { before: typed.get(target)?.before ?? '', text: target.value });
  };
  // "Not here" of the preparation waits for its list to be confirmed.
  const onClick = ({ target }) => {
    const list = target.closest?.('[data-field^="except:"]')?.closest('details');
    if (list) marked.add(list);
  };
  // The screen clears what was saved, so a box still holds only what is not.
  const isTyped = (box) => {
    const { before, text } = typed.get(box);
    if (!box.isConnected) typed.delete(box);
    return box.isConnected && text !== null && box.value === text && text.trim() !== '' && text !== before;
  };
  const isMarked = (list) => {
    const isOpen = list.isConnected && list.querySelector('[data-action=confirm]:not([aria-disabled=true])') !== null;
    if (!isOpen) marked.delete(list);
    return isOpen;
  };
  const look = () => {
    const pressed = page.querySelector(UNDER_WAY);
    if (pressed) return { step: stepOf(pressed), why: 'press' };
    const left = [...typed.keys()].find(isTyped) ?? [...marked].find(isMarked);
    return left ? { step: stepOf(left), why: 'typed' } : null;
  };

  page.addEventListener('focusin', onFocus, heard);
  page.addEventListener('input', onInput, heard);
  page.addEventListener('click', onClick, heard);
  return { look, stop: () => ear.abort() };
};
