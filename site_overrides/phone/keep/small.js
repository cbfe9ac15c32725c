// Saves what a phone needs beside its journals: the sheets that jobs name, and small settings.

import { digest } from '../base/digest.js';

const NONE = { n: 0, value: null };

const outcome = ({ done, why }) => (done ? { kept: true } : { kept: false, why });

const storeSheet = (name, text) => (shelf, ask) => ask('sheet', shelf('sheets').put({ digest: name, text }));

// The sheets that jobs name, in two homes. One that the first home does not take lives in memory for this page's life as well.
const openJobSheets = ({ read, write, shelf: second, tell }) => {
  const sheets = new Map();

  const putSheet = async (name, text) => {
    if (await digest(text) !== name) return { kept: false, why: 'digest' };
    const [stored] = await Promise.all([write(storeSheet(name, text)), second.put(name, text)]);
    if (!stored.done) sheets.set(name, text);
    return outcome(stored);
  };

  // -> the text; null where the store has none, or one that was damaged
  const stored = async (name) => {
    const { found } = await read((shelf, ask) => ask('sheet', shelf('sheets').get(name)));
    if (!found?.sheet) return null;
    if (await digest(found.sheet.text) === name) return found.sheet.text;
    tell({ what: 'sheet-damaged', digest: name });
    return null;
  };

  const fromSecond = async (name) => {
    const text = await second.get(name);
    if (text === null || await digest(text) !== name) return null;
    await write(storeSheet(name, text));
    return text;
  };

  const sheet = async (name) => {
    if (sheets.has(name)) return sheets.get(name);
    const text = await stored(name);
    if (text !== null) second.mend(name, text); // nobody waits for it
    return text ?? fromSecond(name);
  };

  const dropSheets = async (names) => {
    for (const name of names) {
      sheets.delete(name);
      await second.drop(name);
      await write((shelf, ask) => ask('sheet', shelf('sheets').delete(name)));
    }
  };

  return { sheet, putSheet, dropSheets };
};

// Settings in two copies, and in memory for this page's life.
const openSettings = ({ read, write, mirror }) => {
  const settings = new Map();

  // Either copy may be an old one: the higher n is the newer.
  const latest = async (name) => {
    const { found } = await read((shelf, ask) => ask('setting', shelf('settings').get(name)));
    const mirrored = mirror.note(`setting:${name}`, NONE);
    const heard = [found?.setting, mirrored, settings.get(name)].filter(Boolean);
    return heard.reduce((last, next) => (next.n > last.n ? next : last), NONE);
  };

  const setSetting = async (name, value) => {
    const next = { name, value, n: (await latest(name)).n + 1 };
    settings.set(name, next);
    mirror.setNote(`setting:${name}`, next);
    return outcome(await write((shelf, ask) => ask('setting', shelf('settings').put(next))));
  };

  const setting = async (name) => (await latest(name)).value;

  return { setting, setSetting };
};

/**
 * openSmall({read, write, mirror, shelf, tell}) -> {sheet, putSheet, dropSheets, setting, setSetting, pins, setPins}
 * shelf: a second home for sheets, as openSheets gives it. Where the store refuses, sheets and settings live in memory
 * for this page's life as well, and the answer says kept: false and why.
 */
export const openSmall = (legs) => {
  const { setting, setSetting } = openSettings(legs);
  return {
    ...openJobSheets(legs),
    setting,
    setSetting,
    pins: async () => (await setting('pins')) ?? [],
    setPins: (pins) => setSetting('pins', pins),
  };
};
