// A time that must pass: a deadline, never a countdown in memory. It may have a pace, which is seen, heard and felt at
// each move. It may be watched: one reading when it starts and one when it ends.

import { own, table } from '../../base/own.js';
import { waitOf, waitSeconds } from '../../job/clock.js';
import { paceOf } from '../../job/sound.js';
import { isWithin } from '../../journal/limits.js';
import { BOXES } from '../../quantities/ranges.js';
import { W, answer, answeredSo, figureSaid, keptBy, remaining, unitOnFace } from '../../words/words.js';
import { foldedForm, numberOf } from '../common/form.js';
import { flag, make, say, sayOrHide, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';
import { readingIn, soFarLine } from './measure.js';
import { readingBox } from './reading.js';

const MARK_MS = 2500; // how long the mark of a move stands
const answerOf = (seen, part) => seen.answers.find((one) => one.part === part);

/** The wait of a step as the clock module sees it now. */
export const waitNow = ({ step, seen, shared: { state, device, now, jumped } }) => (
  waitOf(seen, step.check, state.values, { device, now, jumped })
);

/** The moves of a paced wait as they are now, or null. `every` may be read on the phone. */
export const paceNow = (running, { every = null, every_value: value }, { state, now }) => (
  running ? paceOf(running, waitSeconds({ seconds: every, value }, state.values), now) : null
);

const waitLine = ({ over, ask, until, left }) => {
  if (over) return W.waitOver;
  return ask ? own(W.waitAsks, ask) : W.waitUntil(until, remaining(left * 1000));
};

// Which move it is, a mark while one is due, and the sound, which a browser only begins after a tap.
const paceMark = ({ say: what }) => {
  const due = make('b');
  const of = make('span', { class: 'unit' });
  const count = make('p', { class: 'figure' }, make('span', { class: 'label' }, W.move), due, of);
  const next = make('p', { class: 'small' });
  const move = make('p', { class: 'now', 'aria-hidden': 'true' }, W.moveNow);
  let sound = null;
  const press = make('button', {
    type: 'button', class: 'small-press plain-press', onclick: () => {
      const isOn = sound.state() === 'on';
      sound.mute(isOn);
      if (!isOn) sound.wake().then(drawSound);
      drawSound();
    },
  });
  const none = make('p', { class: 'small' }, W.soundNone);
  const node = make('div', { class: 'pace' }, make('div', { class: 'beat', role: 'status' }, count, move), next, press, none);
  const drawSound = () => {
    const state = sound?.state() ?? 'none';
    say(press, table({ asleep: W.soundTap, on: W.soundOff, muted: W.soundOn })[state] ?? '');
    show(press, state !== 'none');
    show(none, state === 'none');
  };
  const update = (pace, shared) => {
    show(node, Boolean(pace));
    if (!pace) return;
    sound = shared.sound;
    say(due, pace.due);
    say(of, W.moveOf(pace.of));
    const isNow = pace.since < MARK_MS;
    flag(node, 'moving', isNow);
    show(move, isNow);
    say(next, pace.next === null ? W.moveLast : W.moveNext(remaining(pace.next - shared.now), what));
    drawSound();
  };
  return { node, update };
};

// One end of a wait: a button and, if it is watched, the reading that goes with it.
const partOf = (part, { step, sheet, send, labels, before = () => {} }) => {
  const name = own(step.check.watch, part);
  const keep = (value) => {
    before();
    return send(part, value);
  };
  const button = pressButton({ attrs: { 'data-check': 'wait', 'data-part': part }, onPress: () => (box ? box.press() : keep({})) });
  const onAsk = (isAsked) => show(button.node, !isAsked);
  const box = name ? readingBox({ reading: readingIn(sheet, name), sheet, keep, onAsk }) : null;
  box?.node.addEventListener('enter', () => button.node.click());
  const line = soFarLine(step.path, part);
  const node = make('div', { class: 'controls', 'data-part': box ? part : null }, line.node, box?.node ?? null, button.message, button.node);
  const update = ({ seen, kept, off, isNew, shared, on }) => {
    const given = answerOf(seen, part);
    const stands = Boolean(kept) && !isNew;
    show(node, on);
    if (box) show(box.node, !stands);
    flag(button.node, 'slim', stands);
    line.update({ seen, shared }, Boolean(box) && !stands);
    button.update(stands
      ? { label: answeredSo(kept, box ? answer(given) : labels.kept), sub: keptBy(given), kept, off: true }
      : { label: box ? labels.reading : labels.plain, off });
  };
  return { node, update };
};

// What has changed between the two readings of a watched wait, in the unit of the first.
const changeMark = ({ step }) => {
  const figure = make('p', { class: 'figure' });
  const from = make('p', { class: 'small' });
  const node = make('div', { class: 'result lesser' }, make('p', { class: 'label' }, W.change), figure, from);
  const update = ({ shared: { state, names: { figures } } }) => {
    const [before, after] = ['start', 'end'].map((part) => state.readings?.[own(step.check.watch, part)] ?? null);
    const isPlain = before && after && before.unit === after.unit && !step.shows?.length;
    show(node, Boolean(isPlain));
    if (!isPlain) return;
    const by = Number((after.number - before.number).toPrecision(6));
    say(figure, `${by > 0 ? '+' : ''}${by} ${unitOnFace(before.unit)}`);
    say(from, W.changeFrom(figures.text(step.check.watch.start), figures.text(step.check.watch.end)));
  };
  return { node, update };
};

const isElapsed = (minutes) => isWithin(minutes * 60, BOXES.elapsed);
const ELAPSED = { from: String(BOXES.elapsed.low), to: String(BOXES.elapsed.high / 60), unit: 'min', above: BOXES.elapsed.above };

// The time by another clock, if this phone's clock may be wrong. It opens by itself the first time that is so.
const elapsedForm = (elapsed) => {
  const form = foldedForm({
    title: W.elapsedTitle,
    fields: [
      { name: 'minutes', label: W.elapsed, type: 'number', required: true, tests: () => [isElapsed], unit: () => 'min' },
      { name: 'why', label: W.elapsedWhy, required: true },
    ],
    action: 'elapsed',
    keep: W.elapsedKeep,
    onKeep: ({ minutes, why }) => {
      const time = numberOf(minutes);
      if (isElapsed(time)) return elapsed({ seconds: Math.round(time * 60), why });
      return { kept: false, words: W.cannotBeHere(figureSaid(time, 'min'), ELAPSED) };
    },
  });
  let offered = false;
  const update = ({ running, over, isCounting }) => {
    form.update({ gone: !isCounting });
    const isAsked = Boolean(running?.ask);
    if (isAsked && !over && !offered) form.node.open = true;
    offered = isAsked;
  };
  return { node: form.node, update };
};

// How far the time is: whether it runs, is over or was ended, and the move that is due. isNew: it is begun again.
const timesOf = (view, { step, isNew }) => {
  const running = waitNow({ ...view, step });
  const over = Boolean(running?.over);
  const ended = Boolean(view.kept('end'));
  const paced = ended || over || isNew ? null : paceNow(running, step.check, view.shared);
  return { running, over, ended, isNew, paced, isCounting: Boolean(running) && !ended && !isNew };
};

// How often a move is due, while none is counted.
const everyLine = ({ paced }, { every_value: value, say: what }, { names: { figures } }) => {
  if (paced) return '';
  const said = value ? figures.text(value) : null;
  return said ? W.waitEvery(said, what) : what ?? '';
};

// What the button of each end is drawn from.
const beginView = ({ seen, kept, off, shared }, { running, ended, isNew }) => ({
  seen, shared, isNew,
  kept: running ? kept('start') ?? shared.saved.kept(answerOf(seen, 'start').id) : null,
  off: running ? seen.state === 'blocked' : off,
  on: !running || !ended,
});
const endView = ({ seen, kept, shared }, { running, over, isNew }) => ({
  seen, shared, isNew: false, kept: kept('end'), off: !over || seen.state === 'blocked', on: Boolean(running) && !isNew,
});

// A watch that went wrong may be begun again while its last reading does not count.
const mayBeginAgain = ({ seen }, { ended, isNew }, check) => (
  Boolean(check.watch && answerOf(seen, 'end')) && !ended && !isNew
);

/** wait({step, sheet, send, elapsed}) -> {node, update(view)}. */
export const wait = ({ step, sheet, send, elapsed }) => {
  const { check } = step;
  let isNew = false; // a watch that went wrong is begun again
  let sound = null;
  const isPaced = Boolean(check.every || check.every_value);
  const keep = async (part, value) => {
    const done = await send(part, value);
    if (isDone(done) && part === 'start' && isPaced) pace.node.scrollIntoView({ block: 'center' });
    if (isDone(done) && part === 'start' && isNew) {
      isNew = false;
      update(last); // it was drawn while the new reading was still asked for
    }
    return done;
  };
  const about = { step, sheet, send: keep };
  const begin = partOf('start', {
    ...about, before: () => { if (isPaced) sound?.wake(); }, labels: { plain: W.startWait, reading: W.startReading, kept: W.startWait },
  });
  const end = partOf('end', { ...about, labels: { plain: W.endWait, reading: W.endReading, kept: W.done } });
  const line = make('p', { class: 'reason', role: 'timer' });
  const every = make('p', { class: 'ground' });
  const pace = paceMark(check);
  const change = changeMark({ step });
  const anew = make('button', {
    type: 'button', class: 'small-press plain-press', onclick: () => {
      isNew = true;
      update(last);
    },
  }, W.startAgain);
  const other = elapsedForm(elapsed);
  const node = make('div', { class: 'controls' }, every, pace.node, line, begin.node, change.node, end.node, anew, other.node);
  let last = null;
  const update = (view) => {
    last = view;
    sound = view.shared.sound;
    const times = timesOf(view, { step, isNew });
    sayOrHide(every, everyLine(times, check, view.shared));
    sayOrHide(line, times.isCounting ? waitLine(times.running) : '');
    pace.update(times.paced, view.shared);
    begin.update(beginView(view, times));
    end.update(endView(view, times));
    show(anew, mayBeginAgain(view, times, check));
    change.update(view);
    other.update(times);
  };
  return { node, update };
};
