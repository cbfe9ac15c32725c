// The preparation, as a gate asks for it: what keeps the gate shut, and what opens it again after it was passed. The
// same table as generator/journal/ready.py.

import { own } from '../base/own.js';
import { ofJob } from './entries.js';
import { RULE_OF_SECTION, SECTIONS } from './tables.js';
import { entriesOf, preparation, sameNeeds } from './view.js';

/**
 * Lists that are not confirmed, and what is missing. Nothing is said of a tool, part or consumable that somebody gave a
 * reason to work without.
 * @param {View} view
 * @param {Set<string>} departs
 * @returns {Why[]}
 */
export const unreadyOf = (view, departs) => {
  const ready = preparation(view);
  return SECTIONS.flatMap((section) => {
    if (!ready[section].confirmed) return [{ code: 'ready', section }];
    const missing = ready[section].except.filter((name) => !departs.has(`${own(RULE_OF_SECTION, section)}:${name}`));
    return missing.length && section !== 'values' ? [{ code: 'ready', section, items: missing }] : [];
  });
};

// True if the list was confirmed as it is asked now, and that was taken back, or denied on an older worksheet.
/** @param {View} view @param {string} section */
const isGone = (view, section) => {
  const told = view.inJob(`confirm:${section}`);
  const asked = ofJob(view.gathered, `confirm:${section}`).filter((entry) => entry.kind === 'confirm' && sameNeeds(view, entry, section));
  const heads = entriesOf(told);
  const denies = ({ value }) => Array.isArray(value.except) && value.except.length > 0;
  const isDenied = heads.some(denies) && heads.some((entry) => asked.includes(entry));
  return asked.length > 0 && (told.returned || isDenied || !asked.some(view.isAlive));
};

/**
 * What contradicts the preparation after a gate was passed on it. Nobody can pass the gate while something is missing
 * in view, so it was reported later, or on another phone. If the worksheet in use now only asks for something else,
 * that contradicts nothing.
 * @param {View} view
 * @param {Set<string>} departs
 */
export const contradictedBy = (view, departs) => (
  unreadyOf(view, departs).filter(({ section, items }) => items || isGone(view, section))
);
