// One job at work on this page: its journal in memory, what is written to it, and what another page wrote meanwhile.
// Knows nothing of the screen.

import { canonical, digest } from '../base/digest.js';
import { sheetsNamed } from '../base/entry.js';
import { dict, parsed } from '../base/own.js';
import { add, gather, newEntry, nextLamport } from '../journal/journal.js';
import { judgeKept } from './unkept.js';
import { fieldsOf } from './verbs.js';

/** openShelf({keep}) -> {sheets, hold(text), fetchKept(entries), named(entries)}: the worksheets this page life has met, by
 * digest; named gives those that entries name, [{digest, sheet}]. */
export const openShelf = ({ keep }) => {
  const sheets = dict();
  const hold = async (text) => {
    const mark = await digest(text);
    sheets[mark] ??= parsed(text);
    return { digest: mark, sheet: sheets[mark], text };
  };
  const fetchOne = async (mark) => {
    if (sheets[mark]) return;
    const text = await keep.sheet(mark);
    if (text) await hold(text);
  };
  const fetchKept = (entries) => Promise.all(sheetsNamed(entries).map(fetchOne));
  const named = (entries) => sheetsNamed(entries).filter((mark) => sheets[mark]).map((mark) => ({ digest: mark, sheet: sheets[mark] }));
  return { sheets, hold, fetchKept, named };
};

/**
 * openPen({keep, device, writer, now, random}) -> offer(verb, inView) -> Promise of {kept, why, mirrored, entry}.
 * inView: {job, gathered, state, sheet, mark, who}.
 */
export const openPen = ({ keep, device, writer, now, random }) => {
  let last = null; // the entry this writer made last: the next one names it

  const make = async (verb, { job, gathered, state, sheet, mark, who }) => {
    const prev = last ? await digest(canonical(last)) : '';
    last = newEntry(verb.kind, fieldsOf(verb, { gathered, state, sheet }), {
      job, device, writer, prev, lamport: nextLamport(gathered), who: verb.who ?? who, sheet: verb.sheet ?? mark, now: now(), random,
    });
    return last;
  };

  return async (verb, inView) => {
    const entry = await make(verb, inView);
    return { ...await keep.append(entry), entry };
  };
};

// What was taken in of a job, and what the fold says of it. takeIn(all, answer) -> whether anything is new.
const openTaken = ({ job, keep, shelf, first, saved: savedFirst }) => {
  let all = first;
  let saved = savedFirst;
  let unkept = { ids: new Set(), why: null, mirrored: !keep.trouble.some(({ what }) => what === 'mirror-blocked') };
  let judged = null;
  let out = new Set(); // ids that the page goes on without

  const look = (answer = unkept) => {
    const ids = new Set(keep.unkept(job).map(({ id }) => id));
    unkept = { ids, why: ids.size ? answer.why : null, mirrored: answer.mirrored };
    const given = out.size ? gather(all.entries.filter(({ id }) => !out.has(id))) : all;
    judged = judgeKept({ all: given, sheets: shelf.sheets, unkept: ids, saved });
  };
  const leaveOut = (ids) => {
    out = ids;
    look();
  };
  // If the fold throws, keep what it said before. Whoever draws the job finds out which entry it was.
  const lookSafely = (answer) => {
    try {
      look(answer);
    } catch {
      leaveOut(new Set(all.entries.map(({ id }) => id)));
    }
  };
  const facts = () => JSON.stringify([all.entries.length, [...unkept.ids], unkept.why, unkept.mirrored, Object.keys(shelf.sheets), keep.trouble]);
  let known = '';
  const takeIn = (next, answer) => {
    all = next;
    lookSafely(answer);
    const before = known;
    known = facts();
    return known !== before;
  };
  const save = () => {
    saved = new Set([...saved, ...unkept.ids]);
    takeIn(all);
    return saved;
  };
  takeIn(first);
  return {
    takeIn, save, leaveOut,
    all: () => all, judged: () => judged, unkept: () => unkept, saved: () => saved,
    leftOut: () => all.entries.filter(({ id }) => out.has(id)),
  };
};

/**
 * openWork({job, keep, shelf, offer, onChange}) -> Promise of the job at work: {all(), gathered(), state(), sheet(), unkept(),
 * withheld(), saved(), write(verb, who), again(), save(ids), leaveOut(ids), leftOut(), stop()}. onChange() follows what nobody
 * asked for here: what another page wrote, and what the keep could save by itself; whoever calls write, again or save goes
 * on from its answer.
 * all() is every entry; gathered() what the fold was given, state() what it says: the same but for withheld(), the answers
 * at stops that wait to be kept. unkept() -> {ids, why, mirrored}; saved() -> ids that somebody has in a file.
 * write -> Promise of {kept, why, counts, isInert, isWithheld}, one after another: what is not kept counts until the page
 * is loaded anew. again() offers it once more. save(ids) -> whether they are all that is not kept. leaveOut(ids): the fold
 * goes on without these, and throws what it throws; leftOut() -> their entries.
 */
export const openWork = async ({ job, keep, shelf, offer, onChange }) => {
  const savedName = `saved ${job}`;
  const first = gather(await keep.journal(job));
  await shelf.fetchKept(first.entries);
  const taken = openTaken({ job, keep, shelf, first, saved: new Set(await keep.setting(savedName)) });
  const { all, judged, unkept, takeIn } = taken;
  let queue = Promise.resolve();

  const writeNow = async (verb, who) => {
    const { state } = judged();
    const sheet = shelf.sheets[state.sheet];
    const { entry, ...answer } = await offer(verb, { job, gathered: all(), state, sheet, mark: state.sheet, who });
    takeIn(add(all(), entry), answer.kept ? unkept() : answer);
    const isWithheld = judged().withheld.some(({ id }) => id === entry.id);
    return { ...answer, counts: true, isWithheld, isInert: judged().state.inert.includes(entry.id) };
  };
  const againNow = async () => {
    const answer = await keep.again(job);
    takeIn(all(), answer.kept ? unkept() : answer);
    return answer;
  };
  const inTurn = (work) => {
    queue = queue.then(work, work);
    return queue;
  };
  const save = (ids) => {
    if (![...unkept().ids].every((id) => ids.has(id))) return false;
    keep.setSetting(savedName, [...taken.save()]);
    return true;
  };
  const stop = keep.onOther(async (wrote) => {
    if (wrote.job !== job && wrote.job !== null) return;
    const written = await keep.journal(job);
    await shelf.fetchKept(written);
    if (takeIn(gather([...all().entries, ...written]))) onChange();
  });
  return {
    stop, save, all, unkept,
    leaveOut: taken.leaveOut,
    leftOut: taken.leftOut,
    saved: taken.saved,
    write: (verb, who) => inTurn(() => writeNow(verb, who)),
    again: () => inTurn(againNow),
    gathered: () => judged().gathered,
    state: () => judged().state,
    withheld: () => judged().withheld,
    sheet: () => shelf.sheets[judged().state.sheet],
  };
};
