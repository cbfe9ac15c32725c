// What is in view: the worksheet in use, what was taken back, values and counts as they were read.
// The same table as generator/journal/view.py.

import { canonical } from '../base/canonical.js';
import { dict, own } from '../base/own.js';
import { isReading, isWhole, valueState } from './answers.js';
import { asks } from './duty.js';
import { after, found, homesOf, ofJob, slotKey, standingInJob, standingInStep, textsOf, undoneOf } from './entries.js';
import { isCredible } from './limits.js';
import { criticalValues, secondLook } from './second.js';
import { SECTIONS } from './tables.js';
import { leadsOf, tradeOf } from './trade.js';



/** @param {Standing} standing */
export const entriesOf = ({ answers }) => answers.map(({ entry }) => entry);

// The newest adopted worksheet at hand; else an older adopted one, that of the start, that of any entry.
/** @param {View} view */
const digestInUse = (view) => {
  const adopts = (view.gathered.index.get(slotKey('', 'sheet')) ?? []).filter(view.isAlive);
  for (const entry of adopts) if (entry.value.sheet !== entry.sheet) view.inert.add(entry);
  const starts = entriesOf(view.inJob('job'));
  for (const entries of [entriesOf(view.inJob('sheet')), adopts, starts, view.gathered.entries]) {
    const atHand = entries.filter((entry) => Object.hasOwn(view.sheets, entry.sheet) && !view.inert.has(entry));
    if (atHand.length) return atHand.at(-1).sheet;
  }
  return null;
};

// The go-backs that ask about any answers on a path, found once for each path.
/** @param {View} view @param {string} path */
const backsOf = (view, path) => {
  if (!view.backs.has(path)) {
    view.backs.set(path, found(view.gathered, 'rest', path).filter((back) => {
      const words = found(view.gathered, 'not-disturbed', back.id);
      return view.isAlive(back) && !words.some((word) => after(word, back) && view.isAlive(word));
    }));
  }
  return view.backs.get(path);
};

// The go-backs that still ask whether this answer was disturbed. `paths` are those of its step.
/** @param {View} view @param {string[]} paths @param {Entry} answer */
const backsOn = (view, paths, answer) => {
  const seen = new Set(answer.seen);
  return paths.flatMap((path) => backsOf(view, path)).filter((back) => !seen.has(back.id));
};

/** @param {Sheet} sheet */
const stepsByPath = (sheet) => new Map((sheet?.steps ?? []).map((step) => [step.path, step]));

/**
 * look(gathered, sheets, digest) -> view: everything that judging one step needs to know of the rest, in view of the
 * worksheet in use, or of another one by its digest.
 * @param {Gathered} gathered
 * @param {Names<Sheet>} sheets
 * @param {string|null} [digest]
 */
export const look = (gathered, sheets, digest = null) => {
  const undone = undoneOf(gathered);
  const known = new Map();
  const view = /** @type {View} */ ({
    gathered,
    sheets,
    undone,
    values: dict(),
    readBy: new Map(),
    counts: new Map(),
    items: dict(),
    steps: dict(),
    readings: dict(),
    results: dict(),
    takenBy: new Map(), // reading or step:<path> -> the newest answer
    tookOff: new Map(),
    wasKinds: new Map(), // thing -> what it was where it was opened
    backs: new Map(),
    pulls: new Map(), // step -> the answers that count, by part
    start: null, // the start that stands, with its corrections
    startDisputed: false,
    corrected: dict(), // field of the start -> its correction
    inert: new Set(),
    departures: new Set(),
    backsOn: (paths, answer) => backsOn(view, paths, answer),
    isAlive: (entry) => !undone.has(entry),
    inJob: (name) => standingInJob(gathered, undone, name),
    inStep: (paths, name) => standingInStep(gathered, undone, paths, name),
    pathsOf: (step) => view.homes.get(step) ?? [step],
    /** The step as it was on the worksheet that the entry was made on, or null. */
    stepAsAnswered: ({ sheet, step }) => {
      if (!known.has(sheet)) known.set(sheet, stepsByPath(own(sheets, sheet)));
      return known.get(sheet).get(step) ?? null;
    },
    /** Whether duty and wording were different when the entry was made. `step` is of the worksheet in use. */
    askedOtherwise: (entry, step) => {
      const old = view.stepAsAnswered(entry);
      if (old === null || old === step) return { duty: old !== step, wording: old !== step };
      const [then, now] = [asks(own(sheets, entry.sheet), old), asks(view.sheet, step)];
      return { duty: then.duty !== now.duty, wording: then.wording !== now.wording };
    },
  });
  view.digest = digest ?? digestInUse(view);
  view.sheet = view.digest === null ? null : sheets[view.digest];
  view.homes = homesOf(view.sheet);
  view.home = new Map([...view.homes].flatMap(([now, paths]) => paths.map((path) => [path, now])));
  view.byPath = stepsByPath(view.sheet);
  view.trade = tradeOf(view.sheet);
  view.leads = new Set(leadsOf(view.sheet));
  view.classes = new Map(Object.entries(view.sheet?.values ?? {}).map(([name, given]) => [name, given.class]));
  for (const [name, item] of Object.entries(view.sheet?.items ?? {})) view.items[name] = { ...item, open: 0 };
  return view;
};

