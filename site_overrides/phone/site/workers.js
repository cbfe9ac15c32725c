// How a page speaks with service workers, and which of a registration's are where.

export const PATIENCE = 10_000; // ms that a worker may take to count what it keeps
export const AGAIN = 500; // ms until a waiting worker is asked once more to take over, and one that loads is looked at again

/** The next event of this name. */
export const once = (target, name) => new Promise(resolve => target.addEventListener(name, resolve, { once: true }));

// By each worker's own state or by its place in the registration, whichever is further on: a place follows the state
// sooner or later, and where a page opens while a worker installs, Chromium can keep the state that the page saw first.
/** standing(registration) -> {installing, waiting, active}: the worker of each place, or undefined. */
export const standing = ({ installing, waiting, active }) => {
  const workers = [
    [installing, installing?.state],
    [waiting, waiting?.state === 'installing' ? 'installed' : waiting?.state],
    [active, ['installing', 'installed'].includes(active?.state) ? 'activated' : active?.state],
  ];
  const at = (...states) => workers.find(([, state]) => states.includes(state))?.at(0);
  return { installing: at('installing', 'activating'), waiting: at('installed'), active: at('activated') };
};

// A frame without an origin of its own throws where it should say that there is none.
export const containerOf = navigator => {
  try {
    return navigator.serviceWorker;
  } catch {
    return undefined;
  }
};

/** ask(worker, question, patience) -> Promise of its answer, undefined where it gives none in time. */
export const ask = (worker, question, patience) => new Promise(resolve => {
  const { port1, port2 } = new MessageChannel();
  const tooLate = setTimeout(resolve, patience);
  port1.onmessage = ({ data }) => {
    clearTimeout(tooLate);
    port1.close();
    resolve(data);
  };
  worker.postMessage(question, [port2]);
});

// Asked until it goes on: a request at a moment when the old worker is busy may be forgotten.
export const activate = async (registration, waiting, patience = PATIENCE) => {
  for (let waited = 0; standing(registration).waiting === waiting && waited < patience; waited += AGAIN) {
    waiting.postMessage('activate-now');
    await Promise.race([once(waiting, 'statechange'), new Promise(resolve => setTimeout(resolve, AGAIN))]);
  }
};
