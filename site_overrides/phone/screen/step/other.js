// "Something else": whatever a step may be answered with when it is not simply done. Each way out has its own reason.

import { own } from '../../base/own.js';
import { initialsOf, isOneOf } from '../../journal/people.js';
import { leadsOf, tradeOf } from '../../journal/trade.js';
import { W } from '../../words/words.js';
import { foldedForm } from '../common/form.js';
import { fold, make, set, show } from '../common/nodes.js';
import { backPanel } from './failed.js';

const REASON = { name: 'reason', label: W.reason, required: true };
const INSTEAD = { name: 'instead', label: W.instead };
const WITH = { name: 'with', label: W.withLead };

const leaveForms = ({ step, sheet, send }) => {
  const leads = leadsOf(sheet);
  const to = (kind) => (value) => send({ kind, step: step.path, value });
  const skipWith = (value) => {
    const needsLead = step.leave === 'lead' && !isOneOf(leads, value.with);
    return needsLead ? { kept: false, words: W.leadWho(leads) } : to('skip')(value);
  };
  return {
    skip: foldedForm({
      title: W.skip, action: 'skip', keep: W.skipKeep,
      fields: [REASON, INSTEAD, { ...WITH, required: step.leave === 'lead' }],
      onKeep: ({ reason, instead, with: lead }) => skipWith({ reason, instead, with: initialsOf(sheet.shop.people, lead) }),
    }),
    notFitted: foldedForm({ title: W.notFitted(tradeOf(sheet).noun), action: 'not-fitted', keep: W.notFittedKeep, fields: [REASON], onKeep: to('not-fitted') }),
    refuse: foldedForm({
      title: W.refuse, action: 'refuse', keep: W.refuseKeep,
      fields: [{ name: 'how', label: W.how, required: true }, { name: 'told_by', label: W.toldBy, required: true }, { name: 'price', label: W.price }],
      onKeep: to('refuse'),
    }),
  };
};

// What the preparation says is not here: the strip-down may go on without a tool, a part or a consumable, never without
// a one-time fastener.
const goneWithout = ({ needs }, why) => why.flatMap(({ section, items = [] }) => items.flatMap((id) => {
  if (section === 'tools') return [{ value: `tool:${id}`, label: W.toolDeparture(needs.tools[id].label) }];
  const thing = section === 'one_time' ? null : own(needs[section], id);
  return thing ? [{ value: `part:${id}`, label: W.partDeparture(thing.label) }] : [];
}));

/** The rules a step may be done without: the order, a tool, a part, an ordinary value. Never at a stop. */
const departures = ({ step, sheet, legal, why }) => {
  if (step.gate?.ready) return goneWithout(sheet, why.filter(({ code }) => code === 'ready'));
  if (step.hold || step.gate) return [];
  const { needs, values } = sheet;
  return [
    ...legal.depart ? [{ value: 'order', label: W.orderDeparture }] : [],
    ...step.uses.map((id) => ({ value: `tool:${id}`, label: W.toolDeparture(needs.tools[id]?.label ?? id) })),
    ...step.takes.map((id) => ({ value: `part:${id}`, label: W.partDeparture((needs.parts[id] ?? needs.consumables[id])?.label ?? id) })),
    ...step.values.filter((name) => values[name].class !== 'critical').map((name) => ({ value: `value:${name}`, label: W.valueDeparture(values[name].label) })),
  ];
};

const departForm = ({ step, sheet, send }) => {
  const form = foldedForm({
    title: W.depart, action: 'depart', keep: W.departKeep,
    fields: [{ name: 'part', label: W.departWhat, type: 'select', options: [] }, REASON, { ...INSTEAD, required: true }, WITH],
    onKeep: ({ part, reason, instead, with: lead }) => send({
      kind: 'depart', step: step.path, part, value: { reason, instead, with: initialsOf(sheet.shop.people, lead) },
    }),
  });
  const update = ({ legal, seen }) => {
    const options = departures({ step, sheet, legal, why: seen.why });
    form.update({ gone: options.length === 0, fields: { part: { options } } });
  };
  return { node: form.node, update };
};

/** somethingElse({step, sheet, send}) -> {node, update(view)}. */
export const somethingElse = ({ step, sheet, send }) => {
  const { skip, notFitted, refuse } = leaveForms({ step, sheet, send });
  const depart = departForm({ step, sheet, send });
  const again = backPanel({ step, title: W.redoTitle, send });
  let last = null;
  again.node.addEventListener('toggle', () => again.node.open && again.update(last));
  const never = make('p', { class: 'small' }, W.never);
  const node = fold({ class: 'more' }, W.somethingElse, make('div', { class: 'inside' }, never, skip.node, notFitted.node, refuse.node, depart.node, again.node));
  const update = (view) => {
    const { seen, legal } = view;
    show(node, !step.path.startsWith('extra/') || step.leave !== 'never');
    show(never, step.leave === 'never');
    skip.update({ gone: !legal.skip, title: legal.skip === 'lead' ? W.skipLead : W.skip });
    notFitted.update({ gone: !legal['not-fitted'] });
    refuse.update({ gone: !legal.refuse });
    depart.update(view);
    const redo = ['done', 'recheck', 'waiting'].includes(seen.state);
    set(again.node, 'hidden', redo ? null : true);
    last = view;
    if (redo && again.node.open) again.update(view);
  };
  return { node, update };
};
