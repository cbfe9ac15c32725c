// Starting a job: its number, what it is done on and what else the trade asks, who works, in what role.
// A VIN may be given; what looks odd about it is said and never refused.

import { own } from '../../base/own.js';
import { initialsOf } from '../../journal/people.js';
import { otherBoxes, tradeOf } from '../../journal/trade.js';
import { checkVin } from '../../quantities/vin.js';
import { optionsOf } from '../../words/trade.js';
import { W, vinOdd } from '../../words/words.js';
import { form, numberOf } from '../common/form.js';
import { odometerBox, odometerWrong } from '../common/odometer.js';
import { noWrench } from '../common/no_wrench.js';
import { make, sayOrHide, show } from '../common/nodes.js';
import { samePanel } from './same_number.js';

const UNITS = ['km', 'mi'].map((value) => ({ value, label: value }));

// What looks odd about a VIN is said while it is typed, never on leaving the box: what moves under a finger is missed.
const sayOddVin = (vin) => {
  const odd = make('p', { class: 'note', role: 'status' });
  vin.node.after(odd);
  const look = () => sayOrHide(odd, vinOdd(checkVin(vin.value())));
  vin.box.addEventListener('input', look);
  look();
};

// The boxes of the start, as the trade has them: what the job is done on, perhaps an odometer with its unit, a VIN, others.
const boxesOf = (trade, filled, unit, units) => trade.start.flatMap(({ name, label, optional }) => {
  const box = { name: name === 'what' ? 'vehicle' : name, label: optional ? W.mayBeEmpty(label) : label, required: !optional };
  const value = own(filled, box.name) ?? '';
  return name === 'odometer'
    ? [{ ...box, type: 'number', value, ...odometerBox(units) }, { name: 'unit', label: W.unit, type: 'select', options: UNITS, value: filled.unit ?? unit }]
    : [{ ...box, value }];
});

// What was typed, as the entry that starts a job holds it.
const startOf = ({ job, vehicle, odometer, unit, vin, role, ...typed }, trade, procedure) => {
  const others = otherBoxes(trade).map(({ name }) => name).filter((name) => own(typed, name));
  return {
    number: job, vehicle, role, procedure,
    ...odometer && { odometer: { number: String(numberOf(odometer)), unit } },
    ...vin && { vin: vin.toUpperCase() },
    ...others.length && { more: Object.fromEntries(others.map((name) => [name, own(typed, name)])) },
  };
};

/**
 * startForm({sheet, filled, who, start, promise}) -> {node}. `filled` is what the lead wrote beforehand, all texts;
 * `promise` the node that says what this phone keeps: read before the button is pressed.
 */
export const startForm = ({ sheet, filled, who, start, promise }) => {
  const { people, odometer } = sheet.shop;
  const trade = tradeOf(sheet);
  const roleOf = (initials) => people.find((one) => one.initials === initialsOf(people, initials))?.role;
  const agreed = make('p', { class: 'note' });
  sayOrHide(agreed, filled.agreed ? `${W.agreed}: ${filled.agreed}` : '');
  const names = make('datalist', { id: 'people' }, people.map(({ initials, name }) => make('option', { value: initials }, name)));
  const made = form({
    fields: [
      { name: 'job', label: W.jobNumber, required: true, value: filled.job ?? '' },
      ...boxesOf(trade, filled, odometer, sheet.units),
      { name: 'who', label: W.who, required: true, value: who ?? '', list: 'people' },
      { name: 'role', label: W.role, type: 'select', options: optionsOf(trade.roles), value: roleOf(who ?? '') ?? trade.roles[0]?.name },
    ],
    pair: ['odometer', 'unit'],
    action: 'start',
    keep: W.startKeep,
    look: 'press',
    before: [names, agreed, noWrench(sheet)].filter(Boolean),
    onKeep: (typed) => keep(typed, false),
  });
  const keep = async ({ who: said, ...typed }, isSecond) => {
    const initials = initialsOf(people, said);
    if (!initials) return { kept: false, words: W.required(W.who) };
    const wrong = odometerWrong(typed.odometer, typed.unit, sheet.units);
    if (wrong) return { kept: false, words: wrong };
    const answer = await start({ isSecond, who: initials, value: startOf(typed, trade, sheet.procedure) });
    same.update(answer.same ?? null);
    show(made.button.node, !answer.same);
    return answer.same ? null : answer;
  };
  const askAgain = () => {
    same.update(null);
    show(made.button.node, true);
  };
  const same = samePanel({ second: () => keep(made.values(), true), again: askAgain });
  for (const { box } of made.fields) box.addEventListener('input', askAgain);
  made.button.node.before(same.node);
  made.button.message.before(promise);
  const boxOf = (name) => made.fields.find((one) => one.name === name);
  if (boxOf('vin')) sayOddVin(boxOf('vin'));
  const [worker, role] = [boxOf('who'), boxOf('role')];
  worker.box.addEventListener('input', () => {
    const known = roleOf(worker.value());
    if (known) role.box.value = known;
  });
  return { node: made.node };
};
