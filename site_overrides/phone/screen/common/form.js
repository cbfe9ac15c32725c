// A small form: boxes, then one button that keeps it. Half-typed text stays until it is kept.

import { own, table } from '../../base/own.js';
import { meanings } from '../../quantities/typed_numbers.js';
import { W } from '../../words/words.js';
import { fold, keyed, make, say, set, show } from './nodes.js';
import { isDone, pressButton } from './press.js';
import { pressBegun } from './press_guard.js';
import { typedNumber } from './typed_number.js';

const input = ({ name, type = 'text', inputmode, list, placeholder }) => make('input', {
  'data-field': name, type, inputmode, list, placeholder, autocomplete: 'off', autocapitalize: 'sentences', enterkeyhint: 'done',
});

const checkbox = ({ name }) => make('input', { 'data-field': name, type: 'checkbox' });

const select = ({ name }) => make('select', { 'data-field': name });

const BOXES = table({ select, checkbox, text: input, number: input, date: input, file: input });

/** field({name, label, type, required, options, value}) -> {node, box, value(), clear(), update({options, value})}. */
export const field = (about) => {
  const number = about.type === 'number';
  const box = (BOXES[about.type] ?? input)(number ? { ...about, type: 'text', inputmode: 'decimal' } : about);
  const ticks = about.type === 'checkbox';
  const label = make('span', {}, about.label);
  const node = ticks ? make('label', { class: 'pick' }, box, label) : make('label', { class: 'field' }, label, box);
  const drawOptions = about.type === 'select' ? keyed(box, option) : null;
  let touched = false;
  box.addEventListener('input', () => { touched = true; });
  const put = (value) => {
    if (ticks) box.checked = Boolean(value);
    else if (box.value !== value) box.value = value;
  };
  const update = ({ options, value, label: text } = {}) => {
    if (text !== undefined) say(label, text);
    if (options && drawOptions) drawOptions(options.map((one) => [one.value, one]));
    if (value !== undefined && !touched && document.activeElement !== box) put(value);
  };
  update(about);
  const clear = () => {
    touched = false;
    put(about.value ?? (about.type === 'select' ? box.options[0]?.value ?? '' : ''));
  };
  return { node, box, name: about.name, about, value: () => (ticks ? box.checked : box.value.trim()), clear, update };
};

const option = (value) => {
  const node = make('option', { value });
  return { node, update: ({ label }) => say(node, label) };
};

/** A number as a person types it (`12,5` too), or null: also where it can mean two numbers. */
export const numberOf = (text) => {
  const found = meanings(text);
  return found.length === 1 ? Number(found[0]) : null;
};

// The boxes of a form that take a number, each with what it means and the question which of two it is. `about` of a field
// may say `tests(values)`, what the number can be, `unit(values)`, how it is named, and `isNumber(values)`, now and then.
const numbersOf = (fields, values) => fields
  .filter(({ about }) => about.type === 'number' || about.isNumber)
  .map((one) => ({ ...typedNumber({ field: one, tests: () => one.about.tests?.(values()) ?? [], unit: () => one.about.unit?.(values()) ?? '' }), one }));

const isNumber = ({ about, node, value }, values) => !node.hidden && value() !== '' && (about.isNumber?.(values) ?? true);

// Done, and nothing more to be said about it.
const isWell = (answer) => isDone(answer) && !answer.words;

const lacking = (fields, numbers) => {
  const empty = fields.find(({ about, node, value }) => !node.hidden && about.required && value() === '');
  const none = numbers.find(({ meant }) => meant().length === 0);
  const [first] = fields.filter((one) => one === empty || one === none?.one);
  if (!first) return null;
  return first === empty ? W.required(first.about.label) : W.needNumber(first.about.label);
};

/**
 * form({fields, action, keep, onKeep, pair, hold}) -> {node, fields, press(), update({fields: {name: {...}}, keep, off, hide})}.
 * onKeep(values) -> Promise of {kept, why} or null; a number among them is spelled so that numberOf reads it. `action` is
 * the button's data-action; `pair` names two boxes that stand side by side.
 */
export const form = ({ fields: wanted, action, attrs = {}, keep, onKeep, before = [], pair = [], look = 'small-press', hold = false }) => {
  const fields = wanted.map(field);
  const values = () => Object.fromEntries(fields.map((one) => [one.name, one.value()]));
  const numbers = numbersOf(fields, values);
  const press = async () => {
    const filled = numbers.filter(({ one }) => isNumber(one, values()));
    const words = lacking(fields, filled);
    if (words) return { kept: false, words };
    if (filled.map(({ asks }) => asks()).some(Boolean)) return null;
    // Of a number that is kept its clear spelling is handed on.
    const clear = Object.fromEntries(filled.map(({ one, meant }) => [one.name, meant()[0]]));
    const answer = await onKeep({ ...values(), ...clear });
    if (isWell(answer)) fields.forEach((one) => one.clear());
    return answer;
  };
  const button = pressButton({ attrs: { 'data-action': action, ...attrs }, hold, onPress: press, look });
  button.update({ label: keep });
  const node = make('div', { class: 'inside' }, ...before, ...fields.map((one) => one.node), button.message, button.node);
  const side = fields.filter((one) => pair.includes(one.name)).map((one) => one.node);
  if (side.length > 1) {
    const both = make('div', { class: 'pair' });
    side[0].replaceWith(both);
    both.append(...side);
  }
  for (const { node: asked, one } of numbers) (one.node.closest('.pair') ?? one.node).after(asked);
  // What is asked names the unit.
  node.addEventListener('change', ({ target }) => target.matches('select') && numbers.forEach(({ hide }) => hide()));
  node.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || !event.target.matches('input:not([type="checkbox"])')) return;
    event.preventDefault();
    if (pressBegun(event)) button.node.click();
  });
  const update = ({ fields: news = {}, keep: label = keep, off = false, hide = [] } = {}) => {
    for (const one of fields) {
      if (own(news, one.name)) one.update(own(news, one.name));
      show(one.node, !hide.includes(one.name));
    }
    button.update({ label, off });
  };
  return { node, fields, button, values, press, update };
};

/** The same behind a line that opens it. */
export const foldedForm = ({ title, ...about }) => {
  const made = form({
    ...about,
    onKeep: async (values) => {
      const answer = await about.onKeep(values);
      if (isWell(answer)) node.open = false;
      return answer;
    },
  });
  const node = fold({ class: `form ${about.kind ?? ''}`.trim() }, title, made.node);
  const update = (data) => {
    if (data?.title) say(node.firstElementChild, data.title);
    if (data && 'gone' in data) set(node, 'hidden', data.gone ? true : null);
    made.update(data);
  };
  return { ...made, node, update };
};
