// Starts a job on a worksheet's own page.

import { gather, judge, newId } from '../journal/journal.js';

/**
 * openJobStart({own, keep, shelf, writer, packs, random, sameNumber, go}) -> start({who, value, isSecond, listed}) -> Promise
 * of {kept, why, counts}, or of {kept: false, same}: a job of that number is here, which sameNumber(listed, number) finds;
 * listed: the jobs as the page last saw them, since a store in trouble must not keep a start waiting. go(job) opens it.
 */
export const openJobStart = ({ own, keep, shelf, writer, packs, random, sameNumber, go }) => (
  async ({ who, value, isSecond, listed }) => {
    const same = isSecond ? null : sameNumber(listed, value.number);
    if (same) return { kept: false, same };
    await keep.putSheet(own.digest, own.text);
    await writer.who.take(who);
    const job = newId(random);
    const gathered = gather([]);
    const inView = { job, gathered, state: judge(gathered, shelf.sheets), sheet: own.sheet, mark: own.digest, who };
    const answer = await writer.offer({ kind: 'start', value }, inView);
    packs.forget();
    go(job);
    return { ...answer, counts: true };
  }
);
