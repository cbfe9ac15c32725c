// What was just done, said where it is seen and read out: over the bottom bar, until the next press.

import { make, say } from '../common/nodes.js';

/** told() -> {node, say(text), clear()}. */
export const told = () => {
  const node = make('p', { class: 'told', role: 'status' });
  return { node, say: (text) => say(node, text), clear: () => say(node, '') };
};
