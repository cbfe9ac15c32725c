// Entries as a set: their order, their slots, and what stands in a slot after later entries answered earlier ones. The
// same table as generator/journal/entries.py.

import { canonical } from '../base/canonical.js';
import { byText, byTurn } from '../base/entry.js';
import { dict, own } from '../base/own.js';
import { isShaped } from './shape/values.js';
import { RETURNS, SLOT_NAMES } from './tables.js';

const cut = (...words) => words.join('\u0000');
/** The texts among `list`, each once. */
export const textsOf = (list) => (
  Array.isArray(list) ? [...new Set(list.filter((text) => typeof text === 'string'))] : []
);

// The name of an entry's slot, with the entry's own part or id in place of <part> or <id>.
const nameIn = (name) => {
  const [head, field = ''] = name.replace('>', '').split('<');
  return (entry) => (field ? head + own(entry, field) : head);
};

// The function that gives an entry's slot. A slot of the whole job has the step "".
const slotOf = ({ job = null, step = null }) => {
  const [inJob, onStep] = [nameIn(job ?? ''), nameIn(step ?? '')];
  if (job === null) return (entry) => [entry.step, onStep(entry)];
  if (step === null) return (entry) => ['', inJob(entry)];
  return (entry) => (entry.step ? [entry.step, onStep(entry)] : ['', inJob(entry)]);
};

/** The slot of each kind: entry -> [step, name]. null if it has no slot of its own. */
export const SLOTS = dict(Object.entries(SLOT_NAMES).map(([kind, names]) => (
  [kind, Object.keys(names).length ? slotOf(names) : null]
)));

/**
 * False for an entry of a later version, of a later kind, or of a shape that no phone writes. It does not count.
 * @param {Entry} entry
 */
export const isKnown = (entry) => entry.v === 1 && Object.hasOwn(SLOTS, entry.kind) && isShaped(entry.value);

/**
 * Order of entries: (lamport, writer, id). Two contents under one id are ordered by their canonical text.
 * @param {Entry} a
 * @param {Entry} b
 */
export const compare = (a, b) => (
  byTurn(a, b) || (a === b ? 0 : byText(canonical(a), canonical(b)))
);

/** @param {Entry} y @param {Entry} x */
export const after = (y, x) => compare(y, x) > 0;

/** @param {string} name */
export const slotKey = (step, name) => cut('slot', step, name);

// Every key under which an entry is looked up later.
/** @param {Entry} entry */
const keysOf = (entry) => {
  const keys = [cut('id', entry.id)];
  if (!isKnown(entry)) return keys;
  const slot = /** @type {[string, string]} */ (SLOTS[entry.kind]?.(entry));
  if (slot) keys.push(slotKey(...slot), cut('step', slot[0]));
  if (entry.kind === 'back') {
    for (const step of textsOf([entry.step, ...textsOf(entry.value.disturbs)])) keys.push(cut('back', step));
    for (const step of textsOf(entry.value.rest)) keys.push(cut('rest', step));
  }
  if (entry.kind === 'take-back' || entry.kind === 'not-disturbed') {
    for (const id of textsOf(entry.seen)) keys.push(cut(entry.kind, id));
  }
  return keys;
};

/** @param {Entry[]} list @param {Entry} entry */
const placed = (list, entry) => {
  let at = list.length;
  while (at > 0 && after(list[at - 1], entry)) at -= 1;
  return [...list.slice(0, at), entry, ...list.slice(at)];
};

/**
 * union(entries, more) -> every different entry of both, once, in order.
 * @param {Entry[]} entries
 * @param {Entry[]} [more]
 */
export const union = (entries, more = []) => {
  const held = new Map(); // id -> its entries; their texts are made only where one id comes twice
  for (const entry of [...entries, ...more]) {
    const twins = held.get(entry.id);
    if (!twins) held.set(entry.id, [entry]);
    else if (!twins.includes(entry)) {
      twins.texts ??= new Set(twins.map(canonical));
      const text = canonical(entry);
      if (!twins.texts.has(text)) twins.push(entry);
      twins.texts.add(text);
    }
  }
  return [...held.values()].flat().sort(compare);
};

