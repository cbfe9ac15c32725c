// Composes the calculators page: what was typed, what the chosen engine's sheet says, and the results worked out from
// both. One figure of one name is the same in every group. Nothing is kept.

import { shown, toBase } from './formula.js';
import { workOut } from './results.js';
import { calculator, engineChoice, pressEmpty, unread } from './screen/calculator.js';

const DAY_MS = 86_400_000;
const TOLERANCE = '.tolerance';
const valueOf = (name) => name.replace(TOLERANCE, '');
const own = (object, key) => (object && Object.hasOwn(object, key) ? object[key] : null) ?? null;

/** The day on this phone's calendar, counted from 1970-01-01. */
export const dayOf = (at) => {
  const day = new Date(at);
  return Date.UTC(day.getFullYear(), day.getMonth(), day.getDate()) / DAY_MS;
};

// What stands in a box before anybody types: the engine sheet's value or tolerance, or what the shop's file says.
const saidOf = ({ group, engine, name }) => {
  const given = own(group.givens, name);
  if (given) return given.number === null ? null : { number: given.number, unit: given.unit, from: 'shop' };
  const value = own(group.values, valueOf(name)) && own(engine?.values, valueOf(name));
  const figure = name.endsWith(TOLERANCE) ? value?.margin : value?.number;
  return figure ? { ...figure, from: 'sheet', source: value.source } : null;
};

// A result as it is printed, for the box that it fills.
const printed = ({ name, step, unit }, base, units) => {
  const of = own(units, unit);
  const number = of && typeof base === 'number' ? Number(shown(base, of, step)) : NaN;
  return Number.isFinite(number) ? { number, unit, base, from: 'worked', by: name } : null;
};

const boxesOf = ({ readings, values, givens }) => [
  ...[readings, values, givens].flatMap(Object.keys), ...Object.keys(values).map((name) => name + TOLERANCE),
];

/**
 * figuresFor({group, engine, typed, today}) -> {name: {number, unit, from, source}} of every box that has a figure.
 * from: typed | sheet | shop. What was typed goes first; a box that a person emptied (null) is empty.
 */
export const figuresFor = ({ group, engine, typed, today }) => {
  const figureOf = (name) => {
    if (name === 'today') return { number: today, unit: 'date', base: today, from: 'phone' };
    if (!Object.hasOwn(typed, name)) return saidOf({ group, engine, name });
    return typed[name] && { ...typed[name], from: 'typed' };
  };
  return Object.fromEntries(boxesOf(group).map((name) => [name, figureOf(name)]).filter(([, figure]) => figure));
};

const baseOf = ({ number, unit, base }, units) => base ?? (own(units, unit) ? toBase(number, units[unit]) : null);

const inBase = (figures, units) => Object.fromEntries(
  Object.entries(figures).map(([name, figure]) => [name, baseOf(figure, units)]).filter(([, base]) => base !== null),
);

// What results give for values that nobody gives, while they are known and not bad: as in a job.
const filledBy = ({ group, figures, results }) => Object.fromEntries(group.results
  .filter(({ name, fills }) => fills && own(group.values, fills) && !figures[fills] && results[name].known && !results[name].bad)
  .map((result) => [result.fills, printed(result, results[result.name].base, group.units)])
  .filter(([, figure]) => figure));

/** workedOut({group, figures, found}) -> {figures, results}; figures gain what results fill in: {.., from: worked, by}. */
export const workedOut = ({ group, figures, found }) => {
  const results = workOut(group.results, inBase(figures, group.units), found, group.tables);
  const filled = filledBy({ group, figures, results });
  return Object.keys(filled).length ? workedOut({ group, figures: { ...figures, ...filled }, found }) : { figures, results };
};

const fetchData = async () => {
  try {
    const answer = await fetch('data.json');
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
};

/** openCalculators({into, now, read}) puts the page's boxes into a node. */
export const openCalculators = async ({ into, now, read = fetchData }) => {
  const data = await read();
  if (!data) return into.replaceChildren(unread());
  const today = dayOf(now());
  let engine = null;
  let typed = {};
  let found = {};
  const draw = () => {
    for (const { group, view } of views) {
      const figures = figuresFor({ group, engine, typed, today });
      view.update({ ...workedOut({ group, figures, found }), found, engine, said: (name) => saidOf({ group, engine, name }) });
    }
    choice.update(engine?.id ?? '');
  };
  const give = (name, figure) => {
    typed = { ...typed, [name]: figure };
    draw();
  };
  // The engine sheet's figure again, or the shop's.
  const giveBack = (name) => {
    const { [name]: _, ...others } = typed;
    typed = others;
    draw();
  };
  const find = (step, outcome) => {
    const { [step]: _, ...others } = found;
    found = outcome ? { ...others, [step]: outcome } : others;
    draw();
  };
  // Values typed for one engine are not another's.
  const choose = (id) => {
    engine = data.engines.find((one) => one.id === id) ?? null;
    const isValue = (name) => data.groups.some(({ values }) => own(values, valueOf(name)));
    typed = Object.fromEntries(Object.entries(typed).filter(([name]) => !isValue(name)));
    draw();
  };
  const empty = () => {
    typed = {};
    found = {};
    engine = null;
    draw();
  };
  const choice = engineChoice({ engines: data.engines, choose });
  const views = data.groups.map((group) => ({ group, view: calculator({ group, shop: data.shop, give, giveBack, find }) }));
  into.replaceChildren(choice.node, ...views.map(({ view }) => view.node), pressEmpty({ empty }));
  draw();
  return null;
};
