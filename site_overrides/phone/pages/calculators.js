// Composes the calculators page: what was typed, what the chosen engine's sheet says, and the results of both. A figure
// has the same value in every group. Nothing is saved.

import { dict, own, parsed } from '../base/own.js';
import { localDay } from '../quantities/dates.js';
import { NEEDLE, toBase } from '../quantities/formula.js';
import { workOut } from '../quantities/results.js';
import { ground, halfDivision, told } from '../quantities/told.js';
import { calculator, engineChoice, pressEmpty, unread } from '../screen/calculator.js';

const TOLERANCE = '.tolerance';
const valueOf = (name) => name.replace(TOLERANCE, '');

// What a box holds before anybody types: the engine sheet's value or tolerance, or the figure of the shop's file.
const saidOf = ({ group, engine, name }) => {
  const given = own(group.givens, name);
  if (given) return given.number === null ? null : { number: given.number, unit: given.unit, from: 'shop' };
  const value = own(group.values, valueOf(name)) && own(engine?.values, valueOf(name));
  const figure = name.endsWith(TOLERANCE) ? value?.margin : value?.number;
  return figure ? { ...figure, from: 'sheet', source: value.source } : null;
};

// A result as it is printed, for the box that it fills.
const printed = ({ name, unit }, base, of) => {
  const number = own(of.units, unit) && typeof base === 'number' ? Number(told(name, unit, of)) : NaN;
  return Number.isFinite(number) ? { number, unit, base, from: 'worked', by: name } : null;
};

const boxesOf = ({ readings, values, givens }) => [
  ...[readings, values, givens].flatMap(Object.keys), ...Object.keys(values).map((name) => name + TOLERANCE),
];

/**
 * figuresFor({group, typed, said, today}) -> {name: {number, unit, from, source}} of every box that has a figure.
 * from: typed | sheet | shop. What was typed goes first; a box that a person emptied (null) is empty.
 */
export const figuresFor = ({ group, typed, said, today }) => {
  const figureOf = (name) => {
    if (name === 'today') return { number: today, unit: 'date', base: today, from: 'phone' };
    if (!Object.hasOwn(typed, name)) return said(name);
    return own(typed, name) && { ...own(typed, name), from: 'typed' };
  };
  return Object.fromEntries(boxesOf(group).map((name) => [name, figureOf(name)]).filter(([, figure]) => figure));
};

const baseOf = ({ number, unit, base }, units) => base ?? (own(units, unit) ? toBase(number, units[unit]) : null);

const inBase = (figures, { units, readings }) => Object.fromEntries(
  Object.entries(figures).flatMap(([name, figure]) => (
    [[name, baseOf(figure, units)], [name + NEEDLE, halfDivision(own(readings, name), figure.unit, units)]]
  )).filter(([, base]) => base !== null),
);

// What results give for values that no sheet gives and nobody typed, while they are known and not bad, as in a job.
const filledBy = ({ group, figures, results, said }) => Object.fromEntries(group.results
  .filter(({ name, fills }) => fills && own(group.values, fills) && results[name].known && !results[name].bad)
  .filter(({ fills }) => !own(figures, fills) && !said(fills))
  .map((result) => [result.fills, printed(result, results[result.name].base, ground(group, results, (name) => own(figures, name)))])
  .filter(([, figure]) => figure));

/** workedOut({group, figures, found, said}) -> {figures, results}; figures gain what results fill in: {.., from: worked, by}. */
export const workedOut = ({ group, figures, found, said }) => {
  const results = workOut(group.results, inBase(figures, group), found, group.tables);
  const filled = filledBy({ group, figures, results, said });
  if (!Object.keys(filled).length) return { figures, results };
  return workedOut({ group, figures: { ...figures, ...filled }, found, said });
};

const fetchData = async () => {
  try {
    const answer = await fetch('data.json');
    return answer.ok ? parsed(await answer.text()) : null;
  } catch {
    return null;
  }
};

const without = (object, isGone) => Object.fromEntries(Object.entries(object).filter(([name]) => !isGone(name)));

const NOTHING = { engine: null, typed: {}, found: dict() };

// What a person can do on this page, each from what is there now to what changes.
const actsOn = ({ groups, engines }) => ({
  give: ({ typed }, name, figure) => ({ typed: { ...typed, [name]: figure } }),
  // Take the engine sheet's figure again, or the shop's.
  giveBack: ({ typed }, name) => ({ typed: without(typed, (one) => one === name) }),
  find: ({ found }, step, outcome) => ({ found: dict(Object.entries({ ...without(found, (one) => one === step), ...outcome && { [step]: outcome } })) }),
  // Values typed for one engine are not valid for another.
  choose: ({ typed }, id) => ({
    engine: engines.find((one) => one.id === id) ?? null,
    typed: without(typed, (name) => groups.some(({ values }) => own(values, valueOf(name)))),
  }),
  empty: () => NOTHING,
});

/** openCalculators({into, now, read}) puts the page's boxes into a node. */
export const openCalculators = async ({ into, now, read = fetchData }) => {
  const data = await read();
  if (!data) return into.replaceChildren(unread());
  let state = NOTHING;
  const acts = Object.fromEntries(Object.entries(actsOn(data)).map(([name, act]) => [name, (...about) => {
    state = { ...state, ...act(state, ...about) };
    draw();
  }]));
  const choice = engineChoice({ engines: data.engines, noun: data.noun, choose: acts.choose });
  const views = data.groups.map((group) => ({ group, view: calculator({ group, shop: data.shop, ...acts }) }));
  const draw = () => {
    const { engine, typed, found } = state;
    for (const { group, view } of views) {
      const said = (name) => saidOf({ group, engine, name });
      const figures = figuresFor({ group, typed, said, today: localDay(now(), data.shop.time_zone) });
      view.update({ ...workedOut({ group, figures, found, said }), found, engine, said, typed });
    }
    choice.update(engine?.id ?? '');
  };
  into.replaceChildren(choice.node, ...views.map(({ view }) => view.node), pressEmpty({ empty: acts.empty }));
  return draw();
};
