// What this phone can promise, before a job is started on it: what matters now in the open, the rest behind a line.

import { inTheOpen, isFirm, isInstallFirst, promised } from '../../keep/promise.js';
import { P, PROMISE } from '../../words/promise.js';
import { flag, fold, keyed, make, say, set, show } from '../common/nodes.js';

const lines = (parent, look) => keyed(parent, (key) => (
  { node: make('p', { 'data-promise': key, class: look }, PROMISE[key]), update: () => {} }
));

/**
 * promiseBox({guide}) -> {node, update(facts)}. guide: the address of the guide's page. facts: what promised() and
 * isInstallFirst() take.
 */
export const promiseBox = ({ guide }) => {
  const store = make('b');
  const open = make('div');
  const rest = make('div');
  const drawOpen = lines(open);
  const drawRest = lines(rest, 'small');
  const link = make('p', { class: 'small' }, make('a', { href: guide }, P.more));
  const more = fold({ class: 'working' }, P.title, rest, link);
  const home = fold(
    { class: 'working', 'data-promise': 'home' }, P.homeTitle,
    make('ol', {}, P.homeSteps.map((step, at) => make('li', {}, `${at + 1}. ${step}`))), make('p', { class: 'small' }, P.homeWhy),
  );
  const head = make('p', {}, store);
  const node = make('div', { class: 'device' }, head, open, more, home);
  const update = (facts) => {
    const keys = promised(facts);
    const [first, ...others] = inTheOpen(keys);
    const items = (some) => some.map((key) => [key]);
    set(head, 'data-promise', first);
    say(store, PROMISE[first]);
    flag(node, 'ready', isFirm(keys));
    flag(node, 'not', !isFirm(keys));
    drawOpen(items(others));
    drawRest(items(keys.filter((key) => key !== first && !others.includes(key))));
    show(home, isFirm(keys) && isInstallFirst(facts));
  };
  return { node, update };
};
