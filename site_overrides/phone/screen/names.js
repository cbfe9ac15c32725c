// How steps, values and things are called on the screen: their numbers and their texts. Pure.

import { stepName } from '../words.js';
import { plainText } from './rich.js';
import { extraStep } from './step.js';

/** namesOf({state, sheet}) -> {stepOf, number, text, name, textIn, label, stageOf, homes}; all but label take a step's path. */
export const namesOf = ({ state, sheet }) => {
  const steps = new Map(sheet.steps.map((step) => [step.path, step]));
  const numbers = new Map(sheet.steps.map(({ path }, at) => [path, String(at + 1)]));
  const extras = Object.keys(state.extras);
  const stepOf = (path) => steps.get(path) ?? (state.extras[path] && extraStep(path, state.extras[path]));
  const number = (path) => numbers.get(path) ?? (extras.includes(path) ? `+${extras.indexOf(path) + 1}` : '');
  const label = (value) => sheet.values[value]?.label ?? value;
  const shownIn = (of) => (value) => (of === sheet ? state.values : of.values)[value]?.text ?? `[${of.values[value]?.label ?? value}]`;
  const textIn = (of, path) => {
    const step = of.steps.find((one) => one.path === path);
    return step ? plainText(step.do, shownIn(of)) : path;
  };
  const text = (path) => plainText(stepOf(path)?.do, shownIn(sheet));
  return {
    stepOf, number, text, textIn, label,
    /** A part, tool, consumable or one-time fastener of the preparation. */
    need: (section, id) => sheet.needs[section]?.[id]?.label ?? id,
    name: (path) => (path ? stepName(number(path), text(path)) : ''),
    stageOf: (path) => stepOf(path)?.stage,
    /** The path of a step and the old ones that its entries may still be on. */
    homes: (path) => [path, ...steps.get(path)?.was ?? []],
  };
};
