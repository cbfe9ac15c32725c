// A reading as a check-off. While a result keeps its step open it is offered again, with what was read so far.

import { W, answer, clock, figureSaid, keptBy } from '../words.js';
import { make, sayOrHide, show } from './nodes.js';
import { pressButton } from './press.js';
import { readingBox } from './reading.js';

const MOST_SAID = 5;

export const readingIn = (sheet, name) => sheet.readings?.[name] ?? { label: name, unit: '' };

const lineOf = ({ value, at }) => `${figureSaid(value.number, value.unit)} (${clock(at)})`;

/** What was read so far at one part of a step, in a line; '' when nothing was. */
export const soFar = (shared, path, part) => {
  const all = shared.measured(path, part);
  return all.length ? W.soFar(all.slice(-MOST_SAID).map(lineOf)) : '';
};

const newestOf = (seen, part) => seen.answers.find((one) => one.part === part);

export const measure = ({ step, sheet, send }) => {
  const reading = readingIn(sheet, step.check.reading);
  let again = false; // a reading that stands is to be corrected
  const keep = async (value) => {
    const done = await send('', value);
    if (done?.kept) again = false;
    return done;
  };
  // While it is asked whether a reading is right, that is answered first.
  const onAsk = (isAsked) => show(button.node, !isAsked);
  const button = pressButton({ attrs: { 'data-check': 'measure' }, onPress: () => box.press() });
  const box = readingBox({ reading, sheet, keep, onAsk });
  box.node.addEventListener('enter', () => button.node.click());
  const before = make('p', { class: 'so-far' });
  const correct = make('button', {
    type: 'button', class: 'small-press plain-press', onclick: () => {
      again = !again;
      update(last);
    },
  }, W.correctReading);
  const node = make('div', { class: 'controls' }, before, box.node, button.message, button.node, correct);
  let last = null;
  const update = (view) => {
    last = view;
    const { seen, off, kept, shared, legal } = view;
    const given = newestOf(seen, '');
    const stands = Boolean(kept('')) && !again;
    sayOrHide(before, kept('') && !again ? '' : soFar(shared, step.path, ''));
    show(box.node, !stands);
    show(correct, Boolean(kept('')) && !again && (legal.correct ?? []).includes(''));
    button.update(stands
      ? { label: W.keptSo(answer(given)), sub: keptBy(given), kept: kept(''), off: true }
      : { label: given ? W.readAgainKeep : W.keepReading, off: off && !again });
  };
  return { node, update };
};
