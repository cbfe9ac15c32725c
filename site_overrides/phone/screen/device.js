// Whether this phone is ready to work without a network, and the button for a new version: never while a job is open.

import { OFFLINE, W, trouble as troubleWords } from '../words.js';
import { flag, keyed, make, say, sayOrHide, show } from './nodes.js';
import { pressButton } from './press.js';

/** deviceLine({update}) -> {node, update({state, words, replaced, trouble})}. update() takes the waiting version. */
export const deviceLine = ({ update: takeUpdate }) => {
  const line = make('p');
  const more = make('p', { class: 'small' });
  const later = make('p', { class: 'small' }, W.updateLater);
  const button = pressButton({ attrs: { 'data-action': 'update' }, look: 'small-press', onPress: takeUpdate });
  const troubles = make('div');
  const draw = keyed(troubles, () => {
    const node = make('p', { class: 'message', role: 'alert' });
    return { node, update: (text) => say(node, text) };
  });
  const node = make('div', { class: 'device', role: 'status' }, line, more, button.message, button.node, later, troubles);
  const update = ({ state, words, replaced, trouble }) => {
    const isReady = state === 'ready' || state === 'update-waiting';
    flag(node, 'ready', isReady);
    flag(node, 'not', state === 'none' || state === 'broken');
    say(line, OFFLINE[state] ?? '');
    sayOrHide(more, replaced ? W.otherTab : words ?? '');
    button.update({ label: W.update });
    show(button.node, state === 'update-waiting');
    show(later, state === 'update-waiting');
    draw(trouble.map((finding, at) => [`${at}`, troubleWords(finding)]).filter(([, text]) => text));
  };
  return { node, update };
};
