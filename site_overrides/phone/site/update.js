// A new version that waits on this phone: what it changes, and taking it while nothing is half done. Knows no screen.

import { dict, parsed } from '../base/own.js';

const INDEX = 'packs.json';

const written = (text) => {
  try {
    return text === null ? null : parsed(text);
  } catch {
    return null;
  }
};

/**
 * openUpdate({read, compare, paths, hash, busy, take, reload, words, onNews}) -> {look(offline), news(), accept()}.
 * read(which, path) -> Promise of the text of a file as the `active` or the `waiting` worker keeps it, or null;
 * compare and paths are newsOf and sheetsToRead; hash(text) -> Promise of its digest; busy.ask() -> what is half done;
 * take() -> Promise of whether the new version took over, or 'late'. look({state, next}) follows openOffline, `next` being the
 * version that waits; onNews() is called when news() is known. accept() -> Promise of {kept, words}, or of null while
 * the page is loaded anew.
 */
export const openUpdate = ({ read, compare, paths, hash, busy, take, reload, words, onNews }) => {
  let news = null;
  let wanted = null; // the version that news are looked for

  const sheetsOf = async (before, after) => {
    const both = paths(before, after).flatMap((path) => [read('active', path), read('waiting', path)]);
    const texts = (await Promise.all(both)).filter((text) => text !== null);
    return dict(await Promise.all(texts.map(async (text) => [await hash(text), written(text)])));
  };

  const find = async () => {
    const [before, after] = (await Promise.all([read('active', INDEX), read('waiting', INDEX)])).map(written);
    return before?.packs && after?.packs ? compare(before, after, await sheetsOf(before, after)) : null;
  };

  const look = async ({ state, next = '' }) => {
    const waiting = state === 'update-waiting' ? next : null;
    if (waiting === wanted) return;
    wanted = waiting;
    news = null;
    const found = waiting === null ? null : await find();
    if (waiting !== wanted) return; // a still newer one came meanwhile
    news = found;
    if (news) onNews();
  };

  const accept = async () => {
    const half = await busy.ask();
    if (half) return { kept: false, words: words.refused(half) };
    const taken = await take();
    if (taken !== true) return { kept: false, words: taken ? words.late : words.none };
    reload();
    return null;
  };

  return { look, news: () => news, accept };
};
