// One procedure's arithmetic without a job, in the order of the work at the car: each box comes before the first result
// that needs it, and the results change while a person types.

import { dict, own, table } from '../base/own.js';
import { BOXES, VALUES } from '../quantities/ranges.js';
import { W, dateSaid, figureSaid, source } from '../words/words.js';
import { isExpected, meantBy, typedBox } from './checks/reading.js';
import { figuresOf } from './common/figures.js';
import { field } from './common/form.js';
import { flag, fold, make, say, sayOrHide, set, show } from './common/nodes.js';
import { stepResults } from './step/result.js';

const STEP = 'step:';
const TOLERANCE = '.tolerance';
const PLAIN = table({ temperature: 'warmth', gauge: 'pressure', vacuum: 'pressure' });
const valueOf = (name) => name.replace(TOLERANCE, '');
// What a tolerance and what the shop and the job give can be, in base units.
const WIDTHS = { low: 0, high: Number.MAX_VALUE, above: true, whole: false };
const GIVENS = table({ odometer: BOXES.odometer, shop_altitude: BOXES.altitude, shop_coldest: BOXES.coldest });

// --- what stands on the page, in which order ----------------------------------------------------------------------------

// Names and findings of a formula, from left to right.
const mentioned = (tree) => {
  if (!Array.isArray(tree)) return [];
  const [op, ...parts] = tree;
  if (op === 'name') return [parts[0]];
  return op === 'found' ? [STEP + parts[0]] : parts.flatMap(mentioned);
};

const neededBy = ({ tree, limits, inputs }) => [...mentioned(tree), ...limits.flatMap(({ when }) => mentioned(when)), ...inputs];

/** flowOf(group) -> [{box: name} | {result}]: each box once, before the first result that needs it. */
const flowOf = (group) => {
  const met = new Set(group.results.map(({ name }) => name));
  return group.results.flatMap((result) => {
    const boxes = [...new Set(neededBy(result))].filter((name) => !met.has(name));
    boxes.forEach((name) => met.add(name));
    return [...boxes.map((box) => ({ box })), { result }];
  });
};

const unitsOf = (kind, units) => Object.keys(units).filter((unit) => units[unit].kind === kind);

/** readingFor(group, name): whatever has a number, in the shape of a reading. */
export const readingFor = (group, name) => {
  const value = own(group.values, valueOf(name));
  if (value && name.endsWith(TOLERANCE)) {
    const kind = PLAIN[value.kind] ?? value.kind;
    return { label: W.toleranceOf(value.label), kind, units: unitsOf(kind, group.units), limits: WIDTHS };
  }
  if (value) {
    const { label, kind, units, unit, from = null, to = null } = value;
    return { label, kind, units, unit, from, to, limits: own(VALUES, kind) };
  }
  const given = own(group.givens, name);
  return own(group.readings, name) ?? (given && { ...given, units: unitsOf(given.kind, group.units), limits: own(GIVENS, name) });
};

// One big number where a job would stop and look. Without a stop, the one that says good or bad.
const mainOf = (results) => {
  const stops = results.some(({ hold }) => hold);
  return ({ hold, limits }) => (stops ? hold : limits.length > 0);
};
const NONE = '';

// --- boxes --------------------------------------------------------------------------------------------------------------

const isSame = (a, b) => (a && b ? a.number === b.number && a.unit === b.unit : Boolean(a) === Boolean(b));

const originOf = ({ from, source: read }) => (from === 'sheet' ? source(read) : W.ofTheShop);
const figureOf = ({ number, unit }) => figureSaid(number, unit);

const saysOf = (said) => (
  said.from === 'sheet' ? W.calcSheetSays(figureOf(said), source(said.source)) : W.calcShopSays(figureOf(said))
);