/**
 * gather(entries) -> {entries, index}: entries in order, each once, with an index by slot, step, id and what they
 * answer.
 * @param {Entry[]} entries
 */
export const gather = (entries) => {
  const all = union(entries);
  const index = new Map();
  for (const entry of all) {
    for (const key of keysOf(entry)) {
      if (index.has(key)) index.get(key).push(entry);
      else index.set(key, [entry]);
    }
  }
  return { entries: all, index };
};

/** @param {Gathered} gathered @param {IndexedBy} by @param {string} name @returns {Entry[]} */
export const found = (gathered, by, name) => gathered.index.get(cut(by, name)) ?? [];

/**
 * add(gathered, entry) -> gathered with one more entry. The old one is not changed.
 * @param {Gathered} gathered
 * @param {Entry} entry
 */
export const add = (gathered, entry) => {
  if (found(gathered, 'id', entry.id).some((twin) => canonical(twin) === canonical(entry))) return gathered;
  const index = new Map(gathered.index);
  for (const key of keysOf(entry)) index.set(key, placed(index.get(key) ?? [], entry));
  return { entries: placed(gathered.entries, entry), index };
};

/**
 * The kinds that answer a step: a check-off, or what stands in the place of one.
 * @type {Set<EntryKind>}
 */
export const ANSWERS = new Set(['check', 'finish', 'skip', 'not-fitted', 'refuse', 'settle']);

/** @param {Entry} entry @returns {entry is Entry & { kind: ReturnKind }} */
export const isReturn = (entry) => RETURNS.has(entry.kind);

// The entries of some slots: their own, the go-backs that reopen them, and every take-back of one of these.
/** @param {Gathered} gathered @param {Entry[]} own */
export const members = (gathered, own) => {
  const all = new Set(own);
  for (const entry of all) {
    for (const taker of found(gathered, 'take-back', entry.id)) if (after(taker, entry)) all.add(taker);
  }
  return [...all].sort(compare);
};

/** @param {Gathered} gathered @param {string} name */
export const ofJob = (gathered, name) => members(gathered, gathered.index.get(slotKey('', name)) ?? []);

/** @param {Gathered} gathered @param {string[]} paths @param {string} name */
export const ofStep = (gathered, paths, name) => members(gathered, paths.flatMap((path) => [
  ...gathered.index.get(slotKey(path, name)) ?? [], ...found(gathered, 'back', path),
]));

/**
 * Every entry that an effective take-back names. Goes from the newest entry back, so a take-back that was itself taken
 * back is known before what it took back.
 * @param {Gathered} gathered
 */
export const undoneOf = (gathered) => {
  const undone = new Set();
  for (let at = gathered.entries.length - 1; at >= 0; at -= 1) {
    const entry = gathered.entries.at(at);
    const takers = found(gathered, 'take-back', entry.id);
    if (takers.some((taker) => after(taker, entry) && !undone.has(taker))) undone.add(entry);
  }
  return undone;
};

/**
 * The entries of a slot that no later one names. What `undone` entries name does not count.
 * @param {Entry[]} all
 * @param {Set<Entry>} undone
 */
export const headsOf = (all, undone) => {
  const named = new Map();
  for (const entry of all) if (!undone.has(entry)) for (const id of entry.seen) named.set(id, entry);
  return all.filter((entry) => !named.has(entry.id) || !after(named.get(entry.id), entry));
};

// True if the author of the take-back had seen this answer, also through another entry.
/** @param {Gathered} gathered @param {Entry} taker @param {Entry} answer */
const knew = (gathered, taker, answer) => {
  const ids = new Set(taker.seen);
  for (const id of ids) {
    if (id === answer.id) return true;
    for (const entry of found(gathered, 'id', id)) for (const older of entry.seen) ids.add(older);
  }
  return false;
};

