// Days since 1970-01-01, the calendar and a phone's time, in UTC whatever the phone's own zone. The calendar runs from
// year 1 to 9999. The same as generator/quantities/dates.py.

/** Milliseconds of a day. */
export const DAY_MS = 86_400_000;
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
