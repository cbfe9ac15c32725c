// The one Trusted Types policy of a page, and all it lets pass: the address of this site's own worker.

const NAME = 'handturn-worker';
const OWN = new URL('../sw.js', import.meta.url).href;

// A page may make a policy of this name once.
let policy;

const onlyOwn = address => {
  if (address !== OWN) throw new TypeError(`Not this site's worker: ${address}`);
  return address;
};

/** The worker's address in the form that this browser asks for: a browser without Trusted Types takes the text. */
export const trustedAddress = (address, types = globalThis.trustedTypes) => {
  if (!types) return onlyOwn(address);
  policy ??= types.createPolicy(NAME, { createScriptURL: onlyOwn });
  return policy.createScriptURL(address);
};
