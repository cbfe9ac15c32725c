// Asks the browser not to clear what this site saves: after the first tick on this phone, and again when the site runs
// from the home screen, where the answer may differ. Every part of it may be missing, throw or hang.

import { reach } from '../base/reach.js';

/**
 * openLasting({keep, fromHome, onChange, storage}) -> {facts(), afterTick()}
 * facts() -> {agreed, asked, canAsk}: whether the browser spares the site, was asked to, can be asked. onChange()
 * follows each answer; nobody waits for one. storage is the browser's unless given; null means there is none.
 */
export const openLasting = ({ keep, fromHome, onChange = () => {}, storage = reach('storage', globalThis.navigator) }) => {
  const setting = fromHome ? 'lasting from home' : 'lasting';
  const canAsk = typeof storage?.persist === 'function';
  let agreed = false;
  let asked = false;
  let mayAsk = false;

  const look = async () => {
    const before = await keep.setting(setting);
    asked = before !== null;
    mayAsk = canAsk && !asked;
    onChange();
    agreed = await storage?.persisted?.() === true;
    onChange();
  };

  const ask = async () => {
    agreed = await storage.persist() === true;
    asked = true;
    await keep.setSetting(setting, { agreed });
    onChange();
  };

  const afterTick = () => {
    if (!mayAsk || agreed) return;
    mayAsk = false;
    ask().catch(() => {});
  };

  look().catch(() => {});
  return { facts: () => ({ agreed, asked, canAsk }), afterTick };
};
