// What is still loose, off or in: always at the top, counted, and listed on a tap, with the bolt lists.

import { listsOf, tradeOf } from '../../journal/trade.js';
import { anyOpen, listTitle, openLine, standsSo, stillOpen } from '../../words/trade.js';
import { W } from '../../words/words.js';
import { keyed, make, say, set, show } from '../common/nodes.js';
import { boltList } from '../step/bolt_list.js';

const itemLine = () => {
  const count = make('b');
  const label = make('span');
  const stands = make('span', { class: 'stands' });
  const node = make('li', {}, count, label, stands);
  const update = (item) => {
    say(count, item.open);
    say(label, item.label);
    say(stands, standsSo(item));
  };
  return { node, update };
};

// Of a list the bolts with what was done to them; what was taken off besides is a line as in the count.
const listOf = (name, { sheet, look }) => {
  const bolts = boltList({ sheet, look });
  const list = make('ul');
  const done = make('p', { class: 'small' });
  const draw = keyed(list, itemLine);
  const node = make('section', {}, make('h2', {}, listTitle(name, tradeOf(sheet))), done, bolts.node, list);
  const update = ({ items, total, state, shared }) => {
    const told = state.bolts?.[name] ?? [];
    const rest = items.filter((item) => !told.some((bolt) => bolt.item === item.name));
    say(done, items.length || told.some(({ closed }) => !closed) ? '' : total ? W.listDone : W.listNothing);
    show(done, done.textContent);
    bolts.update({ bolts: told, shared });
    draw(rest.map((item) => [item.name, item]));
  };
  return { node, update };
};

/** openItems({sheet, look}) -> {node, update({state, shared})}. */
export const openItems = ({ sheet, look }) => {
  const trade = tradeOf(sheet);
  const line = make('span');
  const summary = make('summary', {}, line);
  const list = make('ul');
  const draw = keyed(list, itemLine);
  const none = make('p', {}, W.openNone(anyOpen(trade)));
  const lists = listsOf(trade).map((name) => ({ name, ...listOf(name, { sheet, look }) }));
  const panel = make('div', { class: 'panel' }, make('h2', {}, W.openTitle(anyOpen(trade))), none, list, make('h2', {}, lists.length ? W.boltLists : ''), lists.map((one) => one.node));
  const node = make('details', { class: 'drop open-items' }, summary, panel);
  const update = ({ state, shared }) => {
    const items = stillOpen(state.items, trade);
    set(node, 'data-open-items', state.open);
    say(line, openLine(items, trade));
    show(none, items.length === 0);
    draw(items.map((item) => [item.name, item]));
    for (const one of lists) {
      const open = new Set(state.lists[one.name].open);
      const total = Object.values(state.items).filter((item) => item.list === one.name).length;
      one.update({ items: items.filter((item) => open.has(item.name)), total, state, shared });
    }
  };
  return { node, update };
};
