// The job's own "something else": what belongs to the whole job and to no single step.

import { own } from '../../base/own.js';
import { isWithin } from '../../journal/limits.js';
import { BOXES } from '../../quantities/ranges.js';
import { S } from '../../words/stops.js';
import { listsOf, otherBoxes, tradeOf } from '../../journal/trade.js';
import { optionsOf } from '../../words/trade.js';
import { OFFLINE, W, clock, day } from '../../words/words.js';
import { foldedForm, numberOf } from '../common/form.js';
import { odometerBox, odometerWrong } from '../common/odometer.js';
import { fold, keyed, make, say, sayOrHide, set, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';
import { updateBox } from '../list/news.js';

// What is counted: a whole number, one at least.
const isCount = (number) => isWithin(number, BOXES.pieces);
const COUNTED = { type: 'number', tests: () => [isCount] };

const counted = (text, keep) => {
  const count = numberOf(text);
  return isCount(count) ? keep(count) : { kept: false, words: W.needCount(W.count) };
};

const tookOff = (send, trade) => foldedForm({
  title: W.tookOff, action: 'took-off', keep: W.tookOffKeep,
  fields: [
    { name: 'label', label: W.what, required: true },
    { name: 'kind', label: W.kind, type: 'select', options: optionsOf(trade.kinds) },
    { name: 'count', label: W.count, ...COUNTED, required: true, value: '1' },
    ...trade.lists.length ? [{ name: 'list', label: S.list, type: 'select', options: optionsOf(trade.lists) }] : [],
  ],
  onKeep: ({ label, kind, count, list }) => counted(count, (n) => send({ kind: 'took-off', step: '', value: { label, kind, count: n, ...list && { list } } })),
});

// The last list that the first gate with lists asks about.
const usualList = (sheet) => {
  const asked = sheet.steps.find((step) => step.gate?.lists.length)?.gate.lists ?? [];
  const lists = listsOf(tradeOf(sheet));
  return lists.findLast((name) => asked.includes(name)) ?? lists[0];
};

// Where something taken off now most likely belongs: the list of what the stage in hand, or one before it, opens; else
// what the next gate asks about.
const listNow = (sheet, state) => {
  const { steps, items } = sheet;
  const at = Math.max(0, steps.findIndex(({ path }) => path === state.next));
  const stage = steps[at]?.stage ?? 0;
  const opened = steps.filter((step) => step.stage <= stage).flatMap(({ opens }) => opens.map(({ what }) => items[what]?.list)).filter(Boolean);
  const gate = steps.slice(at).find((step) => step.gate?.lists.length);
  const asked = gate?.gate.lists ?? [];
  const last = opened.at(-1);
  return asked.length && !asked.includes(last) ? asked.at(-1) : last ?? usualList(sheet);
};

// What the start says after a correction of one box, as the entry holds it. A box that is emptied is left out.
const correctedStart = (field, { to, unit, job, isOther }) => {
  if (!isOther) return [field, own({ odometer: { number: String(numberOf(to)), unit }, vin: to.toUpperCase() }, field) ?? to];
  const others = Object.entries(job?.more ?? {}).filter(([name]) => name !== field);
  return ['more', Object.fromEntries(to === '' ? others : [...others, [field, to]])];
};

const correctStart = (send, trade, units) => {
  let last = null;
  const others = otherBoxes(trade).map(({ name }) => name);
  const mayBeEmpty = trade.start.filter(({ name, optional }) => optional && name !== 'odometer').map(({ name }) => name);
  const made = foldedForm({
    title: S.correctTitle, action: 'correct', keep: S.correctKeep,
    pair: ['to', 'unit'],
    fields: [
      { name: 'field', label: S.correctWhat, type: 'select', options: S.correctFields(trade) },
      { name: 'to', label: S.correctTo, isNumber: ({ field }) => field === 'odometer', ...odometerBox(units) },
      { name: 'unit', label: W.unit, type: 'select', options: [{ value: 'km', label: 'km' }, { value: 'mi', label: 'mi' }] },
      { name: 'reason', label: S.correctReason, required: true },
    ],
    onKeep: ({ field, to, unit, reason }) => {
      const number = numberOf(to);
      const wrong = field === 'odometer' && (number === null ? S.correctNumber : odometerWrong(to, unit, units));
      if (wrong) return { kept: false, words: wrong };
      if (to === '' && !mayBeEmpty.includes(field)) return { kept: false, words: W.required(S.correctTo) };
      const [part, value] = correctedStart(field, { to, unit, job: last, isOther: others.includes(field) });
      return send({ kind: 'correct', step: '', part, value: { [part]: value, reason } });
    },
  });
  const [field, , unit] = made.fields;
  const draw = () => show(unit.node, field.value() === 'odometer');
  field.box.addEventListener('change', draw);
  const update = ({ job }) => {
    last = job;
    made.update({ gone: !job, fields: { unit: { value: job?.odometer?.unit } } });
    draw();
  };
  return { node: made.node, update };
};

const extra = (send) => foldedForm({
  title: W.extra, action: 'extra', keep: W.extraKeep,
  fields: [
    { name: 'label', label: W.what, required: true },
    { name: 'approved_by', label: W.approvedBy, required: true },
    { name: 'how', label: W.how, required: true },
    { name: 'price', label: W.price },
  ],
  onKeep: (value) => send({ kind: 'extra', step: '', value }),
});

const count = (send) => foldedForm({
  title: W.countTitle, action: 'count', keep: W.countKeep,
  fields: [{ name: 'item', label: W.what, type: 'select', options: [] }, { name: 'count', label: W.count, ...COUNTED, required: true }],
  onKeep: ({ item, count: text }) => counted(text, (n) => send({ kind: 'count', step: '', part: item, value: { count: n } })),
});

const decline = (send) => foldedForm({
  title: W.decline, action: 'decline', keep: W.declineKeep,
  fields: [{ name: 'reason', label: W.reason, required: true }],
  onKeep: (value) => send({ kind: 'decline', step: '', value }),
});

const passOn = (send) => foldedForm({
  title: W.passOn, action: 'pass-on', keep: W.passKeep,
  fields: [{ name: 'to', label: W.passTo, required: true }],
  onKeep: (value) => send({ kind: 'pass-on', step: '', value }),
});

const wipe = (forget) => foldedForm({
  title: W.wipeTitle, action: 'wipe', keep: W.wipeKeep,
  before: [make('p', { class: 'small' }, W.wipeSay)],
  fields: [{ name: 'job', label: W.wipeReason, required: true }],
  onKeep: ({ job }) => forget(job),
});

// What is to be shared is made when the line is opened: sharing must follow the tap at once.
const carrier = ({ prepare, hand }) => {
  const good = make('p', { class: 'message good', role: 'status' });
  const button = pressButton({
    attrs: { 'data-action': 'export' },
    look: 'small-press',
    onPress: async () => {
      const done = await hand();
      sayOrHide(good, own(W.exported, done) ?? '');
      return done ? null : { kept: false, words: W.exportFailed };
    },
  });
  button.update({ label: W.exportKeep });
  const node = fold({ class: 'form' }, W.exportTitle, make('div', { class: 'inside' }, good, button.message, button.node));
  node.addEventListener('toggle', () => node.open && prepare());
  return node;
};

const departures = () => {
  const none = make('p', { class: 'small' }, W.departuresNone);
  const list = make('ul', { class: 'changes' });
  const draw = keyed(list, () => {
    const node = make('li');
    return { node, update: (text) => say(node, text) };
  });
  const node = fold({ class: 'form' }, W.departures, none, list);
  const update = ({ shared }) => {
    const lines = shared.journal.departures();
    show(none, lines.length === 0);
    draw(lines.map(({ id, text }) => [id, text]));
  };
  return { node, update };
};

// Anything that was said can be taken back; what was answered at a step is taken back there.
const deeds = (send) => {
  const list = make('div');
  const draw = keyed(list, (id) => {
    const button = pressButton({
      attrs: { 'data-action': 'take-back' },
      look: 'small-press plain-press',
      onPress: () => send({ kind: 'take-back', step: '', value: { reason: '' }, seen: [id] }),
    });
    const node = make('div', {}, button.message, button.node);
    return { node, update: ({ text, by }) => button.update({ label: W.takeBackSay(text), sub: by }) };
  });
  const node = fold({ class: 'form' }, W.deeds, make('div', { class: 'inside' }, list));
  let last = null;
  const fill = () => draw(last.journal.deeds().map((deed) => [deed.id, deed]));
  node.addEventListener('toggle', () => node.open && fill());
  const update = ({ shared }) => {
    last = shared;
    if (node.open) fill();
  };
  return { node, update };
};

// What counts for nothing is still kept, and said.
const oddities = () => {
  const lines = ['unknown', 'gone', 'inert'].map((name) => [name, make('p', { class: 'small' })]);
  const node = make('div', {}, lines.map(([, line]) => line));
  const words = { unknown: W.unknownKinds, gone: W.gone, inert: W.closedNothing };
  const update = ({ state }) => {
    // What a result keeps open is said at its step.
    const held = Object.values(state.steps).filter(({ why }) => why.some(({ code }) => code === 'result')).flatMap(({ answers }) => answers.map(({ id }) => id));
    for (const [name, line] of lines) {
      const { length } = own(state, name).filter((id) => !held.includes(id));
      sayOrHide(line, length ? own(words, name)(length) : '');
    }
  };
  return { node, update };
};

/** jobMenu({sheet, send, carry, forget, renew, whoFold, home}) -> {node, update({state, sheet, shared, offline})}. renew() takes a new version. */
export const jobMenu = ({ sheet: first, send: keep, carry, forget, renew, whoFold, home }) => {
  const trade = tradeOf(first);
  const send = async (verb) => {
    const answer = await keep(verb);
    if (isDone(answer) && !answer.words) node.open = false;
    return answer;
  };
  const facts = make('p', { class: 'small' });
  const device = make('p', { class: 'small' });
  const newer = updateBox({ update: renew });
  const took = tookOff(send, trade);
  const added = extra(send);
  const corrected = count(send);
  const passed = passOn(send);
  const declined = decline(send);
  const wiped = wipe(forget);
  const left = departures();
  const said = deeds(send);
  const odd = oddities();
  const start = correctStart(send, trade, first.units);
  const torques = make('a', { class: 'row' }, W.torqueSheet);
  const panel = make(
    'div', { class: 'panel' }, facts, device, newer.node, whoFold, took.node, added.node, corrected.node, start.node, left.node, said.node, passed.node, carrier(carry), declined.node,
    make('p', {}, torques),
    make('p', {}, make('a', { class: 'row', href: home }, W.allJobs)), wiped.node, odd.node,
  );
  const node = make('details', { class: 'drop' }, make('summary', {}, W.jobMenu), panel);
  const update = ({ state, sheet, shared, offline }) => {
    const { job } = state;
    set(torques, 'href', new URL(`../w/${encodeURIComponent(sheet.worksheet)}/torque/`, home).href);
    show(torques, Boolean(sheet.wrenches)); // a worksheet from before there were any has no such page
    say(device, offline.replaced ? W.otherTab : OFFLINE[offline.state] ?? '');
    newer.update({ isOffered: offline.state === 'update-waiting', news: offline.news ?? null });
    say(facts, W.jobFacts(job, sheet, job ? `${day(job.started_at)} ${clock(job.started_at)}` : ''));
    corrected.update({ gone: Boolean(state.declined), fields: { item: { options: Object.entries(state.items).map(([value, { label, count: n }]) => ({ value, label: `${label} (${n})` })) } } });
    took.update({ gone: Boolean(state.declined), fields: { list: { value: listNow(sheet, state) } } });
    added.update({ gone: Boolean(state.declined) });
    start.update({ job });
    declined.update({ gone: Boolean(state.declined) });
    left.update({ shared });
    said.update({ shared });
    odd.update({ state });
  };
  return { node, update };
};