/**
 * A corrected count of an item. Of several, the greatest.
 * @param {View} view
 */
export const readCount = (view, item) => {
  const heads = entriesOf(view.inJob(`count:${item}`));
  const sound = heads.filter(({ value }) => isWhole(value.count, 1));
  for (const entry of heads) if (!sound.includes(entry)) view.inert.add(entry);
  if (sound.length) view.counts.set(item, Math.max(...sound.map(({ value }) => value.count)));
};

const NOTHING = { text: null, number: null, unit: null, source: null, missing: true, filled: false };

// Treat a value as unknown until somebody has read it again.
/** @param {View} view @param {string} name */
const askSecondReader = (view, name, heads, credible) => {
  const { sheet, sheets, gathered, undone } = view;
  const { class: fastener } = sheet.values[name];
  const { entry, said } = secondLook({
    all: ofJob(gathered, `value:${name}`),
    undone,
    pause: sheet.second_reader,
    counts: ({ value }) => isReading(value, fastener) && credible(value),
    asked: ({ sheet: mark }) => Boolean(own(own(sheets, mark) ?? sheet, 'second_reader')),
  }, heads);
  if (!said.waits) view.readBy.set(name, entry);
  const { margin, sure, ...rest } = view.values[name];
  view.values[name] = said.waits ? { ...rest, ...NOTHING, ...said } : { ...view.values[name], ...said };
};

/**
 * Put values and counts as they were read on the phone into the view.
 * @param {View} view
 */
export const readValues = (view) => {
  const critical = own(view.sheet, 'second_reader') ? criticalValues(view.sheet) : new Set();
  for (const [name, given] of Object.entries(view.sheet?.values ?? {})) {
    const reads = view.inJob(`value:${name}`);
    const units = own(view.sheet, 'units') ?? dict();
    const credible = (read) => isCredible(units, given, read);
    const { value, inert } = valueState(given, reads, credible);
    view.values[name] = value;
    for (const entry of inert) view.inert.add(entry);
    const heads = entriesOf(reads);
    if (critical.has(name) && value.filled && !value.not_published) askSecondReader(view, name, heads, credible);
    else if (value.filled) view.readBy.set(name, heads[0]);
  }
  for (const item of Object.keys(view.items)) readCount(view, item);
};

/**
 * True if the worksheet in use asks the same in this list as the entry's worksheet did.
 * @param {View} view
 * @param {Entry} entry
 * @param {string} section
 */
export const sameNeeds = (view, entry, section) => {
  const [then, now] = [own(view.sheets, entry.sheet), view.sheet];
  if (!then || !now) return false;
  return then === now || canonical(then.needs[section] ?? null) === canonical(now.needs[section] ?? null);
};

const isEmpty = (needs) => !needs || Object.keys(needs).length === 0;

// The state of one list of the preparation. A confirmation counts for what was asked then.
/** @param {View} view @param {string} section */
const sectionOf = (view, section) => {
  const told = view.inJob(`confirm:${section}`);
  const heads = entriesOf(told);
  for (const entry of heads) if (!Array.isArray(entry.value.except)) view.inert.add(entry);
  const sound = heads.filter((entry) => Array.isArray(entry.value.except) && sameNeeds(view, entry, section));
  const agreed = sound.length > 0 && sound.length === heads.length && !told.returned;
  return {
    confirmed: agreed || (view.sheet !== null && isEmpty(view.sheet.needs[section])),
    except: [...new Set(sound.flatMap(({ value }) => textsOf(value.except)))].sort(),
  };
};

/**
 * The preparation: {section: {confirmed, except}}.
 * @param {View} view
 */
export const preparation = (view) => (
  dict(SECTIONS.map((section) => [section, sectionOf(view, section)]))
);
