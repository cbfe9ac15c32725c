// One job at work on this page: its journal in memory, what is written to it, and what another page wrote meanwhile.
// Knows nothing of the screen.

import { sheetsNamed } from './carry.js';
import { canonical, digest } from './digest.js';
import { add, gather, judge, newEntry, nextLamport } from './journal.js';
import { fieldsOf } from './verbs.js';

/** openShelf({keep}) -> {sheets, hold(text), fetchKept(entries)}: the worksheets this page life has met, by digest. */
export const openShelf = ({ keep }) => {
  const sheets = {};
  const hold = async (text) => {
    const mark = await digest(text);
    sheets[mark] ??= JSON.parse(text);
    return { digest: mark, sheet: sheets[mark], text };
  };
  const fetchOne = async (mark) => {
    if (sheets[mark]) return;
    const text = await keep.sheet(mark);
    if (text) await hold(text);
  };
  const fetchKept = (entries) => Promise.all(sheetsNamed(entries).map(fetchOne));
  return { sheets, hold, fetchKept };
};

/**
 * openPen({keep, device, writer, now, random}) -> offer(verb, inView) -> Promise of {kept, why, entry}.
 * inView: {job, gathered, state, sheet, mark, who}. What was not kept is offered again as the same entry.
 */
export const openPen = ({ keep, device, writer, now, random }) => {
  let last = null; // the entry this writer made last: the next one names it
  const unkept = new Map();

  const make = async (verb, { job, gathered, state, sheet, mark, who }) => {
    const prev = last ? await digest(canonical(last)) : '';
    last = newEntry(verb.kind, fieldsOf(verb, { gathered, state, sheet }), {
      job, device, writer, prev, lamport: nextLamport(gathered), who: verb.who ?? who, sheet: verb.sheet ?? mark, now: now(), random,
    });
    return last;
  };

  return async (verb, inView) => {
    const { kind, step = '', part = '', value, who = inView.who } = verb;
    const name = canonical([inView.job, kind, step, part, value, who]);
    const entry = unkept.get(name) ?? await make(verb, inView);
    unkept.set(name, entry);
    const answer = await keep.append(entry);
    if (answer.kept) unkept.delete(name);
    return { ...answer, entry };
  };
};

/**
 * openWork({job, keep, shelf, offer, onChange}) -> Promise of the job at work: {gathered(), state(), sheet(),
 * write(verb, who), stop()}. onChange() follows every change. write -> Promise of {kept, why, isInert}; one after another.
 */
export const openWork = async ({ job, keep, shelf, offer, onChange }) => {
  let gathered = gather(await keep.journal(job));
  await shelf.fetchKept(gathered.entries);
  let state = judge(gathered, shelf.sheets);
  let queue = Promise.resolve();

  const change = (next) => {
    gathered = next;
    state = judge(gathered, shelf.sheets);
    onChange();
  };
  const writeNow = async (verb, who) => {
    const sheet = shelf.sheets[state.sheet];
    const { entry, ...answer } = await offer(verb, { job, gathered, state, sheet, mark: state.sheet, who });
    if (answer.kept) change(add(gathered, entry));
    return { ...answer, isInert: state.inert.includes(entry.id) };
  };
  const write = (verb, who) => {
    queue = queue.then(() => writeNow(verb, who), () => writeNow(verb, who));
    return queue;
  };
  const stop = keep.onOther(async (wrote) => {
    if (wrote.job !== job) return;
    const written = await keep.journal(job);
    await shelf.fetchKept(written);
    change(gather([...gathered.entries, ...written]));
  });
  return { write, stop, gathered: () => gathered, state: () => state, sheet: () => shelf.sheets[state.sheet] };
};
