// The check-offs, one factory a kind: makeCheck({step, sheet, send}) -> {node, update(view)}. `send(part, value, who)`
// keeps an answer. view: {step, seen, off, kept(part), shared}; see step.js.

import { selfCheckLeft, waitOf } from '../clock.js';
import { W, answer, keptBy, remaining } from '../words.js';
import { field, foldedForm, numberOf } from './form.js';
import { make, sayOrHide, show } from './nodes.js';
import { partsCheck } from './parts.js';
import { pressButton } from './press.js';

const answerOf = (seen, part = '') => seen.answers.find((one) => one.part === part);

const tick = ({ step, send, finish }) => {
  const { completion, check } = step;
  const button = pressButton({
    attrs: { 'data-check': 'tick', ...completion && { 'data-action': 'finish' } },
    hold: Boolean(check.hold_down),
    onPress: () => (completion ? finish() : send('', {})),
  });
  const node = make('div', {}, button.message, button.node);
  const update = ({ seen, off, kept }) => {
    const given = answerOf(seen);
    const label = completion ? W.finish : seen.state === 'recheck' ? W.again : W.done;
    button.update(kept('')
      ? { label: W.keptSo(completion ? W.finishedShort : W.done), sub: keptBy(given), kept: kept(''), off: true }
      : { label: check.hold_down ? `${W.hold}: ${label}` : label, off });
  };
  return { node, update };
};

const tighten = ({ step, send }) => {
  const { check } = step;
  const parts = partsCheck({ kind: 'tighten', send });
  const pullOf = (id) => (check.fastener === 'critical' ? id.split('.')[0] : 'all');
  const update = ({ off, kept, shared }) => {
    const typed = shared.state.values[check.value]?.text ?? '';
    parts.update({
      off,
      parts: check.parts.map(({ id, label, target }) => {
        const set_ = target ?? typed;
        return { id, label, figure: set_, kept: kept(id), pull: pullOf(id), value: set_ ? { set: set_ } : {} };
      }),
    });
  };
  return { node: parts.node, update };
};

const turn = ({ send }) => {
  const parts = partsCheck({ kind: 'turn', send });
  const update = ({ seen, off, kept }) => parts.update({
    off,
    parts: seen.of.map((id) => ({ id, label: W.turn(id, seen.of.length), kept: kept(id), pull: 'all', value: {} })),
  });
  return { node: parts.node, update };
};

const measure = ({ step, sheet, send }) => {
  const reading = sheet.readings[step.check.reading] ?? { label: step.check.reading, unit: '' };
  const box = field({ name: 'number', label: `${reading.label} (${reading.unit})`, type: 'number' });
  const button = pressButton({
    attrs: { 'data-check': 'measure' },
    onPress: async () => {
      const number = numberOf(box.value());
      if (number === null) return { kept: false, words: W.needNumber(reading.label) };
      const done = await send('', { number, unit: reading.unit });
      if (done?.kept) box.clear();
      return done;
    },
  });
  const range = make('p', { class: 'small' });
  const limits = [reading.from, reading.to].every((limit) => limit !== null && limit !== undefined);
  const node = make('div', {}, range, box.node, button.message, button.node);
  const update = ({ seen, off, kept }) => {
    const given = answerOf(seen);
    sayOrHide(range, limits ? W.between(reading.from, reading.to, reading.unit) : '');
    show(box.node, !kept(''));
    button.update(kept('')
      ? { label: W.keptSo(answer(given)), sub: keptBy(given), kept: kept(''), off: true }
      : { label: W.keepReading, off });
  };
  return { node, update };
};

const inspect = ({ step, send }) => {
  const buttons = step.check.outcomes.map(({ name, label, fails }) => ({
    name,
    label,
    button: pressButton({
      attrs: { 'data-check': 'inspect', 'data-outcome': name },
      look: fails ? 'outcome fails' : 'outcome',
      onPress: () => send('', { outcome: name }),
    }),
  }));
  const node = make('div', { class: 'controls' }, buttons.flatMap(({ button }) => [button.message, button.node]));
  const update = ({ seen, off }) => {
    const standing = new Map(seen.answers.filter((one) => one.kind === 'check').map((one) => [one.value.outcome, one]));
    const fresh = seen.state !== 'recheck';
    for (const { name, label, button } of buttons) {
      const given = fresh ? standing.get(name) : null;
      button.update(given
        ? { label: W.keptSo(label), sub: keptBy(given), kept: given.id, off: true }
        : { label, off: off || seen.state === 'done' });
    }
  };
  return { node, update };
};

const photo = ({ step, send }) => {
  const box = field({ name: 'kept_at', label: W.keptAt });
  const button = pressButton({
    attrs: { 'data-check': 'photo' },
    onPress: () => (box.value() ? send('', { kept_at: box.value() }) : { kept: false, words: W.required(W.keptAt) }),
  });
  const node = make('div', {}, make('p', { class: 'ground' }, step.check.label), box.node, button.message, button.node);
  const update = ({ seen, off, kept, shared }) => {
    const given = answerOf(seen);
    box.update({ value: shared.keptAt });
    show(box.node, !kept(''));
    button.update(kept('')
      ? { label: W.keptSo(answer(given)), sub: keptBy(given), kept: kept(''), off: true }
      : { label: W.photoTaken, off });
  };
  return { node, update };
};

