// "Sure?": asked once about a figure that is not what was expected, whoever typed it and wherever.

import { W, figureSaid } from '../../words/words.js';
import { keyed, make, say, show } from './nodes.js';
import { pressButton } from './press.js';

/**
 * surePanel({write, keep}) -> {node, update({given, others, range})}: what else the figure {number, unit} may have been, each
 * of `others` in words and as a button that writes it into the box; `range`, what was expected; and the way to keep it.
 */
export const surePanel = ({ write, keep }) => {
  const title = make('p', { class: 'ask' });
  const expected = make('p', { class: 'small' });
  const meant = make('p');
  const list = make('div', { class: 'choices' });
  const draw = keyed(list, (_, one) => {
    const node = make('button', { type: 'button', class: 'small-press', onclick: () => write(one) });
    return { node, update: ({ number, unit }) => say(node, figureSaid(number, unit)) };
  });
  const button = pressButton({ attrs: { 'data-action': 'confirm' }, look: 'small-press plain-press', onPress: keep });
  const node = make('div', { class: 'sure', role: 'group' }, title, expected, meant, list, button.message, button.node);
  const update = ({ given, others, range }) => {
    const figure = figureSaid(given.number, given.unit);
    say(title, W.sureTitle(figure));
    say(expected, range);
    show(meant, others.length > 0);
    say(meant, W.sureMeant(others.map((one) => figureSaid(one.number, one.unit))));
    draw(others.map((one) => [`${one.number} ${one.unit}`, one]));
    button.update({ label: W.sureKeep(figure) });
  };
  return { node, update };
};
