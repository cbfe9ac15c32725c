// The one rule of nearness: when two figures count as equal. Pure. The same as generator/quantities/nearness.py.

// Two figures count as equal if they differ by no more than this share of the larger one. No gauge shows a billionth.
// 10 mm is 0.8 mm from 9.2 mm, 0.3 L is three steps of 0.1 L.
export const NEAR = 1e-9;

export const isNear = (a, b) => Math.abs(a - b) <= NEAR * Math.max(Math.abs(a), Math.abs(b));

/** On which side of b a figure is: -1 below, 0 if they count as equal, 1 above. */
export const side = (a, b) => (isNear(a, b) ? 0 : a < b ? -1 : 1);
