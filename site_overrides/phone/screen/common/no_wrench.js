// Torques that no wrench of the shop can set: said when a job is started and before its first bolt, not at the bolt.

import { W, said } from '../../words/words.js';
import { make } from './nodes.js';

/** noWrench(sheet) -> a node, or null where every torque has its wrench. */
export const noWrench = ({ needs }) => {
  const lacking = needs.no_wrench ?? [];
  if (!lacking.length) return null;
  const lines = lacking.map(({ label, text, why }) => make('li', {}, W.noWrenchFor(label, said(text), why)));
  return make('div', { class: 'warn no-wrench' }, make('b', {}, W.noWrenchTitle), make('ul', {}, lines), make('p', { class: 'small' }, W.noWrenchSay));
};
