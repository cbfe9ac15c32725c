// The words of the trade that a worksheet carries: kinds of open items, bolt lists, gates, roles, the boxes of the start.
// The same as in generator/tables.py and generator/journal. Pure.

import { isOneOf, person } from './people.js';
import { EARLIER_TRADE } from './shape/earlier_trade.js';

/**
 * For an older worksheet, the words of before it carried any.
 * @param {Sheet | null | undefined} sheet
 * @returns {Trade}
 */
export const tradeOf = (sheet) => sheet?.trade ?? /** @type {any} */ (EARLIER_TRADE);

/** The names of the bolt lists, in the order in which they are gone through. @param {Trade} trade */
export const listsOf = (trade) => trade.lists.map(({ name }) => name);

const OWN_FIELDS = new Set(['what', 'odometer', 'vin']); // what a start says under a key of its own

/** The boxes of the start form that have no key of their own in the entry: it holds them under `more`. @param {Trade} trade */
export const otherBoxes = (trade) => trade.start.filter(({ name }) => !OWN_FIELDS.has(name));

/** Is a thing of this kind closed by a tightening alone? @param {Trade} trade @param {string} kind */
export const isTightened = (trade, kind) => trade.kinds.some(({ name, closed_by: by }) => name === kind && by === 'tighten');

/** @param {Sheet | null} sheet @param {Role[]} roles */
const peopleOf = (sheet, roles) => (sheet?.shop.people ?? [])
  .filter(({ role }) => roles.some(({ name }) => name === role))
  .map(({ initials }) => initials);

/** The initials of the people who may allow what others may not leave out alone. @param {Sheet | null} sheet */
export const leadsOf = (sheet) => peopleOf(sheet, tradeOf(sheet).roles.filter(({ leads }) => leads));

/** The roles of those who may give a second look that asks for somebody qualified. A lead always may. @param {Trade} trade */
export const qualifiedRoles = (trade) => trade.roles.filter(({ leads, qualified }) => leads || qualified);

/** The initials of the people who may give such a look. @param {Sheet | null} sheet */
export const qualifiedOf = (sheet) => peopleOf(sheet, qualifiedRoles(tradeOf(sheet)));

/**
 * The people who are qualified and did none of the work, as the worksheet lists them.
 * @param {Sheet | null} sheet
 * @param {{ who: string }[]} did
 */
export const qualifiedOthers = (sheet, did) => (
  qualifiedOf(sheet).filter((one) => person(one) && !isOneOf(did.map(({ who }) => who), one))
);
