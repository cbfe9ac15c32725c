// Whatever has a name in a worksheet's text and formulas: values, readings, results, what the shop and the job give.
// What each is called, what it is now, where it is from. Pure.

import { own, table } from '../../base/own.js';
import { jobDay, typedIn } from '../../journal/figures.js';
import { toBase } from '../../quantities/formula.js';
import { ground, told } from '../../quantities/told.js';
import { W, dateSaid, figureSaid, keptBy, said, source, unitSaid } from '../../words/words.js';


/** The units a reading, result or value may be said in, the shop's own first; [] for words. */
export const unitsFor = ({ kind, unit, units }, sheet) => {
  const all = units?.length ? units : unit === undefined ? [] : [unit];
  if (kind === 'number' || kind === 'count') return unit === undefined ? all.slice(0, 1) : [unit];
  const shop = own(sheet.shop.units, kind);
  const first = all.includes(shop) ? shop : unit ?? all[0];
  return all.length ? [first, ...all.filter((one) => one !== first)] : [];
};

/** A number of one unit in another of the same kind, both by name; null where the worksheet knows no way. */
export const converted = (number, from, to, sheet) => {
  if (from === to) return number;
  const [a, b] = [own(sheet.units, from), own(sheet.units, to)];
  return a && b && a.kind === b.kind ? toBase(number, a) / b.scale - b.offset : null;
};

const shownResult = (result, now, sheet, of) => {
  if (!now || now.base === null) return null;
  if (typeof now.base === 'boolean') return { figure: now.base ? W.yes : W.no, unit: '' };
  if (result.kind === 'date') return { figure: dateSaid(now.base), unit: '' };
  const [name] = unitsFor(result, sheet);
  const figure = told(result.name, name, of);
  return { figure, unit: unitSaid(name, figure) };
};

const textOf = (one) => one && `${one.figure} ${one.unit}`.trim();

const takes = ({ check }, name) => (
  (check.kind === 'measure' && check.reading === name) || Object.values(check.watch ?? {}).includes(name)
);

const pathOf = (name) => name.slice('step:'.length);
const valueOf = (name) => name.slice(0, -'.tolerance'.length);

// finding, value, tolerance, reading, result, given, or null.
const kindIn = ({ sheet, results }) => (name) => {
  if (name.startsWith('step:')) return 'finding';
  if (name.endsWith('.tolerance')) return 'tolerance';
  if (own(sheet.values, name)) return 'value';
  if (own(sheet.readings, name)) return 'reading';
  if (results.has(name)) return 'result';
  return own(sheet.givens, name) ? 'given' : null;
};

const findingIn = (state) => (path) => {
  const seen = state.steps[path];
  const given = seen && seen.state !== 'disputed' ? seen.answers.find(({ value }) => value.outcome !== undefined) : null;
  return given ?? null;
};

// What the job and the shop give.
const givenText = (name, { job }, sheet) => {
  if (name === 'odometer') return job?.odometer ? `${job.odometer.number} ${job.odometer.unit}` : null;
  if (name === 'today') {
    const day = job && jobDay(job.started_at, job);
    return day === null ? null : dateSaid(day);
  }
  const { number: n, unit } = sheet.givens[name];
  return n === null ? null : figureSaid(n, unit);
};

// The step that takes a reading or finds something; of several the one whose reading stands, else one still to do.
const takerIn = ({ state, sheet, kindOf, reading }) => (name) => {
  if (kindOf(name) === 'finding') return state.steps[pathOf(name)] ? pathOf(name) : null;
  if (kindOf(name) !== 'reading') return null;
  const all = sheet.steps.filter((step) => takes(step, name) && state.steps[step.path].state !== 'hidden').map(({ path }) => path);
  return reading(name)?.step ?? all.find((path) => state.steps[path].state !== 'done') ?? all.at(-1) ?? null;
};

// The readings that a result is worked out from, through the results between.
const belowIn = ({ kindOf, results }) => {
  const readingsBelow = (name, met = new Set()) => {
    if (met.has(name)) return [];
    met.add(name);
    if (kindOf(name) === 'reading') return [name];
    return (results.get(name)?.inputs ?? []).flatMap((input) => readingsBelow(input, met));
  };
  return readingsBelow;
};

/**
 * figuresOf({state, sheet, number, stepOf}) -> {kindOf, label, text, origin, result, shownOf, taker, readingsBelow}, each
 * of a name. text: what it is now, or null; origin: where that is from; taker: the step that takes a reading or finding.
 * typed(name): the figure as it was typed or stated, where the state does not say it.
 */
export const figuresOf = ({ state, sheet, number, stepOf, typed }) => {
  const results = new Map((sheet.results ?? []).map((result) => [result.name, result]));
  const kindOf = kindIn({ sheet, results });
  const finding = findingIn(state);
  const label = (name) => (table({
    finding: () => W.findingOf(number(pathOf(name))),
    tolerance: () => W.toleranceOf(sheet.values[valueOf(name)]?.label ?? valueOf(name)),
    value: () => sheet.values[name].label,
    reading: () => sheet.readings[name].label,
    result: () => results.get(name).label,
    given: () => sheet.givens[name].label,
  })[kindOf(name)]?.() ?? name);

  const reading = (name) => own(state.readings, name);
  const of = ground(sheet, state.results ?? {}, typed ?? typedIn(sheet, state.readings ?? {}, state.values ?? {}));
  const shownOf = (name) => (results.has(name) ? shownResult(results.get(name), own(state.results, name), sheet, of) : null);
  const text = (name) => (table({
    finding: () => {
      const given = finding(pathOf(name));
      return given && (stepOf(pathOf(name))?.check.outcomes?.find((one) => one.name === given.value.outcome)?.label ?? given.value.outcome);
    },
    tolerance: () => {
      const { margin } = sheet.values[valueOf(name)] ?? {};
      return margin ? `± ${figureSaid(margin.number, margin.unit)}` : null;
    },
    value: () => said(state.values[name]?.text ?? null),
    reading: () => (reading(name) ? figureSaid(reading(name).number, reading(name).unit) : null),
    result: () => textOf(shownOf(name)),
    given: () => givenText(name, state, sheet),
  })[kindOf(name)]?.() ?? null);

  const from = ({ who, at, step }) => W.readBy(keptBy({ who, at }), number(step));
  const origin = (name) => (table({
    finding: () => (finding(pathOf(name)) ? from({ ...finding(pathOf(name)), step: pathOf(name) }) : ''),
    tolerance: () => source(state.values[valueOf(name)]?.source),
    value: () => (state.values[name]?.not_published ? W.ownTable : state.values[name]?.text ? source(state.values[name].source) : ''),
    reading: () => (reading(name) ? from(reading(name)) : ''),
    result: () => W.workedOut,
    given: () => (['odometer', 'today'].includes(name) ? W.ofTheJob : W.ofTheShop),
  })[kindOf(name)]?.() ?? '');

  const taker = takerIn({ state, sheet, kindOf, reading });
  const isTwoAnswers = (name) => (
    kindOf(name) === 'value' ? Boolean(state.values[name]?.disputed) : taker(name) !== null && state.steps[taker(name)]?.state === 'disputed'
  );
  return { kindOf, label, text, origin, shownOf, taker, readingsBelow: belowIn({ kindOf, results }), isTwoAnswers, result: (name) => results.get(name) ?? null };
};
