// A number as a person types it into a box. Comma and point are both decimal signs. Both in one number are read by the
// last. Three digits behind a single mark can mean thousands or thousandths; then there are two meanings, and who knows
// what the field can be chooses or asks. Pure. The same table as generator/quantities/typed_numbers.py.

// Full-width digits and signs stand at one distance from the plain ones.
const FULL_WIDTH = /[\uff10-\uff19\uff0b-\uff0e]/g;
const AWAY = 0xfee0;
const MINUS = /\u2212/g;
const SPACES = /[\t\u00a0\u2007\u2009\u202f\u3000]/g;
const ONE_MARK = /^([+-]?)([0-9]*)(?:[.,]([0-9]*))?$/;
const IN_THREES = /^([+-]?)([1-9][0-9]{0,2}([ .,])[0-9]{3}(?:\3[0-9]{3})*)(?:([.,])([0-9]*))?$/;
const DOUBTFUL = /^-?[1-9][0-9]{0,2}\.[0-9]{3}$/;
const DIGITS = 15; // on each side of the decimal sign, as many as are calculated with

// One form of each digit, sign, mark and space.
const plain = (text) => text
  .replace(FULL_WIDTH, (one) => String.fromCharCode(one.charCodeAt(0) - AWAY))
  .replace(MINUS, '-').replace(SPACES, ' ').replace(/^ +| +$/g, '');

/**
 * clear('118.350') -> '118.35', clear('1.234') -> '1.2340': spelled so that it can't be taken for another number.
 * @param {string} number
 */
export const clear = (number) => {
  if (!DOUBTFUL.test(number)) return number;
  const shorter = number.replace(/0+$/, '').replace(/\.$/, '');
  return shorter === number ? `${number}0` : shorter;
};

const spelled = ({ sign, whole, part }) => {
  const number = (whole.replace(/^0+/, '') || '0') + (part ? `.${part}` : '');
  return clear(sign === '-' && /[1-9]/.test(number) ? `-${number}` : number);
};

/**
 * meanings('118,350') -> ['118.35', '118350']: each number that the text can mean, with a point and spelled so that it has
 * no second meaning. [] for what is no number; two where a mark may part thousands, the decimals first.
 * @param {unknown} text
 * @returns {string[]}
 */
export const meanings = (text) => {
  const shown = plain(String(text));
  const one = ONE_MARK.exec(shown);
  const threes = IN_THREES.exec(shown);
  const found = [];
  if (one && (one[2] || one[3])) found.push({ sign: one[1], whole: one[2], part: one[3] ?? '' });
  if (threes && threes[4] !== threes[3]) {
    found.push({ sign: threes[1], whole: threes[2].split(threes[3]).join(''), part: threes[5] ?? '' });
  }
  return found.filter(({ whole, part }) => whole.length <= DIGITS && part.length <= DIGITS).map(spelled);
};

/**
 * meant(text, ...tests) -> what the text means in a field: the first of the tests that any meaning passes chooses. If two
 * pass it, both are left, to be asked about; if none passes any, the first, to be refused.
 * @param {unknown} text
 * @param {...((number: number) => boolean)} can
 * @returns {string[]}
 */
export const meant = (text, ...can) => {
  const found = meanings(text);
  for (const test of can) {
    const passing = found.filter((number) => test(Number(number)));
    if (passing.length) return passing;
  }
  return found.slice(0, 1);
};