// The kind of an entry. A settlement has the kind of the answer it chose.
/** @param {Entry[]} all @param {Entry} entry */
export const kindIn = (all, entry) => {
  if (entry.kind !== 'settle') return entry.kind;
  const chosen = all.filter((other) => (
    entry.seen.includes(other.id) && after(entry, other) && other.kind !== 'settle' && !isReturn(other)
    && canonical(other.value) === canonical(entry.value)
  ));
  return chosen.at(-1)?.kind ?? (entry.step ? 'check' : 'read');
};

// Taking back a go-back or a take-back restores; only taking back an answer says "no answer".
/** @param {Entry[]} all @param {Entry & { kind: ReturnKind }} entry */
const unanswers = (all, entry) => entry.kind === 'back'
  || all.some((other) => !isReturn(other) && entry.seen.includes(other.id) && after(entry, other));

// What an answer says. Who read a value first and who second makes no difference.
/** @param {Answer} answer */
const saidBy = ({ entry: { value }, kind }) => {
  if (kind !== 'read' || !Object.hasOwn(value, 'second')) return canonical(value);
  return canonical(dict(Object.entries(value).filter(([key]) => key !== 'second')));
};

/** @param {Gathered} gathered @param {Set<Entry>} undone @param {Entry[]} all @returns {Standing} */
const standing = (gathered, undone, all) => {
  const heads = headsOf(all, undone);
  const answers = heads.filter((head) => !isReturn(head)).map((entry) => ({ entry, kind: kindIn(all, entry) }));
  if (answers.length === 0) return { answers, disputed: false, returned: false };
  const returns = heads.filter((head) => isReturn(head) && unanswers(all, head));
  const [first, ...others] = answers;
  const differ = others.some((answer) => answer.kind !== first.kind || saidBy(answer) !== saidBy(first));
  const returned = returns.some((head) => (
    head.kind === 'back' || answers.some(({ entry }) => !knew(gathered, head, entry))
  ));
  return { answers, disputed: differ || returned, returned };
};

/**
 * What stands in a slot of the whole job: {answers: [{entry, kind}] in order, disputed: they differ, returned: one says
 * "no answer"}.
 * @param {Gathered} gathered
 * @param {Set<Entry>} undone
 * @param {string} name
 */
export const standingInJob = (gathered, undone, name) => standing(gathered, undone, ofJob(gathered, name));

/**
 * The same for a slot of a step, which may have moved: `paths` are its present path and the old ones.
 * @param {Gathered} gathered
 * @param {Set<Entry>} undone
 * @param {string[]} paths
 * @param {string} name
 */
export const standingInStep = (gathered, undone, paths, name) => (
  standing(gathered, undone, ofStep(gathered, paths, name))
);

/**
 * The answers to a part that nobody took back or went back on since, also those corrected later.
 * @param {Gathered} gathered
 * @param {Set<Entry>} undone
 * @param {string[]} paths
 */
export const answeredIn = (gathered, undone, paths, part) => {
  const all = ofStep(gathered, paths, `part:${part}`);
  const returns = all.filter((entry) => isReturn(entry) && !undone.has(entry));
  return all.filter((entry) => (
    (entry.kind === 'check' || entry.kind === 'settle') && !undone.has(entry)
    && !returns.some((back) => back.seen.includes(entry.id) && after(back, entry))
  ));
};

/**
 * Each present path -> all paths its entries may be on, itself first. A path in use never moves.
 * @param {Sheet} sheet
 */
export const homesOf = (sheet) => {
  const taken = new Set(sheet?.steps.map(({ path }) => path));
  const claim = (path) => !taken.has(path) && taken.add(path);
  return new Map(sheet?.steps.map(({ path, was }) => [path, [path, ...was.filter(claim)]]));
};

/**
 * What a job asks about a thing that no worksheet has: what was taken off besides must be closed.
 * @param {string} path
 * @param {boolean} tookOff
 * @returns {Step}
 */
export const extraStep = (path, tookOff) => ({
  path,
  stage: 0,
  check: { kind: 'tick' },
  opens: [],
  closes: [],
  hold: false,
  gate: null,
  when: [],
  after: [],
  if_failed: null,
  leave: tookOff ? 'never' : 'own',
  may_refuse: false,
  values: [],
  was: [],
  completion: false,
  duty: '',
  wording: '',
});
