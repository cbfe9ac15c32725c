// A quantity: a number with its unit, read from the text that a worksheet or a person gives. Only this module takes such a
// text apart. Pure. The same readers as generator/quantities/quantity.py.

const READ = /^[ \u00a0]*([+-]?[0-9]+(?:[.,][0-9]+)?)[ \u00a0]*([^ \u00a0]*)[ \u00a0]*$/;
const TURNS = /^([0-9]{1,2})(?: .*)?$/s;
const THEN = ' then ';
const DIGITS = 15;

/**
 * quantityOf('22,0 N.m') -> {number: '22,0', unit: 'N.m', figure: 22}, or null. The number is as it was typed, with or
 * without a sign; `figure` is the number to calculate with.
 * @param {string | null | undefined} text
 */
export const quantityOf = (text) => {
  const [, number, unit] = READ.exec(text ?? '') ?? [];
  return number === undefined ? null : { number, unit, figure: Number(number.replace(',', '.')) };
};

/** The pulls of a tightening one by one: `12 N.m then 90 deg`. @param {string} text */
export const stagesOf = (text) => text.split(THEN);

/** The text that `stagesOf` takes apart. @param {string[]} stages */
export const staged = (stages) => stages.join(THEN);

/**
 * A quantity without a sign, with one space, or null.
 * @param {string | null | undefined} text
 */
export const plainQuantity = (text) => {
  const read = quantityOf(text);
  return read?.unit && text === `${read.number} ${read.unit}` && /^[0-9]/.test(text) ? read : null;
};

/** True if it has at most 15 digits on each side of the point, as many as are calculated with. */
export const isShort = ({ number }) => number.replace(/^[+-]/, '').split(/[.,]/).every(({ length }) => length <= DIGITS);

/**
 * The whole number that a text begins with: `2`, `2 turns`. null if there is none.
 * @param {string | null | undefined} text
 */
export const turnsOf = (text) => {
  const read = TURNS.exec(text ?? '');
  return read ? Number(read[1]) : null;
};
