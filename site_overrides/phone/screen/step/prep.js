// The preparation: what must be here before the first bolt. Confirmed by exception: tap what is missing, then the list.

import { SECTIONS, W } from '../../words/words.js';
import { noWrench } from '../common/no_wrench.js';
import { flag, keyed, make, say, set, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';

const linesOf = (sheet, section) => {
  const { needs, values } = sheet;
  if (section === 'values') return needs.values.map((name) => ({ id: name, label: values[name].label }));
  return Object.entries(needs[section] ?? {}).map(([id, { label, count, number, one_time: once }]) => ({
    id,
    label: [count > 1 ? `${count} × ${label}` : label, number, once && W.alwaysNew].filter(Boolean).join(', '),
  }));
};

const thing = (id, name, toggle) => {
  const mark = make('span', { class: 'mark' });
  const label = make('span');
  const node = make('button', { type: 'button', class: 'thing', 'data-field': `except:${id}`, onclick: () => toggle(id) }, label, mark);
  const update = ({ text, missing }) => {
    say(label, text);
    set(node, 'aria-pressed', missing ? 'true' : 'false');
    say(mark, missing ? (name === 'values' ? W.missingValue : W.missingHere) : W.here);
  };
  return { node, update };
};

const section = (name, { sheet, send }) => {
  const lines = linesOf(sheet, name);
  let except = null; // null: as last confirmed
  let view = null;
  const list = make('div');
  const drawList = keyed(list, (id) => thing(id, name, toggle));
  const says = make('span', { class: 'says' });
  const button = pressButton({
    attrs: { 'data-action': 'confirm', 'data-part': name },
    look: 'small-press',
    onPress: async () => {
      const answer = await send({ kind: 'confirm', step: '', part: name, value: { except: [...current()].sort() } });
      if (isDone(answer)) except = null;
      return answer;
    },
  });
  const node = make('details', { class: 'prep' }, make('summary', {}, SECTIONS[name], says), list, button.message, button.node);
  const missingValues = () => lines.map(({ id }) => id).filter((id) => view.shared.state.values[id]?.missing);
  const current = () => (name === 'values' ? new Set(missingValues()) : except ?? new Set(view.shared.state.ready[name].except));
  const toggle = (id) => {
    if (name === 'values') return view.shared.look(view.shared.journal.stepUsing(id));
    except = new Set(current());
    if (!except.delete(id)) except.add(id);
    return draw();
  };
  const draw = () => {
    const { confirmed, except: said } = view.shared.state.ready[name];
    const missing = current();
    show(node, lines.length > 0);
    node.classList.toggle('confirmed', confirmed);
    const isLoose = confirmed && view.shared.saved.isUnkept('confirm', name);
    flag(node, 'unkept', isLoose);
    say(says, isLoose ? W.unkeptSo(W.confirmed(said.length)) : confirmed ? W.confirmed(said.length) : W.notConfirmed);
    drawList(lines.map(({ id, label }) => [id, { text: label, missing: missing.has(id) }]));
    const label = name === 'values' ? W.valuesConfirm(missing.size) : missing.size ? W.allExcept(missing.size) : W.allHere;
    const same = confirmed && [...missing].sort().join() === [...said].sort().join();
    button.update({ label: same ? (isLoose ? W.unkeptSo : String)(W.confirmed(said.length)) : label, off: same });
    return confirmed || lines.length === 0;
  };
  let wasOpen = null;
  const update = (next, isFirst) => {
    view = next;
    const done = draw();
    const open = isFirst && !done;
    if (open !== wasOpen) node.open = open;
    wasOpen = open;
    return done;
  };
  return { node, update };
};

/** preparation({sheet, send}) -> {node, update(view)}: the five lists; the first not confirmed stands open. */
export const preparation = ({ sheet, send }) => {
  const sections = Object.keys(SECTIONS).map((name) => section(name, { sheet, send }));
  const node = make('div', {}, make('h3', {}, W.preparation), make('p', { class: 'small' }, W.preparationSay), noWrench(sheet), sections.map((one) => one.node));
  const update = (view) => {
    let isFirst = true;
    for (const one of sections) if (!one.update(view, isFirst)) isFirst = false;
  };
  return { node, update };
};
