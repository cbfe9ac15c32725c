// Days since 1970-01-01, the calendar, a phone's time and the days of a time zone. A day is a whole number; the calendar
// runs from year 1 to 9999. The same as generator/quantities/dates.py.

/** Milliseconds of a day. */
export const DAY_MS = 86_400_000;
// The clocks that are furthest behind and ahead of UTC: Etc/GMT+12 and Pacific/Kiritimati in the IANA database.
const HOUR_MS = 3_600_000;
const [BEHIND_MS, AHEAD_MS] = [12 * HOUR_MS, 14 * HOUR_MS];
const FIRST = -719162;
const LAST = 2932896;

export const inCalendar = (days) => Number.isInteger(days) && FIRST <= days && days <= LAST;

// A day in the calendar as '2027-05-14'.
export const dateText = (days) => new Date(days * DAY_MS).toISOString().slice(0, 10);

// The same day of the month so many months later, or that month's last day. It may lie beyond the calendar.
export const addMonths = (days, months) => {
  const day = new Date(days * DAY_MS);
  const count = day.getUTCFullYear() * 12 + day.getUTCMonth() + months;
  const [year, month] = [Math.floor(count / 12), ((count % 12) + 12) % 12];
  const last = new Date(0).setUTCFullYear(year, month + 1, 0) / DAY_MS;
  return Math.min(last, last - new Date(last * DAY_MS).getUTCDate() + day.getUTCDate());
};

/** Milliseconds since 1970 of the time in an entry, as the phone writes it. null if it is not such a time. */
export const phoneMs = (at) => {
  const ms = typeof at === 'string' && /^(?!0000)\d{4}-/.test(at) ? Date.parse(at) : NaN;
  return !Number.isNaN(ms) && new Date(ms).toISOString() === at ? ms : null;
};

/** A day '2027-05-14' as a whole number; null if it is no such day. */
export const daysOf = (text) => {
  const days = typeof text === 'string' && /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(`${text}T00:00:00Z`) / DAY_MS : NaN;
  return inCalendar(days) && dateText(days) === text ? days : null;
};

/** The phone's own time zone by its IANA name; null where the browser does not tell it. */
export const ownZone = () => new Intl.DateTimeFormat().resolvedOptions().timeZone ?? null;

const formatter = (timeZone, options) => new Intl.DateTimeFormat('en-GB', { ...options, calendar: 'gregory', numberingSystem: 'latn', timeZone });
const formatterOrOwn = (zone, options) => {
  try {
    return formatter(zone || undefined, options);
  } catch {
    return formatter(undefined, options);
  }
};

const made = new Map(); // a formatter is slow to make, most of all where the zone's name is refused first

/**
 * inZone(zone, options) -> a formatter of times in British English, in a time zone by its IANA name. Without one it is the
 * phone's own zone, as with a name that this browser does not know.
 */
export const inZone = (zone, options) => {
  const key = `${zone ?? ''} ${JSON.stringify(options)}`;
  if (!made.has(key)) made.set(key, formatterOrOwn(zone, options));
  return made.get(key);
};

const CALENDAR_DAY = { year: 'numeric', month: 'numeric', day: 'numeric' };
const CLOCK_TIME = { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' };

const partsOf = (ms, zone, options) => Object.fromEntries(inZone(zone, options).formatToParts(ms).map(({ type, value }) => [type, value]));

/** The day that clocks in a time zone show at an instant (milliseconds since 1970); in the phone's own without a zone. */
export const localDay = (ms, zone) => {
  const { year, month, day } = partsOf(ms, zone, CALENDAR_DAY);
  return new Date(0).setUTCFullYear(Number(year), Number(month) - 1, Number(day)) / DAY_MS;
};

/** The same as a text, to the minute: '2027-05-14T23:59'. */
export const localTime = (ms, zone) => {
  const { hour, minute } = partsOf(ms, zone, CLOCK_TIME);
  return `${dateText(localDay(ms, zone))}T${hour}:${minute}`;
};

/** The day that an entry says in words, as a whole number; null if no clock on earth shows that day at its instant. */
export const saidDay = (text, ms) => {
  const days = daysOf(text);
  const isThen = days !== null && Math.floor((ms - BEHIND_MS) / DAY_MS) <= days && days <= Math.floor((ms + AHEAD_MS) / DAY_MS);
  return isThen ? days : null;
};
