// What a worksheet from elsewhere may say of wrenches: sound arithmetic, and scales in units of torque. The same rules
// as generator/journal/shapes/shape_bolts.py.

import { own } from '../../base/own.js';
import { areSmall } from './figures.js';
import { TORQUE } from './shapes.js';

// True if each wrench has a unit of torque. One in a unit that this worksheet does not know is never offered.
const measureTorque = ({ wrenches, units }) => (
  Object.values(wrenches ?? {}).map(({ unit }) => own(units, unit)).every((unit) => unit === null || unit.kind === 'torque')
);

/** True if its settings can be worked out. The rest of its shape must be sound already. */
export const areSound = (sheet) => {
  const trees = Object.hasOwn(sheet, 'torque') ? TORQUE.map((name) => own(sheet.torque, name)) : [];
  return areSmall(trees) && measureTorque(sheet);
};
