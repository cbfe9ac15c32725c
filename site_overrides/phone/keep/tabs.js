// What tabs of one browser tell each other: which job was written, and that IndexedDB must be left alone.

// One name for every shop and site of an origin: they share one database engine, and if it broke for one it broke for
// all.
const STOPPED = 'handturn:stopped';

const ignore = () => {};

const SPREADS_MS = 500; // what local storage takes, at most, to reach another tab

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

// The stop of this browser session, which every tab of every shop knows: remembered over reloads, asked for, and told.
const openAlarm = ({ Channel, session, onStopped }) => {
  const stopped = () => {
    try { return session.getItem(STOPPED); } catch { return null; }
  };
  const remember = (why) => {
    try { session.setItem(STOPPED, why); } catch { /* this page still knows */ }
  };
  const channel = openChannel(Channel, STOPPED, ({ ask, why }) => {
    if (why) {
      remember(why);
      onStopped(why);
    } else if (ask && stopped()) {
      channel.postMessage({ why: stopped() });
    }
  });
  return {
    stopped,
    ask: () => channel?.postMessage({ ask: true }),
    stop: (why) => {
      remember(why);
      channel?.postMessage({ why });
    },
    close: () => channel?.close(),
  };
};

// Which job another tab wrote: told over a channel or, where there is none, seen in local storage.
const openWrites = ({ prefix, Channel, listen, heard }) => {
  const entries = `${prefix}entry:`;
  // Another tab may hear of an entry that only the mirror holds before it can read it.
  let timer = null;
  const channel = openChannel(Channel, `${prefix}wrote`, ({ job, isKept }) => {
    heard(job);
    if (!isKept) timer = setTimeout(heard, SPREADS_MS, job);
  });
  const unlisten = channel ? ignore : listen(({ key }) => {
    if (key?.startsWith(entries)) heard(decodeURIComponent(key.slice(entries.length).split(':')[0]));
  });
  return {
    tell: (job, isKept) => channel?.postMessage({ job, isKept }),
    close: () => {
      clearTimeout(timer);
      channel?.close();
      unlisten();
    },
  };
};

/**
 * openTabs({prefix, Channel, session, listen, listenToReturn, onStopped, onReturn}) -> {wrote, heard, stop, stopped, onWrote, close}
 * Channel is BroadcastChannel or null, session is sessionStorage or null, listen(callback) hears storage events,
 * listenToReturn(callback) a page that comes back as it was left; both give their stop. onStopped(why) is called when
 * another tab met an I/O error; stopped() -> why, over reloads too. heard(job) tells this tab's own listeners; job null:
 * of any job something may have been written. onReturn() is called before they are told that.
 */
export const openTabs = ({ prefix, Channel, session, listen, listenToReturn = () => ignore, onStopped, onReturn = ignore }) => {
  const hearers = new Set();
  const heard = (job) => { for (const hearer of hearers) hearer({ job }); };
  const writes = openWrites({ prefix, Channel, listen, heard });
  const alarm = openAlarm({ Channel, session, onStopped });
  alarm.ask();

  // A page in the back/forward cache does not hear what others say.
  const unlistenToReturn = listenToReturn(() => {
    if (alarm.stopped()) onStopped(alarm.stopped());
    alarm.ask();
    onReturn();
    heard(null);
  });

  return {
    heard,
    wrote: (job, isKept = true) => writes.tell(job, isKept),
    stop: alarm.stop,
    stopped: alarm.stopped,
    onWrote: (callback) => {
      hearers.add(callback);
      return () => hearers.delete(callback);
    },
    close: () => {
      writes.close();
      alarm.close();
      unlistenToReturn();
      hearers.clear();
    },
  };
};
