// The one Trusted Types policy of a page. It lets only the addresses of this site's own workers pass.

const NAME = 'handturn-worker';
const OWN = new Set(['../../sw.js', '../keep_log_worker.js'].map((path) => new URL(path, import.meta.url).href));

// A page can make a policy of this name only once.
let policy;

const onlyOwn = address => {
  if (!OWN.has(address)) throw new TypeError(`Not this site's worker: ${address}`);
  return address;
};

/** A worker's address in the form that this browser wants. A browser without Trusted Types takes the text. */
export const trustedAddress = (address, types = globalThis.trustedTypes) => {
  if (!types) return onlyOwn(address);
  policy ??= types.createPolicy(NAME, { createScriptURL: onlyOwn });
  return policy.createScriptURL(address);
};