// Where the figure in a box is from. What the sheet says stays in view when another figure is typed.
const fromSaid = ({ figure, said, isReading, isLacking, label }) => {
  if (isReading) return '';
  if (figure && figure.from === said?.from) return said.from === 'sheet' ? source(said.source) : W.calcOfShop;
  if (figure?.from === 'worked') return W.calcWorked(figureOf(figure), label(figure.by));
  const beside = said ? saysOf(said) : isLacking ? W.calcLacks : '';
  return [figure ? W.calcTyped : '', beside].filter(Boolean).join(' ');
};

/** A number with its unit, or a date, and below it where it is from. What a person types is never overwritten
 * meanwhile. */
const figureBox = ({ name, reading, sheet, give, giveBack }) => {
  const typed = typedBox(reading, sheet);
  const odd = make('p', { class: 'message', role: 'status' });
  const from = make('p', { class: 'small' });
  const back = make('button', { type: 'button', class: 'small-press plain-press', onclick: () => giveBack(name) });
  const node = make('div', { class: 'field reading', 'data-field': name }, ...typed.nodes, odd, from, back);
  const sayOdd = () => {
    const given = typed.read();
    const others = given && !isExpected(given, reading, sheet) ? meantBy(given, reading, sheet) : null;
    const meant = others?.length ? W.sureMeant(others.map(figureOf)) : '';
    sayOrHide(odd, others ? [W.sureTitle(figureOf(given)), meant].filter(Boolean).join('. ') : '');
  };
  for (const { box } of typed.boxes) {
    box.addEventListener(box.matches('select') ? 'change' : 'input', () => {
      show(odd, false);
      give(name, typed.read());
    });
    box.addEventListener('change', () => {
      sayOdd();
      typed.asks();
    });
  }
  // If what is being typed reads the same as the figure, it is left alone; so is what is no number yet.
  const put = (figure, isTyped) => {
    if (isSame(figure, typed.read()) && (figure || isTyped)) return;
    if (figure) typed.write(figure);
    else typed.clear();
    sayOdd();
    typed.asks();
  };
  const update = ({ figure, said, isTyped, ...about }) => {
    put(figure?.from === 'worked' ? null : figure, isTyped);
    const isSaid = figure !== null && figure.from === said?.from;
    set(from, 'data-source', isSaid && said.from === 'sheet');
    sayOrHide(from, fromSaid({ figure, said, ...about }));
    show(back, said && !isSaid);
    if (said) say(back, W.calcBack(figureOf(said)));
  };
  return { node, update };
};

const findingBox = ({ finding, find }) => {
  const options = [{ value: '', label: W.notKnown }, ...finding.outcomes.map(({ name, label }) => ({ value: name, label }))];
  const box = field({ name: finding.step, label: finding.label, type: 'select', options });
  box.box.addEventListener('change', () => find(finding.step, box.value()));
  const update = (outcome) => {
    if (box.value() !== outcome) box.box.value = outcome;
  };
  flag(box.node.firstElementChild, 'label', true);
  return { node: make('div', { class: 'reading' }, box.node), update };
};

const todayLine = () => {
  const day = make('b');
  return { node: make('p', { class: 'ground' }, W.calcToday, ': ', day), update: ({ number }) => say(day, dateSaid(number)) };
};

/** engineChoice({engines, noun, choose}) -> {node, update(id)}. */
export const engineChoice = ({ engines, noun, choose }) => {
  const options = [{ value: '', label: W.calcNoEngine(noun) }, ...engines.map(({ id, title }) => ({ value: id, label: title }))];
  const box = field({ name: 'engine', label: W.calcEngine(noun), type: 'select', options });
  box.box.addEventListener('change', () => choose(box.value()));
  const update = (id) => {
    if (box.value() !== id) box.box.value = id;
  };
  return { node: box.node, update };
};

export const pressEmpty = ({ empty }) => make('button', { type: 'button', class: 'small-press plain-press', onclick: empty }, W.calcEmpty);

export const unread = () => make('p', { class: 'note', role: 'alert' }, W.calcUnread);

// --- one group ----------------------------------------------------------------------------------------------------------

