// Works out results one after the other, each with what is said of it. Pure. The same table as
// generator/quantities/results.py.

import { dict } from '../base/own.js';
import { evaluate, isUnknown } from './formula.js';

const GOOD = 'good';

// The first limit that is true. None if an earlier one is unknown.
const limitOf = (limits, env) => {
  for (const [number, { when }] of limits.entries()) {
    const isTrue = when === null ? true : evaluate(when, env);
    if (isUnknown(isTrue)) return { limit: null, doubt: isTrue };
    if (isTrue === true) return { limit: number, doubt: null };
  }
  return { limit: null, doubt: null };
};

const one = ({ limits }, worth, env) => {
  const unknown = isUnknown(worth) ? worth : null;
  const { limit, doubt } = unknown ? { limit: null, doubt: unknown } : limitOf(limits, env);
  const said = limit === null ? null : limits.at(limit);
  return {
    base: unknown ? null : worth,
    needs: doubt?.needs ?? [],
    because: doubt?.because ?? [],
    limit,
    verdict: said ? said.verdict : limits.length && !doubt ? GOOD : null,
    bad: Boolean(said?.bad),
    known: !doubt,
  };
};

// What a result is compared with; null while that is not known.
const figure = (tree, env) => {
  const worth = evaluate(tree, env);
  return typeof worth === 'number' ? worth : null;
};

/**
 * workOut(results, names, found, tables) -> {name: {base, needs, because, limit, verdict, bad, known, against?}}, what
 * each result of a worksheet comes to; against: the figures that it is compared with, where the worksheet lists them. results, tables: as in sheet.json, each result after those it needs; names: what is known, in
 * base units; found: path of a step -> its outcome. base is null while it is not known.
 */
export const workOut = (results, names, found, tables) => {
  const env = {
    names: dict(Object.entries(names)), found, tables: dict(Object.entries(tables).map(([id, { rows }]) => [id, rows])),
  };
  const worked = dict(results.map((result) => {
    const worth = evaluate(result.tree, env);
    env.names[result.name] = worth;
    return [result.name, one(result, worth, env)];
  }));
  for (const { name, against } of results) {
    if (against !== undefined) worked[name].against = against.map((tree) => figure(tree, env));
  }
  return worked;
};
