// A bolt list: every bolt of it that this job loosens, whether it is tight again, what it was tightened to, on which
// wrench, by whom and when. What is not tight stands first; each line leads to its step.

import { table } from '../../base/own.js';
import { tradeOf } from '../../journal/trade.js';
import { listTitle } from '../../words/trade.js';
import { W, boltStands, keptOn, said } from '../../words/words.js';
import { keyed, make, say, sayOrHide, set } from '../common/nodes.js';

const RANK = table({ loose: 0, some: 0, later: 1, tight: 2 });

/** loose: off now; some: a few pulls are kept; later: this job has not come to it; tight. */
const standsOf = ({ item, closed, done }, items) => {
  if (closed) return 'tight';
  if (done > 0) return 'some';
  return items[item]?.open > 0 ? 'loose' : 'later';
};

const boltLine = (look) => {
  const stands = make('span', { class: 'stands' });
  const label = make('b');
  const value = make('span', { class: 'bolt-value' });
  const how = make('span', { class: 'small' });
  const button = make('button', { type: 'button', class: 'bolt-line', onclick: () => look(bolt.step) }, label, stands, value, how);
  const node = make('li', {}, button);
  let bolt = null;
  const update = ({ bolt: next, now, sheet, shared }) => {
    bolt = next;
    const { label: called = bolt.item } = shared.state.items[bolt.item] ?? {};
    const about = sheet.values[bolt.value];
    set(node, 'data-stands', now);
    say(label, bolt.count > 1 ? W.boltCount(bolt.count, called) : called);
    say(stands, boltStands(now, bolt));
    const figure = said(shared.state.values[bolt.value]?.text ?? about?.text ?? '');
    const { sure, second } = shared.state.values[bolt.value] ?? {};
    sayOrHide(value, figure && [W.boltValue(figure), second && W.readers(second), sure && W.askedSure].filter(Boolean).join(' · '));
    const wrench = bolt.wrench ? sheet.wrenches?.[bolt.wrench]?.label ?? bolt.wrench : '';
    sayOrHide(how, [bolt.set && W.boltSet(said(bolt.set), wrench), bolt.new && W.boltNew, bolt.who && keptOn(bolt)].filter(Boolean).join(' · '));
  };
  return { node, update };
};

/** The bolts of a list in the order they are read: [{bolt, now}], what is not tight first. */
export const inOrder = (bolts, items) => bolts
  .map((bolt) => ({ bolt, now: standsOf(bolt, items) }))
  .sort((a, b) => RANK[a.now] - RANK[b.now]);

/** boltList({name, sheet, look}) -> {node, update({bolts, shared})}. */
export const boltList = ({ sheet, look }) => {
  const node = make('ul', { class: 'bolt-list' });
  const draw = keyed(node, () => boltLine(look));
  const update = ({ bolts, shared }) => draw(
    inOrder(bolts, shared.state.items).map(({ bolt, now }) => [`${bolt.item} ${bolt.step}`, { bolt, now, sheet, shared }]),
  );
  return { node, update };
};

const gateList = (name, { sheet, look }) => {
  const count = make('span', { class: 'count' });
  const list = boltList({ sheet, look });
  const node = make('details', { class: 'gate-list' }, make('summary', {}, make('span', {}, listTitle(name, tradeOf(sheet))), count), list.node);
  let wasOpen = null;
  const update = ({ shared }) => {
    const bolts = shared.state.bolts?.[name] ?? [];
    const tight = bolts.filter(({ closed }) => closed).length;
    node.hidden = bolts.length === 0;
    set(node, 'data-tight', bolts.length > 0 && tight === bolts.length);
    say(count, W.boltsTight(tight, bolts.length));
    list.update({ bolts, shared });
    const isOpen = tight < bolts.length;
    if (isOpen !== wasOpen) node.open = isOpen;
    wasOpen = isOpen;
  };
  return { node, update };
};

/** gateLists({step, sheet}) -> {nodes, update({shared})}: the lists a gate waits for, in its own step. */
export const gateLists = ({ step, sheet }) => {
  let shared = null;
  const look = (path) => shared.look(path);
  const lists = (step.gate?.lists ?? []).map((name) => gateList(name, { sheet, look }));
  const update = (view) => {
    shared = view.shared;
    for (const one of lists) one.update(view);
  };
  return { nodes: lists.map(({ node }) => node), update };
};
