// A small form: boxes, then one button that keeps it. Half-typed text stays until it is kept.

import { own, table } from '../../base/own.js';
import { meanings } from '../../quantities/typed_numbers.js';
import { W } from '../../words/words.js';
import { fold, keyed, make, say, set, show } from './nodes.js';
import { isDone, pressButton } from './press.js';
import { pressBegun } from './press_guard.js';

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

// Done, and nothing more to be said about it.
const isWell = (answer) => isDone(answer) && !answer.words;

const lacking = (fields) => {
  for (const { about, node, value } of fields) {
    if (node.hidden) continue;
    if (about.required && value() === '') return W.required(about.label);
    if (about.type === 'number' && value() !== '' && numberOf(value()) === null) return W.needNumber(about.label);
  }
  return null;
};

/**
 * form({fields, action, keep, onKeep, pair, hold}) -> {node, fields, press(), update({fields: {name: {...}}, keep, off, hide})}.
 * onKeep(values) -> Promise of {kept, why} or null. `action` is the button's data-action; `pair` names two boxes that
 * stand side by side.
 */
export const form = ({ fields: wanted, action, attrs = {}, keep, onKeep, before = [], pair = [], look = 'small-press', hold = false }) => {
  const fields = wanted.map(field);
  const values = () => Object.fromEntries(fields.map((one) => [one.name, one.value()]));
  const press = async () => {
    const words = lacking(fields);
    if (words) return { kept: false, words };
    const answer = await onKeep(values());
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
