// Starting a job: its number, the vehicle as the shop writes it, the odometer with its unit, who works, in what role.
// A VIN may be given; what looks odd about it is said and never refused.

import { initialsOf } from '../../journal/people.js';
import { checkVin } from '../../quantities/vin.js';
import { ROLES, W, vinOdd } from '../../words/words.js';
import { form, numberOf } from '../common/form.js';
import { noWrench } from '../common/no_wrench.js';
import { make, sayOrHide, show } from '../common/nodes.js';
import { samePanel } from './same_number.js';

const ROLE_OPTIONS = Object.entries(ROLES).map(([value, label]) => ({ value, label }));
const UNITS = ['km', 'mi'].map((value) => ({ value, label: value }));

/**
 * startForm({sheet, filled, who, start, promise}) -> {node}. `filled` is what the lead wrote beforehand, all texts;
 * `promise` the node that says what this phone keeps: read before the button is pressed.
 */
export const startForm = ({ sheet, filled, who, start, promise }) => {
  const { people, odometer } = sheet.shop;
  const roleOf = (initials) => people.find((one) => one.initials === initialsOf(people, initials))?.role;
  const agreed = make('p', { class: 'note' });
  sayOrHide(agreed, filled.agreed ? `${W.agreed}: ${filled.agreed}` : '');
  const names = make('datalist', { id: 'people' }, people.map(({ initials, name }) => make('option', { value: initials }, name)));
  const made = form({
    fields: [
      { name: 'job', label: W.jobNumber, required: true, value: filled.job ?? '' },
      { name: 'vehicle', label: W.vehicle, required: true, value: filled.vehicle ?? '' },
      { name: 'odometer', label: W.odometer, type: 'number', required: true, value: filled.odometer ?? '' },
      { name: 'unit', label: W.unit, type: 'select', options: UNITS, value: filled.unit ?? odometer },
      { name: 'vin', label: W.vin, value: filled.vin ?? '' },
      { name: 'who', label: W.who, required: true, value: who ?? '', list: 'people' },
      { name: 'role', label: W.role, type: 'select', options: ROLE_OPTIONS, value: roleOf(who ?? '') ?? 'tech' },
    ],
    pair: ['odometer', 'unit'],
    action: 'start',
    keep: W.startKeep,
    look: 'press',
    before: [names, agreed, noWrench(sheet)].filter(Boolean),
    onKeep: (typed) => keep(typed, false),
  });
  const keep = async ({ job, vehicle, odometer: reading, unit, vin: number, who: typed, role: as }, isSecond) => {
    const initials = initialsOf(people, typed);
    if (!initials) return { kept: false, words: W.required(W.who) };
    const answer = await start({
      isSecond,
      who: initials,
      value: {
        number: job, vehicle, odometer: { number: String(numberOf(reading)), unit }, role: as, procedure: sheet.procedure,
        ...number && { vin: number.toUpperCase() },
      },
    });
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
  const [, , , , vin, worker, role] = made.fields;
  const odd = make('p', { class: 'note', role: 'status' });
  vin.node.after(odd);
  const look = () => sayOrHide(odd, vinOdd(checkVin(vin.value())));
  // While it is typed, never on leaving the box: what moves under a finger is missed.
  vin.box.addEventListener('input', look);
  look();
  worker.box.addEventListener('input', () => {
    const known = roleOf(worker.value());
    if (known) role.box.value = known;
  });
  return { node: made.node };
};
