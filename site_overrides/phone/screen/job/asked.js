// What a step of another revision asks otherwise, figure by figure, in words. Pure.

import { canonical } from '../../base/canonical.js';
import { own } from '../../base/own.js';
import { shown } from '../../quantities/shown.js';
import { N } from '../../words/news.js';

const same = (a, b) => canonical(a ?? null) === canonical(b ?? null);
const both = (a, b) => [...new Set([...a, ...b])];

// A value's facts besides its text, which is told with both figures.
const factsOf = (value) => {
  const { text, limits, label, ...facts } = value;
  return facts;
};

const valueAsked = (before, after, name) => {
  const [then, now] = [own(before.values, name), own(after.values, name)];
  if (!then || !now) return [];
  if (then.text !== now.text) return [N.figure(now.label, then.text, now.text)];
  return same(factsOf(then), factsOf(now)) ? [] : [N.facts(now.label)];
};

// A value that only one of the two steps uses. One of a kind that came for one that went is told with both figures.
const valuesAsked = (before, after, then, step) => {
  const gone = then.values.filter((name) => !step.values.includes(name)).map((name) => own(before.values, name)).filter(Boolean);
  const come = step.values.filter((name) => !then.values.includes(name)).map((name) => own(after.values, name)).filter(Boolean);
  const kept = step.values.filter((name) => then.values.includes(name)).flatMap((name) => valueAsked(before, after, name));
  const pairs = come.map((now) => [now, gone.filter(({ kind }) => kind === now.kind)])
    .filter(([now, olds]) => olds.length === 1 && come.filter(({ kind }) => kind === now.kind).length === 1);
  const paired = new Set(pairs.flatMap(([now, [old]]) => [now, old]));
  return [
    ...kept,
    ...pairs.flatMap(([now, [old]]) => (old.text === now.text && old.label === now.label ? [] : [N.figure(now.label, old.text, now.text)])),
    ...gone.filter((one) => !paired.has(one)).map(({ label }) => N.valueGone(label)),
    ...come.filter((one) => !paired.has(one)).map(({ label, text }) => N.valueNew(label, text)),
  ];
};

// What the check-off asks: its kind, how many, how long, which answers. A time or a count of a value is told with that.
const checkAsked = (then, step, isTold) => {
  const [old, now] = [then.check, step.check];
  if (old.kind !== now.kind) return [N.kind(old.kind, now.kind)];
  const found = [];
  if (old.parts && old.parts.length !== now.parts.length) found.push(N.pulls(old.parts.length, now.parts.length));
  if (!isTold && old.count && now.count && old.count !== now.count) found.push(N.turns(old.count, now.count));
  if (!isTold && old.seconds && now.seconds && old.seconds !== now.seconds) found.push(N.time(old.seconds, now.seconds));
  const labels = ({ outcomes = [] }) => outcomes.map(({ label }) => label);
  if (old.outcomes && !same(labels(old), labels(now))) found.push(N.outcomes(labels(old), labels(now)));
  return found;
};

const movedAsked = (before, after, told, was, is) => {
  const countOf = (moved, what) => moved.find((one) => one.what === what)?.count;
  return both(was.map(({ what }) => what), is.map(({ what }) => what)).flatMap((what) => {
    const [old, now] = [countOf(was, what), countOf(is, what)];
    const label = (own(after.items, what) ?? own(before.items, what))?.label ?? what;
    return old === now ? [] : [told(label, old, now)];
  });
};

const numbersIn = (tree) => (Array.isArray(tree) ? tree.flatMap(numbersIn) : typeof tree === 'number' ? [tree] : []);
const withoutNumbers = (tree) => (Array.isArray(tree) ? tree.map(withoutNumbers) : typeof tree === 'number' ? 0 : tree);

// The limits of a result, with both figures where nothing but a figure changes.
const limitsAsked = (before, after, then, step) => (step.shows ?? []).filter((name) => then.shows?.includes(name)).flatMap((name) => {
  const [old, now] = [before, after].map((sheet) => sheet.results?.find((one) => one.name === name));
  if (!old || !now) return [];
  const unit = own(after.units, now.unit);
  const [was, is] = [old, now].map(({ limits }) => limits.map(({ when }) => when));
  const said = (base) => (unit ? `${shown(base, unit, now.step)} ${now.unit}` : String(base));
  const pairs = numbersIn(was).map((number, at) => [number, numbersIn(is).at(at)]).filter(([a, b]) => a !== b);
  if (!same(withoutNumbers(was), withoutNumbers(is)) || (same(was, is) && !same(old.limits.map(({ bad }) => bad), now.limits.map(({ bad }) => bad)))) return [N.limits(now.label)];
  return [...pairs.map(([a, b]) => N.limit(now.label, said(a), said(b))), ...same(old.tree, now.tree) ? [] : [N.worked(now.label)]];
});

/**
 * askedBetween(before, after, then, step) -> [words]: what a step asks otherwise in another revision, a line for each figure
 * or fact that a person reads. [] if it is nothing that can be told apart.
 */
export const askedBetween = (before, after, then, step) => {
  const values = valuesAsked(before, after, then, step);
  const isOther = (key) => !same(own(then, key), own(step, key));
  return [
    ...values,
    ...checkAsked(then, step, values.length > 0),
    ...limitsAsked(before, after, then, step),
    ...movedAsked(before, after, N.opens, then.opens, step.opens),
    ...movedAsked(before, after, N.closes, then.closes, step.closes),
    ...then.hold === step.hold && Boolean(then.gate) === Boolean(step.gate)
      ? isOther('gate') ? [N.gate] : []
      : [N.stop(step.hold || Boolean(step.gate))],
    ...isOther('takes') ? [N.takes] : [],
    ...isOther('picture') ? [N.picture] : [],
    ...isOther('cautions') ? [N.cautionsToo] : [],
  ];
};

/**
 * steppedAside(before, after, fromOf) -> Map {path of the step now: the path of the step before it now, or null}: the steps
 * that stand elsewhere in the order of work, as few as possible. fromOf(step) -> its path before, or undefined.
 */
export const steppedAside = (before, after, fromOf) => {
  const place = new Map(before.steps.map(({ path }, at) => [path, at]));
  const there = after.steps.map((step, at) => ({ path: step.path, at, was: place.get(fromOf(step)) })).filter(({ was }) => was !== undefined);
  const best = there.map(() => ({ length: 1, from: -1 })); // the longest run that kept its order, up to each step
  for (const [here, one] of there.entries()) {
    for (let earlier = 0; earlier < here; earlier += 1) {
      const length = best.at(earlier).length + 1;
      if (there.at(earlier).was < one.was && length > best.at(here).length) best.splice(here, 1, { length, from: earlier });
    }
  }
  const kept = new Set();
  let last = best.reduce((most, { length }, at) => (most < 0 || length > best.at(most).length ? at : most), -1);
  for (; last >= 0; last = best.at(last).from) kept.add(last);
  const aside = there.filter((one, at) => !kept.has(at));
  return new Map(aside.map(({ path, at }) => [path, at > 0 ? after.steps.at(at - 1).path : null]));
};
