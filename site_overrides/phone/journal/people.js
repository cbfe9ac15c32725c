// Who is one person: initials as somebody typed them, compared. An entry holds initials as they were typed. A second look
// that was typed as `ks` or `K.S.` is still that of KS. Pure. The same table as generator/quantities/people.py.

// Letters in the Unicode tables that every screen shows as nothing: the fillers of Hangul.
const UNSEEN = /[\u115f\u1160\u3164\uffa0]/g;

/** The letters and digits of a text that a person can see, in a list. */
export const seenLetters = (text) => text.replace(UNSEEN, '').match(/[\p{L}\p{N}]/gu) ?? [];

/** Initials in one form, however they were typed: letters and digits only, in capitals. '' is nobody. */
export const person = (who) => (typeof who === 'string' ? seenLetters(who.normalize('NFKD')).join('').toUpperCase() : '');

/** True if both name the same person. */
export const isSamePerson = (one, other) => person(one) !== '' && person(one) === person(other);

/**
 * True if `who` names one of these people. Initials without a letter or digit name nobody.
 * @param {Iterable<string>} people
 */
export const isOneOf = (people, who) => [...people].some((one) => isSamePerson(one, who));

/**
 * What is written for initials that somebody typed: those of the shop if it has this person, else as typed, in capitals.
 * '' if they name nobody.
 * @param {{initials: string}[]} people
 * @param {string} typed
 */
export const initialsOf = (people, typed) => (
  people.find(({ initials }) => isSamePerson(initials, typed))?.initials ?? (person(typed) && typed.trim().toUpperCase())
);
