// A reading as a check-off. While a result keeps its step open it is offered again, with what was read so far.

import { W, answer, answeredSo, clock, figureSaid, keptBy } from '../../words/words.js';
import { flag, make, mark, sayOrHide, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';
import { readingBox } from './reading.js';

const MOST_SAID = 5;

export const readingIn = (sheet, name) => sheet.readings?.[name] ?? { label: name, unit: '' };

const lineOf = ({ value, at }) => `${figureSaid(value.number, value.unit)} (${clock(at)})`;

/** The line of what was read so far at one part of a step that is still open: update(view, is it to be shown). */
export const soFarLine = (path, part) => {
  const node = make('p', { class: 'so-far' });
  const update = ({ seen, shared }, on) => {
    const all = on ? shared.journal.measured(path, part) : [];
    sayOrHide(node, all.length ? W.soFar(all.slice(-MOST_SAID).map(lineOf)) : '');
    // It is saved, but closes nothing yet. What must be given again is not shown as saved.
    mark(node, all.length && ['open', 'waiting'].includes(seen.state) ? shared.saved.kept(all.at(-1).id) : null);
  };
  return { node, update };
};

const newestOf = (seen, part) => seen.answers.find((one) => one.part === part);

export const measure = ({ step, sheet, send }) => {
  const reading = readingIn(sheet, step.check.reading);
  let again = false; // a reading that stands is to be corrected
  const keep = async (value) => {
    const done = await send('', value);
    if (isDone(done) && again) {
      again = false;
      update(last); // the step was drawn while this was still being corrected
    }
    return done;
  };
  // While the screen asks whether a reading is right, that must be answered first.
  const onAsk = (isAsked) => show(button.node, !isAsked);
  const button = pressButton({ attrs: { 'data-check': 'measure' }, onPress: () => box.press() });
  const box = readingBox({ reading, sheet, keep, onAsk });
  box.node.addEventListener('enter', () => button.node.click());
  const before = soFarLine(step.path, '');
  const correct = make('button', {
    type: 'button', class: 'small-press plain-press', onclick: () => {
      again = !again;
      update(last);
    },
  }, W.correctReading);
  const node = make('div', { class: 'controls' }, before.node, box.node, button.message, button.node, correct);
  let last = null;
  const update = (view) => {
    last = view;
    const { seen, off, kept, legal } = view;
    const given = newestOf(seen, '');
    const stands = Boolean(kept('')) && !again;
    before.update(view, !stands);
    show(box.node, !stands);
    show(correct, Boolean(kept('')) && !again && (legal.correct ?? []).includes(''));
    flag(button.node, 'slim', stands && Boolean(step.shows?.length)); // the figure worked out from it is the big one
    button.update(stands
      ? { label: answeredSo(kept(''), answer(given)), sub: keptBy(given), kept: kept(''), off: true }
      : { label: given ? W.readAgainKeep : W.keepReading, off: off && !again });
  };
  return { node, update };
};
