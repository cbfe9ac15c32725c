// Step text: a tree of text, emphasis and values -> nodes.

import { table } from '../../base/own.js';
import { make, plainly } from './nodes.js';

// A number with its unit, short enough to be set large.
const isFigure = (text) => /^-?[0-9]/.test(text) && text.length < 14;

const TAGS = table({ em: 'em', strong: 'strong', code: 'code' });

/** Nodes of a tree; `shown` gives the text of a value by name. */
export const richNodes = (tree, shown) => (tree ?? []).map((node) => {
  if (typeof node === 'string') return document.createTextNode(plainly(node));
  if (node.v) return make('strong', { class: isFigure(shown(node.v)) ? 'figure' : null }, shown(node.v));
  return make(TAGS[node.t] ?? 'span', {}, ...richNodes(node.c, shown));
});
