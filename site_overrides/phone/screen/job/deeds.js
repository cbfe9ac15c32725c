// @ts-check
// What was said in a job beside the check-offs, one line each: departures, counts, values, go-backs, and the rest. Pure.

import { own, table } from '../../base/own.js';
import { S } from '../../words/stops.js';
import { SECTIONS, W, answer, figureNotGood, source } from '../../words/words.js';

const MOST = 15;

const ruleLeft = (part, { sheet, label }) => {
  const [rule, id = ''] = part.split(':');
  /** @param {RuledSection[]} sections */
  const needed = (...sections) => {
    const holder = sections.map((section) => sheet.needs[section] ?? {}).find((section) => Object.hasOwn(section, id));
    return own(holder, id)?.label ?? id;
  };
  const said = table({
    order: () => W.orderDeparture,
    tool: () => W.toolDeparture(needed('tools')),
    part: () => W.partDeparture(needed('parts', 'consumables')),
    value: () => W.valueDeparture(label(id)),
  })[rule];
  return said ? said() : part;
};

// A good answer over a figure that is not good.
const despiteSaid = ({ step, value }, about) => {
  const labelOf = (outcome) => about.stepOf(step)?.check.outcomes?.find(({ name }) => name === outcome)?.label ?? outcome;
  const figures = (value.despite?.results ?? []).map((name) => figureNotGood(name, about));
  return S.despiteSaid({ name: about.name(step), said: answer({ kind: 'check', value }, labelOf), figures, reason: value.despite?.reason ?? '' });
};

const departed = (entry, about) => {
  if (entry.kind === 'check') return despiteSaid(entry, about);
  const { reason, instead, with: lead } = entry.value;
  return W.departureSaid({ name: about.name(entry.step), what: ruleLeft(entry.part, about), reason, instead, lead });
};

// What each kind of entry says; those that are seen and taken back at their own step are not here.
const SAYS = table(/** @satisfies {Partial<Record<EntryKind, (entry: Entry, about: any) => string>>} */ ({
  decline: ({ value }) => W.jobDeclined(value.reason),
  correct: ({ part, value }, { trade }) => S.correctedDeed(part, own(value, part), trade),
  'put-back': ({ part, value }, { items }) => S.leftDeed(items[part]?.label ?? part, value.count),
  count: ({ part, value }, { items }) => W.countSaid(items[part]?.label ?? part, value.count),
  read: ({ part, value }, { label, state }) => (state.values[part]?.waits ? W.secondWaits(label(part)) : `${label(part)}: ${answer({ kind: 'read', value })} (${value.source ? source(value.source) : W.ownTable})${value.second ? `, ${W.readAgain(value.second)}` : ''}`),
  settle: ({ part, value, step }, { label, name, state }) => {
    if (!step && state.values[part]?.waits) return W.secondWaits(label(part)); // nobody reads the figure here before reading it
    return `${step ? name(step) : label(part)}: ${answer({ kind: 'settle', value })}`;
  },
  confirm: ({ step, part }, { name }) => (step ? `${name(step)}: ${W.same}` : W.confirmSaid(SECTIONS[part] ?? part)),
  depart: departed,
  back: ({ value }, { number }) => W.backTitle(number(value.to)),
  'not-disturbed': ({ who }) => W.notDisturbed(who),
  elapsed: ({ step, value }, { name }) => W.elapsedSaid(name(step), Math.round(value.seconds / 60), value.why),
  'pass-on': ({ value }) => W.passSaid(value.to),
  receive: ({ who }) => W.receive(who),
  adopt: () => W.adoptKeep,
  'take-back': ({ step }, { name }) => W.takeBackSay(name(step)),
}));

/** Lines of what was said for the job as a whole and still stands, newest first: [{id, text, by}]. */
export const deedsOf = (entries, about) => entries
  .filter(({ kind, id }) => Object.hasOwn(SAYS, kind) && about.isAlive(id))
  .slice(-MOST).reverse()
  .map((entry) => ({ id: entry.id, text: SAYS[entry.kind](entry, about), by: about.by(entry) }));

/** Lines of every correction of the start, every rule that was left, every step left out: [{id, text}], in the order of the journal and of the work. */
export const departuresOf = (entries, about) => {
  const { state, name, isInert } = about;
  const rules = entries.filter(({ id }) => state.departures.includes(id))
    .map((entry) => ({ id: entry.id, text: `${departed(entry, about)} (${about.by(entry)})` }));
  const left = state.order.flatMap((path) => state.steps[path].answers
    .filter(({ kind, id }) => ['skip', 'not-fitted', 'refuse'].includes(kind) && !isInert(id))
    .map((given) => ({ id: given.id, text: `${name(path)}: ${answer(given)} (${about.by(given)})` })));
  const corrected = Object.entries(state.corrected ?? {}).map(([field, one]) => (
    { id: one.id, text: `${S.corrected(field, one, about.trade)} (${about.by(one)})` }
  ));
  return [...corrected, ...rules, ...left];
};
