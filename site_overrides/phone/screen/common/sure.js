// "Sure?": asked once about a figure that is not what was expected, whoever typed it and wherever. And which of two numbers
// was meant, where a text can mean both.

import { W, figureSaid } from '../../words/words.js';
import { keyed, make, say, show } from './nodes.js';
import { pressButton } from './press.js';

// Figures {number, unit} in words, and each as a button that hands it to `write`.
const offered = (write) => {
  const meant = make('p');
  const list = make('div', { class: 'choices' });
  const draw = keyed(list, (_, one) => {
    const node = make('button', { type: 'button', class: 'small-press', onclick: () => write(one) });
    return { node, update: ({ number, unit }) => say(node, figureSaid(number, unit)) };
  });
  const update = (others) => {
    show(meant, others.length > 0);
    say(meant, W.sureMeant(others.map((one) => figureSaid(one.number, one.unit))));
    draw(others.map((one) => [`${one.number} ${one.unit}`, one]));
  };
  return { nodes: [meant, list], update };
};

/**
 * surePanel({write, keep}) -> {node, update({given, others, range})}: what else the figure {number, unit} may have been, each
 * of `others` in words and as a button that writes it into the box; `range`, what was expected; and the way to keep it.
 */
export const surePanel = ({ write, keep }) => {
  const title = make('p', { class: 'ask' });
  const expected = make('p', { class: 'small' });
  const choices = offered(write);
  const button = pressButton({ attrs: { 'data-action': 'confirm' }, look: 'small-press plain-press', onPress: keep });
  const node = make('div', { class: 'sure', role: 'group' }, title, expected, ...choices.nodes, button.message, button.node);
  const update = ({ given, others, range }) => {
    const figure = figureSaid(given.number, given.unit);
    say(title, W.sureTitle(figure));
    say(expected, range);
    choices.update(others);
    button.update({ label: W.sureKeep(figure) });
  };
  return { node, update };
};

/** whichPanel({write}) -> {node, update({text, others})}: the figures that a text can mean, each as a button that writes it. */
export const whichPanel = ({ write }) => {
  const title = make('p', { class: 'ask' });
  const choices = offered(write);
  const why = make('p', { class: 'small' }, W.whichWhy);
  const node = make('div', { class: 'which', role: 'group', 'data-which': true }, title, why, ...choices.nodes);
  const update = ({ text, others }) => {
    say(title, W.whichTitle(text));
    choices.update(others);
  };
  return { node, update };
};
