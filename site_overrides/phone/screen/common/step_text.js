// A step and its answers as plain texts, and the step that somebody added on the phone. Pure.

import { extraStep } from '../../journal/entries.js';
import { W, answer } from '../../words/words.js';

/** The text of a tree in one line; shown(name) gives the text of a value. */
export const plainText = (tree, shown) => (tree ?? []).map((node) => {
  if (typeof node === 'string') return node;
  return node.v ? shown(node.v) : plainText(node.c, shown);
}).join('');

/** What tells a step from the same one at another corner, before its text: `Rear left: `, or nothing. */
export const whichOf = (step) => (step?.which ? `${step.which[0].toUpperCase()}${step.which.slice(1)}: ` : '');

/** What a step tells to do, in one line. */
export const doText = (step, shown) => `${whichOf(step)}${plainText(step?.do, shown)}`;

/** An extra step as it is drawn. It has no entry in the worksheet: it is made from what was said when it was added. */
export const drawnExtra = (path, { kind, value }) => ({
  ...extraStep(path, kind === 'took-off'),
  stage: -1, do: [kind === 'took-off' ? W.putBack(value) : value.label], why: null, words: {}, cautions: [], uses: [], takes: [],
  picture: null,
});

/** What an answer of a step is called, by its name. */
export const labelOf = (step) => (name) => step.check.outcomes?.find((one) => one.name === name)?.label ?? name;

const partLabel = (step, part) => step.check.parts?.find((one) => one.id === part)?.label ?? part;

/** What a step was answered, with its part where it has several. */
export const answerLine = (step, given) => {
  const said = answer(given, labelOf(step));
  return given.part ? `${partLabel(step, given.part)}: ${said}` : said;
};
