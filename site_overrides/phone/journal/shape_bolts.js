// What a stranger's worksheet may say of bolts and wrenches. The forms are those of shape.js.
// The same table as generator/journal/shape_bolts.py.

import { own, table } from '../own.js';
import { areSmall } from './shape_figures.js';

const BAND = { low: 'number', high: 'number' };
// What a value says of its bolts, a tighten of its pulls; older worksheets say none of it.
const LIMIT = { low: 'number', high: 'number', above: 'yes or no', whole: 'yes or no' };
export const BOLT = {
  'limits?': LIMIT,
  'reuse?': 'text',
  'condition?': 'text',
  'into?': 'text',
  'grade?': 'text',
  'engaged?': 'text',
  'doubt?': 'text',
  'band?': BAND,
  'points?': [['share']],
};
const SETTING = { wrench: 'id', number: 'number', text: 'text', inside: 'yes or no' };
export const PULL = { id: 'text', 'kind?': new Set(['torque', 'angle']), 'settings?': [SETTING] };
const WRENCH = {
  label: 'text',
  low: 'number',
  high: 'number',
  step: 'step',
  unit: 'text',
  iso: 'text',
  accuracy: 'share',
  'lever?': 'step',
  'due?': 'day',
};
const ADAPTER = { label: 'text', length: 'number', 'angle?': 'number' };
const TREES = ['setting', 'rounding', 'offered', 'inside'];
export const TOOLS = table({
  wrenches: { '-': WRENCH },
  adapters: { '-': ADAPTER },
  torque: Object.fromEntries(TREES.map((name) => [name, 'anything'])),
});
export const NO_WRENCH = [{ value: 'name', label: 'text', text: 'text or null', why: 'text' }];
const MOST_POINTS = 500;


const isMap = (points) => points.length <= MOST_POINTS && points.every((point) => point.length === 2);

// Each wrench that a setting names is one of the shop's, and its unit one of torque.
const areAtHand = ({ steps, wrenches, units }) => {
  const pulls = steps.flatMap(({ check }) => (check.kind === 'tighten' ? check.parts : []));
  const named = new Set(pulls.flatMap(({ settings }) => (settings ?? []).map(({ wrench }) => wrench)));
  return [...named].every((name) => {
    const wrench = own(wrenches, name);
    return wrench !== null && own(units, wrench.unit)?.kind === 'torque';
  });
};

/** Can its map be drawn and its settings be worked out? The rest of its shape is sound. */
export const areSound = (sheet) => {
  const maps = Object.values(sheet.values).map(({ points }) => points ?? []);
  const trees = Object.hasOwn(sheet, 'torque') ? TREES.map((name) => own(sheet.torque, name)) : [];
  return maps.every(isMap) && areSmall(trees) && areAtHand(sheet);
};
