// A check that failed: what was seen, where to go back to, what that disturbs, and who says that the rest was not.

import { W } from '../../words/words.js';
import { field, foldedForm } from '../common/form.js';
import { fold, keyed, make, sayOrHide, set, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';
import { endsJob } from './stop.js';

/** The way to say that a check failed; an inspect says it by its own answers. */
export const failForm = ({ step, send }) => foldedForm({
  title: W.failedButton(step.if_failed?.when),
  kind: 'failed',
  fields: [{ name: 'note', label: W.note, required: true }],
  attrs: { 'data-outcome': 'failed' },
  keep: W.keepFailed,
  onKeep: ({ note }) => send({ outcome: 'failed', note }),
});

// What was taken off besides is picked where it was disturbed, and is not asked about otherwise: it waits in its list.
const isBesides = (path, { state }) => state.extras[path]?.kind === 'took-off';

/** What can be gone back over: the steps from `to` up to the one that failed, and those answered after it. */
const spans = ({ step, to, shared }) => {
  const { order, steps } = shared.state;
  const from = order.indexOf(to);
  const own = order.indexOf(step.path);
  const touched = (path) => steps[path].answers.length > 0 && steps[path].state !== 'hidden';
  const later = order.filter((path, at) => at >= from && path !== step.path && (touched(path) || path === to));
  return { later, before: order.filter((path, at) => at <= own && steps[path].state !== 'hidden') };
};

const pick = (path, { onPick }) => {
  const one = field({ name: `disturbs:${path}`, type: 'checkbox', label: '' });
  one.box.addEventListener('change', onPick);
  return {
    node: one.node,
    box: one.box,
    update: ({ label, on }) => {
      one.update({ label });
      if (on !== undefined) one.box.checked = on;
    },
  };
};

/** backPanel({step, title, send}) -> {node, update(view)}: where to go back to, and what that undoes. */
export const backPanel = ({ step, title, send }) => {
  const ownDisturbs = new Set(step.if_failed?.disturbs ?? []);
  const to = field({ name: 'to', label: W.backChoose, type: 'select', options: [] });
  const reason = field({ name: 'reason', label: W.backReason });
  const list = make('div');
  const rest = make('p', { class: 'small' });
  const picks = new Map();
  let view = null;
  let shownFor = null; // the place gone back to that the ticks were last set for
  const drawPicks = keyed(list, (path) => {
    const made = pick(path, { onPick: () => update(view) });
    picks.set(path, made.box);
    return made;
  });
  const button = pressButton({
    attrs: { 'data-action': 'back' },
    look: 'small-press',
    onPress: () => {
      const { disturbs, left } = chosen();
      const value = { to: to.value(), disturbs, rest: left, reason: reason.value() };
      return send({ kind: 'back', step: step.path, value });
    },
  });
  const say = make('p', { class: 'reason' });
  const body = make('div', { class: 'inside' }, say, to.node, make('p', { class: 'small' }, W.backSay), list, rest, reason.node, button.message, button.node);
  const node = title ? fold({ class: 'form' }, title, body) : body;
  const chosen = () => {
    const { later } = spans({ step, to: to.value(), shared: view.shared });
    const disturbs = later.filter((path) => picks.get(path)?.checked);
    return { disturbs, left: later.filter((path) => !disturbs.includes(path) && !isBesides(path, view.shared)) };
  };
  to.box.addEventListener('change', () => view && update(view)); // drawn with the first failure
  const update = (next) => {
    view = next;
    const { shared } = view;
    const start = to.value() || step.if_failed?.back_to || step.path;
    const { before } = spans({ step, to: start, shared });
    to.update({ options: before.map((path) => ({ value: path, label: shared.names.name(path) })), value: start });
    const { later } = spans({ step, to: to.value(), shared });
    const fresh = shownFor !== to.value();
    shownFor = to.value();
    drawPicks(later.map((path) => [path, {
      label: shared.names.name(path),
      on: fresh ? ownDisturbs.has(path) || path === to.value() : undefined,
    }]));
    sayOrHide(say, step.if_failed?.say ?? '');
    const { left } = chosen();
    sayOrHide(rest, left.length ? `${W.restSay}: ${left.map(shared.names.number).join(', ')}` : '');
    button.update({ label: to.value() === step.path ? W.backSame : W.backTitle(shared.names.number(to.value())) });
  };
  return { node, update };
};

/** failedPanel({step, send}) -> {node, update(view)}: what failed, and the way back from it. */
export const failedPanel = ({ step, send }) => {
  const back = backPanel({ step, title: '', send });
  const note = make('p', { class: 'message' });
  const node = make('div', { class: 'notice-card bad' }, make('h3', {}, W.failedTitle), note, back.node);
  const update = (view) => {
    const isFailed = view.seen.state === 'failed' && !endsJob(step, view.seen);
    show(node, isFailed);
    if (!isFailed) return;
    back.update(view);
    sayOrHide(note, view.seen.answers.find((one) => one.value.outcome === 'failed')?.value.note);
  };
  return { node, update };
};

/** One word for all the steps that a go-back left standing: somebody looked, and they were not disturbed. */
export const notDisturbed = ({ send }) => {
  const say = make('p');
  const button = pressButton({
    attrs: { 'data-action': 'not-disturbed' },
    look: 'small-press',
    onPress: () => send({ kind: 'not-disturbed', step: '', value: {}, seen: backs }),
  });
  const node = make('div', { class: 'notice-card' }, say, button.message, button.node);
  let backs = [];
  const update = ({ seen, shared }) => {
    const on = seen.why.some(({ code }) => code === 'disturbed');
    show(node, on);
    set(node, 'data-gate-reason', on ? 'disturbed' : null);
    if (!on) return;
    backs = shared.journal.backsAbout(seen);
    const others = shared.journal.disturbedSteps();
    sayOrHide(say, W.notDisturbedSay(others.map(shared.names.number)));
    button.update({ label: W.notDisturbed(shared.me) });
  };
  return { node, update };
};
