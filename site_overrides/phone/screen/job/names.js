// How steps, values and things are called on the screen: their numbers and their texts. Pure.

import { own } from '../../base/own.js';
import { tradeOf } from '../../journal/trade.js';
import { stepName } from '../../words/words.js';
import { figuresOf } from '../common/figures.js';
import { doText, drawnExtra } from '../common/step_text.js';

/** namesOf({state, sheet}) -> {stepOf, number, text, name, textIn, label, figures, trade, shown, told, stageOf, homes}; all but label and trade take a step's path. */
export const namesOf = ({ state, sheet }) => {
  const steps = new Map(sheet.steps.map((step) => [step.path, step]));
  const numbers = new Map(sheet.steps.map(({ path }, at) => [path, String(at + 1)]));
  const extras = Object.keys(state.extras);
  const stepOf = (path) => steps.get(path) ?? (state.extras[path] && drawnExtra(path, state.extras[path]));
  const number = (path) => numbers.get(path) ?? (extras.includes(path) ? `+${extras.indexOf(path) + 1}` : '');
  const figures = figuresOf({ state, sheet, number, stepOf });
  const { label } = figures;
  // In the worksheet at work, what a name stands for now; in an older one, what it gave itself.
  const elsewhere = (of, name) => of.values[name]?.text ?? `[${(of.values[name] ?? of.readings[name] ?? of.results?.find((one) => one.name === name))?.label ?? name}]`;
  const shownIn = (of) => (name) => (of === sheet ? figures.text(name) ?? `[${label(name)}]` : elsewhere(of, name));
  const textIn = (of, path) => {
    const step = of.steps.find((one) => one.path === path);
    return step ? doText(step, shownIn(of)) : path;
  };
  const told = (name) => (state.results?.[name]?.bad ? `[${label(name)}]` : shownIn(sheet)(name));
  const text = (path) => doText(stepOf(path), told);
  return {
    stepOf, number, text, textIn, label, figures,
    /** The words of the trade of the worksheet at work. */
    trade: tradeOf(sheet),
    /** What a name stands for now, or what it is called in brackets. */
    shown: shownIn(sheet),
    /** The same for what a step tells to do: a result that is not good is no figure to work by. */
    told,
    /** A part, tool, consumable or one-time fastener of the preparation. */
    need: (section, id) => own(sheet.needs[section], id)?.label ?? id,
    name: (path) => (path ? stepName(number(path), text(path)) : ''),
    stageOf: (path) => stepOf(path)?.stage,
    /** The path of a step and the old ones that its entries may still be on. */
    homes: (path) => [path, ...steps.get(path)?.was ?? []],
  };
};