// --- wait: a deadline, never a countdown in memory --------------------------------------------------------------------

/** The wait of a step as the clock module sees it now. */
export const waitNow = ({ step, seen, shared: { state, device, now, jumped } }) => (
  waitOf(seen, step.check, state.values, { device, now, jumped })
);

const waitLine = ({ over, ask, until, left }) => {
  if (over) return W.waitOver;
  return ask ? W.waitAsks[ask] : W.waitUntil(until, remaining(left * 1000));
};

const wait = ({ step, send, elapsed }) => {
  let offered = false;
  const begin = pressButton({ attrs: { 'data-check': 'wait', 'data-part': 'start' }, onPress: () => send('start', {}) });
  const end = pressButton({ attrs: { 'data-check': 'wait', 'data-part': 'end' }, onPress: () => send('end', {}) });
  const line = make('p', { class: 'reason', role: 'timer' });
  const every = make('p', { class: 'ground' });
  const other = foldedForm({
    title: W.elapsedTitle,
    fields: [
      { name: 'minutes', label: W.elapsed, type: 'number', required: true },
      { name: 'why', label: W.elapsedWhy, required: true },
    ],
    action: 'elapsed',
    keep: W.elapsedKeep,
    onKeep: ({ minutes, why }) => elapsed({ seconds: Math.round(numberOf(minutes) * 60), why }),
  });
  const node = make('div', { class: 'controls' }, every, line, begin.message, begin.node, end.message, end.node, other.node);
  const update = (view) => {
    const { seen, off, kept, shared } = view;
    const running = waitNow({ ...view, step });
    const over = Boolean(running?.over);
    const pace = step.check.every_value ? shared.state.values[step.check.every_value]?.text : null;
    sayOrHide(every, pace ? W.waitEvery(pace, step.check.say) : step.check.say ?? '');
    sayOrHide(line, running && !kept('end') ? waitLine(running) : '');
    show(begin.node, !running || !kept('end'));
    begin.update(running
      ? { label: W.keptSo(W.startWait), sub: keptBy(answerOf(seen, 'start')), kept: kept('start') ?? answerOf(seen, 'start').id, off: true }
      : { label: W.startWait, off });
    show(end.node, Boolean(running));
    end.update(kept('end')
      ? { label: W.keptSo(W.done), sub: keptBy(answerOf(seen, 'end')), kept: kept('end'), off: true }
      : { label: W.endWait, off: !over || seen.state === 'blocked' });
    other.update({ gone: !running || Boolean(kept('end')) });
    if (running?.ask && !over && !offered) other.node.open = true;
    offered = Boolean(running?.ask);
  };
  return { node, update };
};

// --- sign: another person, or oneself after a break -------------------------------------------------------------------

const TYPED = '?';

const signers = ({ step, shared }) => {
  const looks = step.check.of.flatMap((path) => shared.state.steps[path]?.answers ?? []).filter((one) => one.kind === 'check' || one.kind === 'settle');
  const did = new Set(looks.map((one) => one.who));
  const left = selfCheckLeft(looks, step.check.self_check_after, shared.now);
  const free = shared.now + left * 1000;
  const others = shared.people.filter(({ initials }) => !did.has(initials));
  return {
    options: [
      { value: '', label: '–' },
      ...others.map(({ initials, name, role }) => ({ value: initials, label: `${initials}, ${name}${role === 'lead' ? ' (lead)' : ''}` })),
      ...left === 0 ? [...did].map((who) => ({ value: `self:${who}`, label: W.selfCheck(who) })) : [],
      { value: TYPED, label: W.otherPerson },
    ],
    later: left > 0 ? [...did].map((who) => W.selfLater(who, free)).join(' ') : '',
  };
};

const sign = ({ send }) => {
  const who = field({ name: 'who', label: W.signWho, type: 'select', options: [{ value: '', label: '–' }] });
  const typed = field({ name: 'initials', label: W.initials });
  const button = pressButton({
    attrs: { 'data-check': 'sign' },
    onPress: () => {
      const chosen = who.value() === TYPED ? typed.value().toUpperCase() : who.value();
      if (!chosen) return { kept: false, words: W.signNeeds };
      const self = chosen.startsWith('self:');
      return send('', { self }, chosen.replace('self:', ''));
    },
  });
  const note = make('p', { class: 'small' }, W.notBy);
  const later = make('p', { class: 'small' });
  const node = make('div', {}, note, later, who.node, typed.node, button.message, button.node);
  const draw = () => show(typed.node, who.value() === TYPED && !who.node.hidden);
  let view = null;
  const update = (next) => {
    view = next;
    const { seen, off, kept } = view;
    const given = answerOf(seen);
    const choice = signers(view);
    who.update({ options: choice.options });
    sayOrHide(later, kept('') ? '' : choice.later);
    show(who.node, !kept(''));
    show(note, !kept(''));
    draw();
    const name = who.value() && who.value() !== TYPED ? who.value().replace('self:', '') : '…';
    button.update(kept('')
      ? { label: W.keptSo(answer(given)), sub: keptBy(given), kept: kept(''), off: true }
      : { label: W.signAs(name), off });
  };
  who.box.addEventListener('change', () => update(view));
  return { node, update };
};

const KINDS = { tick, tighten, turn, measure, inspect, photo, wait, sign };

export const makeCheck = (about) => KINDS[about.step.check.kind](about);
