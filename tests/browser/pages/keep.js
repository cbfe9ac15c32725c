// A page with a keep in its hands and nothing on the screen: the tests call what hangs on the window.

import { canonical, digest } from '/phone/base/digest.js';
import { openKeep } from '/phone/keep/keep.js';
import { entry } from './entry.js';
import * as fakes from './fakes.js';

const open = (given = {}) => openKeep({ scope: 'lower-lane/', now: () => 1700000000000, ...globalThis.lacking, ...given });

const times = (number, make) => Array.from({ length: number }, (_, i) => make(i));

const NAME = `handturn:${encodeURIComponent('lower-lane/')}`;

// Runs work on an object store behind the keep's back, as damage would.
const meddle = (shelf, work) => new Promise((resolve, reject) => {
  const request = indexedDB.open(NAME);
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const tx = request.result.transaction(shelf, 'readwrite');
    const asked = work(tx.objectStore(shelf));
    tx.oncomplete = () => {
      request.result.close();
      resolve(asked?.result);
    };
  };
});

const deleteStore = () => new Promise((resolve, reject) => {
  const request = indexedDB.deleteDatabase(NAME);
  request.onsuccess = () => resolve(true);
  request.onerror = () => reject(request.error);
});

const mirrorKeys = () => Object.keys(localStorage).filter((key) => key.includes(':entry:'));

const MIRROR_LIMIT = 5 * 1024 * 1024; // characters of keys and values together, in the engines under test

// Fills local storage but for `free` characters.
const fillUp = (free) => {
  localStorage.setItem('filler', '');
  const used = Object.entries(localStorage).reduce((sum, [key, text]) => sum + key.length + text.length, 0);
  localStorage.setItem('filler', 'x'.repeat(MIRROR_LIMIT - used - free));
};

// What the phone must not do: an IndexedDB write with the browser's own, relaxed durability. -> an append
const openRelaxed = () => new Promise((resolve) => {
  const request = indexedDB.open('relaxed');
  request.onupgradeneeded = () => request.result.createObjectStore('entries', { keyPath: 'id' });
  request.onsuccess = () => resolve((made) => new Promise((done) => {
    const tx = request.result.transaction('entries', 'readwrite', { durability: 'relaxed' });
    tx.objectStore('entries').put(made);
    tx.oncomplete = () => done({ kept: true });
  }));
});

Object.assign(globalThis, {
  canonical, digest, entry, fakes, open, times, meddle, deleteStore, mirrorKeys, fillUp, openRelaxed,
});
document.documentElement.dataset.ready = '';
