// What every element of a job's screen may ask: names, numbers, and what the journal says beside the folded state. Pure.

import { legal } from '../journal.js';
import { W, answer, keptBy, stepName } from '../words.js';
import { answerLine } from './answers.js';
import { plainText } from './rich.js';
import { extraStep } from './step.js';

const ANSWERS = new Set(['check', 'finish', 'skip', 'not-fitted', 'refuse', 'settle']);

const newest = (entries, test) => entries.findLast(test);

/** sharedBy({state, gathered, sheet, sheets, me, device, now, jumped, look}) -> the questions below, answered. */
export const sharedBy = ({ state, gathered, sheet, sheets, me, device, now, jumped, look }) => {
  const { entries } = gathered;
  const steps = new Map(sheet.steps.map((step) => [step.path, step]));
  const numbers = new Map(sheet.steps.map((step, at) => [step.path, String(at + 1)]));
  const stepOf = (path) => steps.get(path) ?? (state.extras[path] && extraStep(path, state.extras[path]));
  const extras = Object.keys(state.extras);
  const number = (path) => numbers.get(path) ?? (extras.includes(path) ? `+${extras.indexOf(path) + 1}` : '');
  const shown = (of) => (name) => (of === sheet ? state.values[name]?.text : of.values[name]?.text) ?? `[${of.values[name]?.label ?? name}]`;
  const textIn = (of, path) => {
    const step = of.steps.find((one) => one.path === path);
    return step ? plainText(step.do, shown(of)) : path;
  };
  const text = (path) => plainText(stepOf(path)?.do, shown(sheet));
  const name = (path) => (path ? stepName(number(path), text(path)) : '');
  const undone = new Set(entries.filter(({ kind }) => kind === 'take-back').flatMap(({ seen }) => seen));
  const backs = entries.filter(({ kind, id }) => kind === 'back' && !undone.has(id));
  const homes = (path) => [path, ...steps.get(path)?.was ?? []];
  const pathOf = (seen) => state.order.find((path) => state.steps[path] === seen);
  const departureText = (entry) => {
    const [rule, id = ''] = entry.part.split(':');
    const what = { order: () => W.orderDeparture, tool: () => W.toolDeparture(sheet.needs.tools[id]?.label ?? id),
      part: () => W.partDeparture((sheet.needs.parts[id] ?? sheet.needs.consumables[id])?.label ?? id),
      value: () => W.valueDeparture(sheet.values[id]?.label ?? id) }[rule]?.() ?? entry.part;
    const { reason, instead, with: lead } = entry.value;
    return W.departureSaid({ name: name(entry.step), what, reason, instead, lead, by: keptBy(entry) });
  };
  const left = () => state.order.flatMap((path) => state.steps[path].answers
    .filter(({ kind, id }) => ['skip', 'not-fitted', 'refuse'].includes(kind) && !state.inert.includes(id))
    .map((given) => ({ id: given.id, text: `${name(path)}: ${answer(given)} (${keptBy(given)})` })));
  return {
    state, sheet, now, jumped, device, me, look, number, text, name, textIn, stepOf,
    items: state.items,
    people: sheet.shop.people,
    label: (value) => sheet.values[value]?.label ?? value,
    isInert: (id) => state.inert.includes(id),
    legal: (path) => legal(state, sheet, path),
    stageOf: (path) => stepOf(path)?.stage,
    /** The document typed last, so that only the place has to be typed again. */
    document: newest(entries, ({ kind, value }) => kind === 'read' && value.source?.document)?.value.source.document ?? '',
    keptAt: newest(entries, ({ kind, value }) => kind === 'check' && value.kept_at)?.value.kept_at ?? '',
    readingsOf: (value) => {
      const all = entries.filter(({ kind, step, part }) => (kind === 'read' || (kind === 'settle' && step === '')) && part === value);
      const answered = new Set(all.flatMap(({ seen }) => seen));
      return all.filter(({ id }) => !answered.has(id) && !undone.has(id));
    },
    backsAbout: (seen) => {
      const path = pathOf(seen);
      return backs.filter(({ value }) => homes(path).some((one) => value.rest?.includes(one))).map(({ id }) => id);
    },
    disturbedSteps: () => state.order.filter((path) => state.steps[path].why.some(({ code }) => code === 'disturbed')),
    departures: () => [
      ...state.departures.map((id) => entries.find((entry) => entry.id === id)).map((entry) => ({ id: entry.id, text: departureText(entry) })),
      ...left(),
    ],
    stepUsing: (value) => sheet.steps.find((step) => step.values.includes(value) && state.steps[step.path]?.state !== 'hidden')?.path ?? null,
    closerOf: (item) => (extras.includes(item) ? item : sheet.steps.find((step) => step.closes.some(({ what }) => what === item)
      && state.steps[step.path].state !== 'done' && state.steps[step.path].state !== 'hidden')?.path ?? null),
    wordingBefore: (path) => {
      const then = newest(entries, ({ kind, step }) => ANSWERS.has(kind) && homes(path).includes(step));
      return then && sheets[then.sheet] ? textIn(sheets[then.sheet], then.step) : '';
    },
    said: (entry) => (stepOf(entry.step) ? answerLine(stepOf(entry.step), entry) : ''),
    /** The last answer that still stands. */
    lastAnswer: () => newest(entries, (entry) => ANSWERS.has(entry.kind) && entry.step && !state.inert.includes(entry.id)
      && state.order.some((path) => state.steps[path].answers.some(({ id }) => id === entry.id))),
    recent: [...new Set(entries.map(({ who }) => who).reverse())],
  };
};
