// A value with the place it was read, or the box that asks for both. The tool never shows one without the other.

import { dict, own } from '../../base/own.js';
import { figureBase } from '../../journal/figures.js';
import { isPossible, isWithin, says } from '../../journal/limits.js';
import { criticalValues, isSameReading } from '../../journal/second.js';
import { LEAST_SAID } from '../../journal/tables.js';
import { leadsOf, tradeOf } from '../../journal/trade.js';
import { shown, toBase } from '../../quantities/formula.js';
import { quantityOf, stagesOf } from '../../quantities/quantity.js';
import { VALUES } from '../../quantities/ranges.js';
import { bandOf, doubtOf, oddTurn, outside, pullOf, roughly, roughlyBeside, slipsOf } from '../../quantities/torque.js';
import { MOST_MEANT } from '../../quantities/torque_trees.js';
import { UNITS, W, answer, figureSaid, gaugeSaid, keptBy, said, source, unitOnFace, unitSaid } from '../../words/words.js';
import { unitsFor } from '../common/figures.js';
import { foldedForm, form, numberOf } from '../common/form.js';
import { flag, keyed, make, say, sayOrHide, set, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';
import { surePanel } from '../common/sure.js';
import { otherPerson } from './other_person.js';

const PLAIN_TORQUE = 'N.m';
const SHORT = 18; // characters of a value that stands beside its label; a longer one stands below it
const unitsOf = (about, sheet) => (about.units?.length ? unitsFor({ kind: about.kind, units: about.units }, sheet) : UNITS[about.kind] ?? []);

// What the number of a value can be: within the band of its bolt, else possible at all.
const numberBox = (about, { units }) => ({
  unit: ({ unit }) => unit ?? '',
  tests: ({ unit = '' }) => {
    const inBand = (number) => {
      const base = figureBase(units, number, unit, about.kind);
      return base !== null && outside(base, about.band) === null;
    };
    const possible = (number) => !about.limits || isPossible(units ?? dict(), about, { number, unit });
    return about.band ? [inBand, possible] : [possible];
  },
});

// Of these nothing is a figure like another: a depth of 0 mm may be off by 0.2 mm, 0 °C by 3 K.
const WITHOUT_SIZE = new Set(['length', 'temperature', 'share', 'number']);

// A tolerance is more than nothing, and less than a figure that has a size.
const isMargin = (margin, number, kind) => margin > 0 && (WITHOUT_SIZE.has(kind) || !(number > 0) || margin < number);
const marginBox = ({ kind }) => ({
  unit: ({ unit }) => unit ?? '', tests: ({ number }) => [(margin) => isMargin(margin, numberOf(number ?? ''), kind)],
});

const boxesOf = (about, sheet) => {
  const { kind } = about;
  const units = unitsOf(about, sheet);
  if (!units.length) return [{ name: 'text', label: W.value, required: true }];
  return [
    { name: 'number', label: `${W.value}${gaugeSaid(kind)}`, type: 'number', required: true, ...numberBox(about, sheet) },
    ...units[0] === '' ? [] : [{ name: 'unit', label: W.unit, type: 'select', options: units.map((unit) => ({ value: unit, label: unitOnFace(unit) })) }],
    ...kind === 'torque' ? [{ name: 'then', label: W.thenTurn }] : [],
    ...about.asks_margin ? [{ name: 'margin', label: W.margin, type: 'number', required: true, ...marginBox(about) }] : [],
  ];
};

const whereBoxes = ({ class: rank, of_the_day: isOfTheDay }) => [
  ...rank === 'critical' || isOfTheDay ? [] : [{ name: 'not_published', label: W.notPublished, type: 'checkbox' }],
  { name: 'document', label: isOfTheDay ? W.readOn : W.document, required: true },
  { name: 'where', label: isOfTheDay ? W.readWhere : W.place, required: true },
];

// How far off a temperature may be is a difference; off a gauge's figure, a plain pressure.
const marginOf = (number, unit) => {
  if (unit === 'degC' || unit === 'degF') return { number: unit === 'degF' ? (number * 5) / 9 : number, unit: 'K' };
  return { number, unit: unit.replace(/\((g|vac)\)$/, '') };
};

/** What the boxes of a value say, in the shape of a `read` entry. */
export const readingOf = ({ number, unit, then, margin, text, not_published: none, document, where }) => {
  const given = text !== undefined ? { text }
    : then ? { text: `${numberOf(number)} ${unit} then ${then}` }
      : unit === undefined ? { text: String(numberOf(number)) } : { number: numberOf(number), unit };
  const off = margin ? { margin: marginOf(numberOf(margin), unit ?? '') } : {};
  return none ? { ...given, not_published: true } : { ...given, ...off, source: { document, where } };
};

// A torque beside a band that it lies outside of: in N.m too where it has another unit, so fine that it is not an end.
const figureBeside = (pull, band) => {
  const figure = said(`${pull.number} ${pull.unit}`);
  return pull.unit === PLAIN_TORQUE ? figure : W.alsoNewton(figure, roughlyBeside(pull.base, band));
};

const bandFacts = (about, { figure, side, band }) => ({
  figure, side, about, of: band.by, low: roughly(band.low), high: roughly(band.high),
});

// What is odd about a torque that was read on the phone: never another number, only what may have been meant. A torque
// before an angle says nothing of its bolt; the angle is looked at.
const oddTorque = (about, text, sheet) => {
  const pull = sheet.units ? pullOf(text, sheet.units) : null;
  const turn = pull && oddTurn(pull, about);
  if (turn) return W.turnSaid({ ...turn, about });
  const band = bandOf(about);
  const side = pull && band && !pull.then ? outside(pull.base, band) : null;
  if (!side) return '';
  const slips = slipsOf(pull, band, { units: sheet.units, names: about.units });
  return W.oddTorque({
    ...bandFacts(about, { figure: figureBeside(pull, band), side, band }),
    slips: slips.map((one) => W.slip({ ...one, figure: said(`${one.number} ${one.unit}`), newton: roughly(one.base) })),
    unjudged: about.unjudged ?? null, casting: about.engaged ? '' : about.into ?? '',
  });
};

const rangeSaid = ({ low, high, above, whole, of = [] }, unit, sheet) => {
  const known = own(sheet.units, unit);
  const [from, to] = [low, high].map((base) => (known ? shown(base, known) : String(base)));
  return { from, to, unit: unitSaid(unit), above, whole, of };
};

// The angle that is pulled after a torque.
const isTurn = (units) => (text) => {
  const turn = quantityOf(text);
  const base = turn ? figureBase(units, turn.figure, turn.unit, 'angle') : null;
  return base !== null && isWithin(base, VALUES.angle);
};

/** Why what was typed can't be kept, with what to write; null where it can. `unit` is the one beside the figure. */
export const refusalOf = (about, value, { number, unit = '', then, margin }, sheet) => {
  const empty = value.not_published === true ? null : Object.entries(LEAST_SAID).find(([key, least]) => !says(own(value.source, key), least))?.[0];
  if (empty) return own(W.saysNothing, empty);
  const units = sheet.units ?? {};
  if (margin && !isMargin(numberOf(margin), numberOf(number), about.kind)) return W.marginCannotBe;
  if (then && !stagesOf(then).every(isTurn(units))) return W.turnCannotBe;
  if (!about.limits || isPossible(units, about, value)) return null;
  const figure = numberOf(number);
  if (figure !== null && isPossible(units, about, { number: figure, unit })) return W.turnCannotBe;
  return W.cannotBe(figureSaid(figure, unit), rangeSaid(about.limits, unit, sheet));
};

// Why it is asked: what such a bolt takes, what the sheet gives, what the other bolts have, or the unit.
const expectedSaid = (about, sheet, { given, side, expected, turn }) => {
  const { low, high, by, of, least, most } = expected ?? {};
  if (turn) return W.turnSaid({ ...turn, about });
  if (!side) return W.unitUnused(unitSaid(given.unit));
  if (by === 'band') {
    const band = { low, high, by: of };
    const beside = figureBeside({ ...given, base: toBase(given.number, own(sheet.units, given.unit)) }, band);
    return [W.bandSaid(bandFacts(about, { figure: beside, side, band })), ...about.unjudged ?? []].join(' ');
  }
  if (by === 'given') return W.givenSaid(said(about.text ?? `${about.number.number} ${about.number.unit}`), tradeOf(sheet).sheet);
  return W.othersSaid(roughly(least), roughly(most));
};

// While a torque is typed: the same caution as afterwards, beside the figure, unless it is being asked about.
const oddLine = ({ about, sheet, box }) => {
  const node = make('p', { class: 'warn', role: 'status' });
  const typed = () => {
    const [number, unit, then] = ['number', 'unit', 'then'].map((wanted) => box(wanted)?.value() ?? '');
    return `${number} ${unit}${then && ` then ${then}`}`;
  };
  const look = (isAsked) => {
    if (about.band || about.turn) sayOrHide(node, isAsked || !box('number') ? '' : oddTorque(about, typed(), sheet));
  };
  const place = (isAsked) => {
    sayOrHide(node, '');
    if (!(about.band || about.turn) || !box('number')) return;
    box('number').node.parentNode.after(node);
    for (const one of ['number', 'unit', 'then']) box(one)?.box.addEventListener('input', () => look(isAsked()));
  };
  return { look, place };
};

// A form that keeps what was read: refused where it cannot be, asked about where it is odd. `wrong()` says what is missing besides;
// valueOf(values) makes the entry's value, put(value) keeps it.
const typedForm = ({ name, about, sheet, makeForm, wrong = () => null, valueOf, put, ...form }) => {
  let isSure = false;
  let isAsked = false;
  const read = makeForm({
    ...form,
    pair: ['number', 'unit'],
    action: 'read',
    onKeep: async (values) => {
      const value = valueOf(values);
      const words = wrong() ?? refusalOf(about, value, values, sheet);
      if (words) return { kept: false, words };
      const doubt = isSure || about.kind !== 'torque' ? null : doubtOf(value.text ?? `${value.number} ${value.unit}`, { name, about, sheet });
      if (doubt) return ask(doubt);
      const answer = await put(isSure ? { ...value, sure: true } : value);
      if (isDone(answer)) ask(null);
      return answer;
    },
  });
  const box = (wanted) => read.fields.find((one) => one.name === wanted);
  const odd = oddLine({ about, sheet, box });
  const write = ({ number, unit }) => {
    box('number').box.value = String(number);
    box('unit').box.value = unit;
    ask(null);
    box('number').box.focus({ preventScroll: true });
  };
  // Nothing typed is lost while it is asked; a yes keeps the same boxes.
  const keepSure = async () => {
    isSure = true;
    try {
      return await read.press();
    } finally {
      isSure = false;
    }
  };
  const panel = surePanel({ write, keep: keepSure });
  const ask = (doubt) => {
    show(panel.node, Boolean(doubt));
    set(read.node, 'data-asked', Boolean(doubt));
    show(read.button.node, !doubt);
    isAsked = Boolean(doubt);
    odd.look(isAsked);
    if (!doubt) return null;
    panel.update({ given: doubt.given, others: doubt.slips.slice(0, MOST_MEANT), range: expectedSaid(about, sheet, doubt) });
    panel.node.scrollIntoView?.({ block: 'nearest' });
    return null;
  };
  read.button.node.after(panel.node);
  for (const { box: each } of about.kind === 'torque' ? read.fields : []) each.addEventListener('input', () => ask(null));
  odd.place(() => isAsked);
  ask(null);
  return { ...read, lookAtIt: () => odd.look(isAsked) };
};

// Why a value is missing, and where to read it.
const missingSaid = (about, sheetWord) => (
  about.of_the_day ? W.unreadSay(about.missing) : W.missingSay(about.text ? W.noSourceFor(about.text, sheetWord) : about.missing, sheetWord)
);

// The boxes stand open while the value is missing; afterwards they lie behind a line that corrects it.
const reader = (name, about, { sheet, send }) => {
  const read = typedForm({
    name, about, sheet, makeForm: foldedForm, title: W.correctValue, keep: W.keepValue,
    fields: [...boxesOf(about, sheet), ...whereBoxes(about)],
    valueOf: readingOf,
    put: (value) => send({ kind: 'read', part: name, value }),
  });
  const none = read.fields.find((one) => one.name === 'not_published');
  const hide = () => {
    for (const one of read.fields) if (['document', 'where'].includes(one.name)) show(one.node, !none?.value());
  };
  none?.box.addEventListener('change', hide);
  let wasAsked = null;
  const update = ({ document, state }) => {
    const isAsked = state.missing && !state.waits;
    read.update({ fields: { document: { value: document } }, gone: !state.missing && !state.filled });
    hide();
    read.lookAtIt();
    show(read.node.firstElementChild, !isAsked);
    if (isAsked !== wasAsked) read.node.open = isAsked;
    wasAsked = isAsked;
  };
  return { node: read.node, update };
};

// A second person types the figure again, without the first one in sight; words are read against the page. What differs is
// another answer, so it does not name the first.
const secondReader = (name, about, { sheet, send }) => {
  const boxes = boxesOf(about, sheet);
  const isTyped = boxes[0].name === 'number';
  const ask = make('p', { class: 'ask' });
  const told = make('p', {}, make('b'));
  const other = otherPerson({ label: W.secondWho, needs: W.secondNeeds, same: W.secondOther });
  let first = null;
  let waits = [];
  const again = (values) => {
    const { second, sure, ...same } = first.value;
    return isTyped ? readingOf({ ...values, ...first.value.source }) : same;
  };
  const put = async (value) => {
    const { who, self } = other.chosen();
    const isSame = isSameReading(value, first.value);
    const answer = await send({
      kind: 'read', part: name, who, value: isSame ? { ...value, second: { self } } : value, ...isSame ? {} : { apart: waits.map(({ id }) => id) },
    });
    if (isDone(answer)) other.clear();
    return answer;
  };
  const read = typedForm({
    name, about, sheet, makeForm: form, fields: isTyped ? boxes : [], keep: isTyped ? W.secondKeep : W.secondSame,
    before: [ask, told], wrong: () => other.chosen().words ?? null, valueOf: again, put,
  });
  read.button.message.before(...other.nodes);
  const update = ({ state, shared: { sheet: { shop: { people } }, now, journal: { entryOf } } }) => {
    ({ waits } = state);
    first = entryOf(waits[0].id);
    set(read.node, 'data-second', waits[0].who);
    say(ask, W.secondSay(first, source(first.value.source)));
    show(told, !isTyped);
    if (!isTyped) say(told.firstElementChild, W.secondText(first.who, answer({ ...first, kind: 'read' })));
    other.update({ did: waits, after: sheet.second_reader, people, leads: leadsOf(sheet), now });
    read.lookAtIt();
  };
  return { node: read.node, update };
};

const settler = (name, send) => (key) => {
  let given;
  const button = pressButton({
    attrs: { 'data-action': 'settle' },
    look: 'small-press plain-press',
    onPress: () => send({ kind: 'settle', step: '', part: name, value: given }),
  });
  const node = make('div', { 'data-key': key }, button.message, button.node);
  const update = (entry) => {
    given = entry.value;
    button.update({ label: W.settle(answer(entry), keptBy(entry)), sub: source(entry.value.source) });
  };
  return { node, update };
};

const reuseSaid = ({ reuse, kind }, again) => {
  if (!reuse || kind !== 'torque') return '';
  return again && reuse === 'no' ? W.reuseAgain : own(W.reuse, reuse);
};

const offSaid = ({ tolerance }, { margin }) => {
  if (margin) return `± ${margin.number} ${unitOnFace(margin.unit)}`;
  return tolerance && `± ${tolerance.replace(/^±\s*/, '')}`;
};

const boltSaid = ({ thread, grade, into, engaged, condition, head, grip }) => [
  thread && W.thread(thread, grade), head && own(W.head, head), into && W.into(into, engaged), condition && own(W.condition, condition),
  grip && W.grip(grip),
];

// An angle stage of a bolt that nobody can judge says so.
const angleSaid = (about, { text }) => (
  about.thread && about.unjudged && !about.turn && text?.includes(' then ') ? W.angleUnjudged : ''
);

// A critical value that the sheet gives, and that one person read.
const isReadOnce = (about, { filled, source: from }) => about.class === 'critical' && !filled && Boolean(from) && !from.checked_by;

const facts = (about, state, again) => [...boltSaid(about), offSaid(about, state), angleSaid(about, state), reuseSaid(about, again)].filter(Boolean).join(' · ');

/**
 * valueBlock(name, about, {sheet, send}) -> {node, update({state, document, answers, shared, main, told, again})}. `about` is the sheet's value;
 * `main` shows it as the big figure; `told` says that the step's text holds it already, so that only its source is added.
 */
export const valueBlock = (name, about, { sheet, send }) => {
  const figure = make('p', { class: 'figure' });
  const from = make('p', { class: 'source', 'data-source': true });
  const more = make('p', { class: 'more' });
  const ask = make('p', { class: 'source' });
  const odd = make('p', { class: 'warn', role: 'status' });
  const box = reader(name, about, { sheet, send });
  const two = make('div');
  const drawTwo = keyed(two, settler(name, send));
  const twoSay = make('p', { class: 'message', role: 'status' });
  const { sheet: sheetWord, whole } = tradeOf(sheet);
  const twoWords = sheet.second_reader && criticalValues(sheet).has(name) ? W.twoReadings : W.twoAnswers(whole);
  const secondPlace = make('div');
  let second = null;
  const node = make('div', { class: 'value', 'data-value': name }, make('p', { class: 'label' }, about.label), figure, from, more, odd, ask, twoSay, two, secondPlace, box.node);
  // Made when it is asked for, and gone with that: nothing of one reading is left for the next.
  const drawSecond = (state, shared) => {
    if (!state.waits) {
      second?.node.remove();
      second = null;
      return;
    }
    if (!second) {
      second = secondReader(name, about, { sheet, send });
      secondPlace.append(second.node);
    }
    second.update({ state, shared });
  };
  const update = ({ state, document, answers, shared, main, told, again, isUnkept }) => {
    const text = said(state.text ?? '');
    set(node, 'data-missing', state.missing);
    flag(node, 'lesser', !main);
    flag(node, 'told', told && !state.missing);
    flag(node, 'in-words', text.length > SHORT);
    sayOrHide(figure, text);
    if (told) show(figure, false);
    const origin = [state.not_published ? W.ownTable : source(state.source), state.second && W.readers(state.second), isReadOnce(about, state) && W.readOnce, state.sure && W.askedSure].filter(Boolean).join(' · ');
    sayOrHide(from, state.missing ? '' : isUnkept ? W.unkeptSo(origin) : origin);
    flag(from, 'unkept', isUnkept && !state.missing);
    set(from, 'data-source', !state.missing);
    sayOrHide(more, facts(about, state, again));
    sayOrHide(odd, state.filled ? oddTorque(about, state.text, sheet) : state.missing ? '' : about.doubt ?? '');
    sayOrHide(ask, state.missing && !state.disputed && !state.waits ? missingSaid(about, sheetWord) : '');
    sayOrHide(twoSay, state.disputed ? twoWords : '');
    drawTwo((state.disputed ? answers : []).map((entry) => [entry.id, entry]));
    drawSecond(state, shared);
    box.update({ document, state });
  };
  return { node, update };
};

/**
 * stepValues({step, sheet, send}) -> {nodes, update(view)}: the values a step uses. One big number: a bolt's stands on its
 * own control, a wait's here. What the step's text already says is not said twice, and what only a result needs stands in
 * the result's working, unless the step names it as what the sheet says.
 */
export const stepValues = ({ step, sheet, send }) => {
  const said = new Set(step.says);
  const told = new Set(step.do.filter((part) => part.v && !said.has(part.v)).map((part) => part.v));
  const byResult = new Set((sheet.results ?? []).filter(({ name }) => step.shows?.includes(name)).flatMap(({ inputs }) => inputs));
  const isTimed = (name) => step.check.kind === 'wait' && [step.check.value, step.check.every_value].includes(name);
  const isInWorking = (name, { missing, filled }) => byResult.has(name) && !missing && !filled && !told.has(name) && !said.has(name) && !isTimed(name);
  const blocks = step.values.map((name) => ({
    name,
    main: name === step.check.value && step.check.kind === 'wait' && !step.shows?.length && !step.check.watch,
    block: valueBlock(name, sheet.values[name], { sheet, send }),
  }));
  const update = ({ seen, shared }) => {
    const { state, saved, journal: { document, readingsOf, loosenedAgain } } = shared;
    const runs = seen.state === 'waiting'; // then what is left of it is the big number
    const again = loosenedAgain(step.path);
    for (const { name, main, block } of blocks) {
      show(block.node, !isInWorking(name, state.values[name]));
      block.update({ state: state.values[name], document, answers: readingsOf(name), shared, main: main && !runs, told: told.has(name) && !main, again, isUnkept: saved.isUnkept('read', name) });
    }
  };
  return { nodes: blocks.map(({ block }) => block.node), update };
};
