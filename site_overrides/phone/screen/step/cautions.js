// A caution: the signal word first, then what can hurt, how, and how to avoid it. Drawn before whatever it guards.

import { SIGNAL } from '../../words/words.js';
import { make } from '../common/nodes.js';

// "caution" is also the name of the whole block, so its level has a class of its own.
const classOf = (level) => `caution ${level === 'caution' ? 'caution-level' : level}`;

const signal = (level) => make('p', { class: 'signal' }, make('span', { class: 'alert', 'aria-hidden': 'true' }), SIGNAL[level]);

const body = ({ hazard, harm, avoid }) => [
  make('p', {}, make('b', {}, hazard), ` ${harm}`), make('p', { class: 'avoid' }, avoid),
];

export const caution = (one) => make(
  'div', { class: classOf(one.level), 'data-caution': one.level, role: 'note' }, signal(one.level), body(one),
);

/** A stage's caution on a later step of the stage: the word and the hazard stand there, the rest opens on a tap. */
export const caughtBefore = (one) => make(
  'details', { class: `${classOf(one.level)} again`, 'data-caution': one.level },
  make('summary', {}, make('span', { class: 'signal' }, SIGNAL[one.level]), make('span', {}, one.hazard)),
  make('p', {}, one.harm), make('p', { class: 'avoid' }, one.avoid),
);

const WORST_FIRST = ['danger', 'warning', 'caution', 'notice'];
const rank = ({ level }) => WORST_FIRST.indexOf(level);

/**
 * Cautions, the worst first, within a level as they come: also a stage's and a step's together, and those of a worksheet
 * from before the desk put them in order. The array is a new one.
 */
export const worstFirst = (cautions) => [...cautions].sort((one, other) => rank(one) - rank(other));

/** The worst signal word of some cautions as a small badge, for a row that does not show them; null without any. */
export const badge = (cautions) => {
  const level = WORST_FIRST.find((wanted) => cautions.some((one) => one.level === wanted));
  return level ? make('span', { class: `badge ${level}` }, SIGNAL[level]) : null;
};