// What the result blocks of a job ask, answered without one.
const sharedBy = ({ group, sheet, results, figures, found }) => {
  const findings = new Map(group.findings.map((finding) => [finding.step, finding]));
  const state = { results, readings: dict(), values: dict(), steps: dict(), job: null };
  const number = (step) => `“${findings.get(step)?.label ?? step}”`;
  const stepOf = (step) => ({ check: { outcomes: findings.get(step)?.outcomes ?? [] } });
  const base = figuresOf({ state, sheet, number, stepOf, typed: (name) => own(figures, name) });
  const isFinding = (name) => name.startsWith(STEP);
  const outcome = (name) => {
    const step = name.slice(STEP.length);
    return findings.get(step)?.outcomes.find((one) => one.name === found[step])?.label ?? null;
  };
  const label = (name) => {
    if (name === 'today') return W.calcToday;
    return isFinding(name) ? findings.get(name.slice(STEP.length))?.label ?? name : base.label(name);
  };
  const text = (name) => {
    if (base.result(name)) return base.text(name);
    if (isFinding(name)) return outcome(name);
    const figure = own(figures, name);
    return figure && figureOf(figure);
  };
  const origin = (name) => {
    const figure = own(figures, name);
    if (base.result(name) || figure?.from === 'worked') return W.workedOut;
    if (!figure || name === 'today') return '';
    return figure.from === 'typed' ? W.calcTyped : originOf(figure);
  };
  // Every box comes before the result that needs it, and no step takes a reading here.
  const kindOf = (name) => (base.result(name) ? 'result' : 'box');
  const named = { ...base, kindOf, label, text, origin, taker: () => null, isTwoAnswers: () => false };
  const called = { figures: named, number, stepOf, shown: (name) => text(name) ?? `[${label(name)}]` };
  return {
    state, sheet, look: () => {}, names: called,
    journal: { stepUsing: () => null, readingsOf: () => [], document: '' },
  };
};

/** calculator({group, shop, give, giveBack, find}) -> {node, update({figures, results, found, engine, said, typed})}. */
export const calculator = ({ group, shop, give, giveBack, find }) => {
  const sheet = { ...group, results: group.results, shop, steps: [] };
  const findings = new Map(group.findings.map((finding) => [finding.step, finding]));
  const boxes = [];
  const blocks = [];
  const boxOf = (name) => {
    const finding = name.startsWith(STEP) ? findings.get(name.slice(STEP.length)) : null;
    const reading = readingFor(group, name);
    if (name === 'today') return [todayLine(), ({ figures }) => figures.today];
    if (finding) return [findingBox({ finding, find }), ({ found }) => found[finding.step] ?? ''];
    if (!reading) return null;
    const isReading = own(group.readings, name) !== null;
    const isOfSheet = own(group.values, valueOf(name)) !== null;
    return [figureBox({ name, reading, sheet, give, giveBack }), ({ figures, engine, said, typed }, { label }) => (
      { figure: own(figures, name), said: said(name), isTyped: Object.hasOwn(typed, name), isReading, isLacking: isOfSheet && engine !== null, label }
    )];
  };
  const isMain = mainOf(group.results);
  // The first result that a step shows is the big one.
  const showing = (result) => (isMain(result) ? [result.name] : [NONE, result.name]);
  const resultOf = (result) => stepResults({ step: { path: '', values: Object.keys(group.values), shows: showing(result) }, sheet });
  const nodes = flowOf(group).flatMap(({ box, result }) => {
    if (result) {
      const block = resultOf(result);
      blocks.push(block);
      return block.nodes;
    }
    const made = boxOf(box);
    if (made) boxes.push(made);
    return made ? [made[0].node] : [];
  });
  const inside = make('div', { class: 'inside' }, make('p', { class: 'word' }, W.calcFrom(group.procedure)), ...nodes);
  const node = fold({ class: 'form', 'data-group': group.id }, group.title, inside);
  const update = (now) => {
    const shared = sharedBy({ group, sheet, ...now });
    for (const [box, of] of boxes) box.update(of(now, shared.names.figures));
    for (const block of blocks) block.update({ shared });
  };
  return { node, update };
};
