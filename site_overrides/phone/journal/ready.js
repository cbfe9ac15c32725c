// The preparation against a gate that asks for it: what keeps the gate shut, and what opens it again although it was passed.
// The same table as generator/journal/ready.py.

import { own } from '../base/own.js';
import { ofJob } from './entries.js';
import { RULE_OF_SECTION, SECTIONS } from './tables.js';
import { entriesOf, preparation, sameNeeds } from './view.js';

/**
 * Lists not confirmed, and what is not here; a tool, part or consumable may be gone without, for a reason.
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

// Was it confirmed as it is asked now, and is that gone: taken back, or denied by somebody who looked at an older worksheet?
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
 * What contradicts the preparation that a gate was passed on. Nobody passes it with something missing in view, so whatever
 * is missing was said later, or apart. That the worksheet in use asks for something else now contradicts nothing.
 * @param {View} view
 * @param {Set<string>} departs
 */
export const contradictedBy = (view, departs) => (
  unreadyOf(view, departs).filter(({ section, items }) => items || isGone(view, section))
);
