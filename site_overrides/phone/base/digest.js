// SHA-256 of a text, as 64 hex digits. Plain http has no crypto.subtle. There a small library does it, which is served
// with the page.

export { canonical } from './canonical.js';

const reach = () => {
  try {
    return globalThis.crypto?.subtle;
  } catch {
    return undefined;
  }
};

const subtle = reach();
const fetchSmall = () => import('../../vendor/noble-hashes/sha2.js');

// Loaded with the page, because the shop's network may be out of reach at the first tick.
let small = subtle ? null : fetchSmall();
small?.catch(() => { small = null; });

const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');

/** digest('abc') -> Promise of 'ba7816bf...'; rejects only if the stand-in library cannot be loaded. */
export const digest = async (text) => {
  const bytes = new TextEncoder().encode(text);
  if (subtle) return hex(new Uint8Array(await subtle.digest('SHA-256', bytes)));
  small ??= fetchSmall();
  return hex((await small).sha256(bytes));
};
