// What looks odd in a vehicle identification number. It warns and never refuses, because a number may be odd and true.
// The same table as generator/quantities/vin.py. Pure.

const LENGTH = 17;
/** @returns {[string, number][]} */
const valued = (letters, from) => [...letters].map((letter, at) => [letter, from + at]);
// Every character that may be in one. I, O and Q look too much like 1 and 0.
const WORTH = new Map([
  ...valued('0123456789', 0), ...valued('ABCDEFGH', 1), ...valued('JKLMN', 1), ['P', 7], ['R', 9], ...valued('STUVWXYZ', 2),
]);
const WEIGHTS = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
const CHECK_DIGITS = '0123456789X';
const DIGIT_AT = 8;
const YEAR_AT = 9;
const NO_YEAR = 'UZ0';
// With these first characters the check digit and the year's character are law. Elsewhere many makers just fill the
// place.
const NORTH_AMERICA = '12345';
// What people write between groups, and what a paste brings along.
const LEFT_OUT = ' \t\r\n\u00a0';

/**
 * checkVin(text) -> what to tell about this number, [] when there is nothing to say or nothing was written:
 * {code: 'length', length} | {code: 'alphabet', letters: [those that never stand in one]} |
 * {code: 'year', letter, binding} | {code: 'digit', found, expected, binding}.
 * `binding`: true where the rule is law, false where it is a custom that the maker may not keep.
 */
export const checkVin = (text) => {
  const letters = tidied(text);
  if (!letters.length) return [];
  const told = ofTheCharacters(letters);
  return told.length ? told : ofThePlaces(letters);
};

// In capitals and without gaps. Letters beyond A to Z stay as they are.
const tidied = (text) => [...text]
  .filter((letter) => !LEFT_OUT.includes(letter))
  .map((letter) => (letter >= 'a' && letter <= 'z' ? letter.toUpperCase() : letter));

const checkDigit = (letters) => (
  CHECK_DIGITS[letters.reduce((total, letter, at) => total + WEIGHTS.at(at) * WORTH.get(letter), 0) % 11]
);

const ofTheCharacters = (letters) => {
  const told = [];
  if (letters.length !== LENGTH) told.push({ code: 'length', length: letters.length });
  const strange = [...new Set(letters)].filter((letter) => !WORTH.has(letter));
  if (strange.length) told.push({ code: 'alphabet', letters: strange });
  return told;
};

// Of 17 characters that are all allowed. A maker who puts a letter in the ninth place has no check digit.
const ofThePlaces = (letters) => {
  const told = [];
  const binding = NORTH_AMERICA.includes(letters[0]);
  if (NO_YEAR.includes(letters.at(YEAR_AT))) told.push({ code: 'year', letter: letters.at(YEAR_AT), binding });
  const [found, expected] = [letters.at(DIGIT_AT), checkDigit(letters)];
  if (found !== expected && (binding || CHECK_DIGITS.includes(found))) {
    told.push({ code: 'digit', found, expected, binding });
  }
  return told;
};
