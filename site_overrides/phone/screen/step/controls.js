// The doing part of a step's sheet: why it does not go, what was answered, the check-off, and the ways out.

import { W } from '../../words/words.js';
import { makeCheck } from '../checks/checks.js';
import { flag, make, say, sayOrHide, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';
import { leftOut, takeBacks, twoAnswers } from './answers.js';
import { despitePanel } from './despite.js';
import { failForm, failedPanel, notDisturbed } from './failed.js';
import { lookAgain } from './not_yet.js';
import { somethingElse } from './other.js';
import { stopPanel, stopsJob } from './stop.js';
import { showsItsOwn } from './way_on.js';

const CLOSING = new Set(['check', 'settle', 'finish']);
const LEFT = new Set(['skipped', 'not-fitted', 'refused']);

/** part -> the answer that stands for it, as shared.saved.kept gives it, or null: an answer that must be given again is not shown as kept. */
const keptOf = ({ seen, shared }) => (part) => {
  if (!seen.done.includes(part) && (part !== '' || seen.state !== 'done')) return null;
  return shared.saved.kept(seen.answers.find((one) => one.part === part && CLOSING.has(one.kind))?.id);
};

const rewordedPanel = ({ step, send }) => {
  const before = make('p', { class: 'old' });
  const button = pressButton({
    attrs: { 'data-action': 'confirm' },
    look: 'small-press',
    onPress: () => send({ kind: 'confirm', step: step.path, value: { same: step.wording } }),
  });
  button.update({ label: W.same });
  const node = make('div', { class: 'notice-card' }, make('p', {}, W.reworded), before, button.message, button.node);
  const update = ({ seen, shared }) => {
    show(node, seen.reworded);
    sayOrHide(before, seen.reworded ? shared.journal.wordingBefore(step.path) : '');
  };
  return { node, update };
};

const checkOff = ({ step, sheet, check, send }) => {
  const control = makeCheck({
    step, sheet,
    send: check,
    takeBack: (part, reason) => send({ kind: 'take-back', step: step.path, part, value: { reason } }),
    finish: () => send({ kind: 'finish', step: step.path, value: {} }),
    elapsed: (value) => send({ kind: 'elapsed', step: step.path, value }),
  });
  const update = (view) => control.update({ ...view, off: !view.legal.check && !view.legal.finish, kept: keptOf(view) });
  return { node: control.node, update };
};

const goOn = ({ step, sheet }) => {
  const isSeenFirst = showsItsOwn(step, sheet);
  let go = () => {};
  const node = make('button', { type: 'button', class: 'press', onclick: () => go() });
  const update = ({ seen, shared }) => {
    const { next } = shared.state;
    const on = isSeenFirst && seen.state === 'done' && next !== null && next !== step.path;
    show(node, on);
    if (on) say(node, W.goOn(shared.names.number(next)));
    go = () => shared.look(next);
  };
  return { node, update };
};

// A check fails at the part that is at work.
const failing = ({ step, check }) => {
  let seen = null;
  const partAtWork = () => seen.of.find((part) => !seen.done.includes(part)) ?? seen.of.at(-1) ?? '';
  const form = failForm({ step, send: (value) => check(partAtWork(), value) });
  const can = step.if_failed && step.check.kind !== 'inspect';
  const update = (view) => {
    seen = view.seen;
    form.update({ gone: !can || seen.state === 'failed' || LEFT.has(seen.state) });
  };
  return { node: form.node, update };
};

/** controls({step, sheet, send}) -> {nodes, failed(), update(view)}; failed() is the panel to be shown after a failure. */
export const controls = ({ step, sheet, send }) => {
  const despite = despitePanel({ step, send });
  const { check } = despite;
  const was = make('p', { class: 'small' }, W.was);
  const failed = failedPanel({ step, send });
  const stop = stopPanel({ step, sheet, send });
  const inside = [
    stop, twoAnswers({ step, sheet, send }), rewordedPanel({ step, send }), failed, notDisturbed({ send }), lookAgain({ step }),
    leftOut({ step }), despite, goOn({ step, sheet }), checkOff({ step, sheet, check, send }),
  ];
  const below = [failing({ step, check }), takeBacks({ step, send }), somethingElse({ step, sheet, send })];
  const nodes = [make('div', { class: 'controls' }, was, inside.map((one) => one.node)), ...below.map((one) => one.node)];
  const update = (view) => {
    show(was, view.seen.was);
    flag(nodes[0], 'stopped', stopsJob(step, view.seen));
    for (const one of [...inside, ...below]) one.update(view);
  };
  return { nodes, failed: () => (stop.node.hidden ? failed : stop).node, update };
};
