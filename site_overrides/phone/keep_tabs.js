// What tabs of one browser tell each other: which job was written, and that IndexedDB must be left alone.

// One name for every shop and site of an origin: they share one database engine, and one that broke is broken for all.
const STOPPED = 'handturn:stopped';

const ignore = () => {};

const openChannel = (Channel, name, hear) => {
  if (!Channel) return null;
  try {
    const channel = new Channel(name);
    channel.onmessage = ({ data }) => hear(data);
    return channel;
  } catch {
    return null;
  }
};

/**
 * openTabs({prefix, Channel, session, listen, onStopped}) -> {wrote, stop, stopped, onWrote, close}
 * Channel is BroadcastChannel or null, session is sessionStorage or null, listen(callback) hears storage events and
 * returns its stop. onStopped(why) is called when another tab met an I/O error; stopped() -> why, over reloads too.
 */
export const openTabs = ({ prefix, Channel, session, listen, onStopped }) => {
  const hearers = new Set();
  const heard = (job) => { for (const hearer of hearers) hearer({ job }); };

  const stopped = () => {
    try { return session.getItem(STOPPED); } catch { return null; }
  };

  const remember = (why) => {
    try { session.setItem(STOPPED, why); } catch { /* this page still knows */ }
  };

  const jobs = openChannel(Channel, `${prefix}wrote`, ({ job }) => heard(job));
  const alarm = openChannel(Channel, STOPPED, ({ ask, why }) => {
    if (why) {
      remember(why);
      onStopped(why);
    } else if (ask && stopped()) {
      alarm.postMessage({ why: stopped() });
    }
  });
  alarm?.postMessage({ ask: true });

  const entries = `${prefix}entry:`;
  const unlisten = jobs ? ignore : listen(({ key }) => {
    if (key?.startsWith(entries)) heard(decodeURIComponent(key.slice(entries.length).split(':')[0]));
  });

  return {
    wrote: (job) => jobs?.postMessage({ job }),
    stop: (why) => {
      remember(why);
      alarm?.postMessage({ why });
    },
    stopped,
    onWrote: (callback) => {
      hearers.add(callback);
      return () => hearers.delete(callback);
    },
    close: () => {
      jobs?.close();
      alarm?.close();
      unlisten();
      hearers.clear();
    },
  };
};
