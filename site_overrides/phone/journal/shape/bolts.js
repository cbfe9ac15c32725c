// What a stranger's worksheet may say of wrenches: sound arithmetic, and none but the shop's own.
// The same rules as generator/journal/shapes/shape_bolts.py.

import { own } from '../../base/own.js';
import { areSmall } from './figures.js';
import { TORQUE } from './shapes.js';

// Each wrench that a setting names is one of the shop's, and its unit one of torque.
const areAtHand = ({ steps, wrenches, units }) => {
  const pulls = steps.flatMap(({ check }) => (check.kind === 'tighten' ? check.parts : []));
  const named = new Set(pulls.flatMap(({ settings }) => (settings ?? []).map(({ wrench }) => wrench)));
  return [...named].every((name) => {
    const wrench = own(wrenches, name);
    return wrench !== null && own(units, wrench.unit)?.kind === 'torque';
  });
};

/** Can its settings be worked out? The rest of its shape is sound. */
export const areSound = (sheet) => {
  const trees = Object.hasOwn(sheet, 'torque') ? TORQUE.map((name) => own(sheet.torque, name)) : [];
  return areSmall(trees) && areAtHand(sheet);
};
