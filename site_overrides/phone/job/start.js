// Starts a job on a worksheet's own page.

import { gather, judge, newId } from '../journal/journal.js';
import { dateText, localDay, ownZone } from '../quantities/dates.js';

// The day in the shop, by the shop's time zone or else the phone's own: nobody can tell it later from the instant alone.
const dayIn = (shop, at) => {
  const zone = shop ?? ownZone();
  return { local: { day: dateText(localDay(at, zone)), ...zone && { time_zone: zone } } };
};

/**
 * openJobStart({own, keep, shelf, writer, packs, random, now, sameNumber, go}) -> start({who, value, isSecond, listed}) -> Promise
 * of {kept, why, counts}, or of {kept: false, same}: a job of that number is here, which sameNumber(listed, number) finds;
 * listed: the jobs as the page last saw them, since a store in trouble must not keep a start waiting. go(job) opens it.
 */
export const openJobStart = ({ own, keep, shelf, writer, packs, random, now, sameNumber, go }) => (
  async ({ who, value, isSecond, listed }) => {
    const same = isSecond ? null : sameNumber(listed, value.number);
    if (same) return { kept: false, same };
    await keep.putSheet(own.digest, own.text);
    await writer.who.take(who);
    const job = newId(random);
    const gathered = gather([]);
    const inView = { job, gathered, state: judge(gathered, shelf.sheets), sheet: own.sheet, mark: own.digest, who };
    const answer = await writer.offer({ kind: 'start', value: { ...value, ...dayIn(own.sheet.shop.time_zone, now()) } }, inView);
    packs.forget();
    go(job);
    return { ...answer, counts: true };
  }
);
