// Every word that the phone says, in the trade's own words. No other file of the screen holds a sentence.

import { dict, own, table } from '../base/own.js';
import { otherBoxes, tradeOf } from '../journal/trade.js';
import { CLOSED, GAUGES as MARKS } from '../journal/tables.js';
import { DAY_MS, inZone } from '../quantities/dates.js';
import { anyOpen, joined, listName, startLabel, stillOpen, things } from './trade.js';

export const SIGNAL = table({ danger: 'DANGER', warning: 'WARNING', caution: 'CAUTION', notice: 'NOTICE' });

export const SECTIONS = table(/** @satisfies {Record<SectionName, string>} */ ({
  parts: 'Parts', tools: 'Tools', consumables: 'Consumables', one_time: 'One-time fasteners, new', values: 'Missing values',
}));

export const STATES = table(/** @satisfies {Record<StateName, string>} */ ({
  'disputed': 'two answers', 'failed': 'failed', 'recheck': 'look again', 'blocked': 'not yet', 'waiting': 'waiting',
  'open': 'to do', 'refused': 'refused by the customer', 'skipped': 'left out', 'not-fitted': 'not fitted', 'done': 'done',
  'hidden': 'not needed',
}));

// Only for worksheets made before values named their own units.
export const UNITS = table({
  torque: ['N.m', 'lbf.ft', 'lbf.in'], angle: ['deg'], time: ['min', 's', 'h'], count: [''], length: ['mm', 'in'],
  temperature: ['degC', 'degF'], pressure: ['bar', 'kPa', 'psi', 'inHg'], volume: ['L', 'ml', 'qt'], frequency: ['Hz'],
});

const plural = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

export const stepName = (number, text) => `step ${number}: ${text}`;

/**
 * Why a step does not go, in words. `name` gives a step's number and text, `items` the fold's, `trade` the worksheet's words, `label` and `need` what values
 * and needed things are called.
 * @param {Why} reason
 * @param {any} about
 */
export const why = (reason, { name, items, label, need, state, figures, trade, closerOf = () => null }) => {
  const open = stillOpen(items, trade).filter((item) => reason.items?.includes(item.name));
  const closer = open.length ? closerOf(open[0].name) : null;
  const says = table(/** @satisfies {Record<WhyCode, () => string>} */ ({
    hold: () => `First stop and check at ${name(reason.step)}`,
    order: () => `First do ${name(reason.step)}`,
    after: () => `First finish ${name(reason.step)}`,
    open: () => `Still ${open.length ? things(open) : `something ${anyOpen(trade)}`}.${closer ? ` First do ${name(closer)}` : ''}`,
    list: () => `Bolt list “${listName(reason.list, trade)}” is not done${open.length ? `: ${things(open)}` : ''}.`,
    ready: () => (reason.items
      ? `Not here: ${joined(reason.items.map((id) => need(reason.section, id)))}. Get it and confirm the list again${reason.section === 'one_time' ? '' : `, or say under “${W.somethingElse}” why you go on without`}.`
      : `“${SECTIONS[reason.section] ?? 'the preparation'}” is not confirmed. Confirm it below.`),
    value: () => missingSo(`“${label(reason.name)}”`, state.values[reason.name] ?? {}),
    result: () => notYetResult(label(reason.name), state.results?.[reason.name]),
    disturbed: () => 'Look again: going back may have disturbed this.',
    again: () => 'Look again: something before this was done after it, or is open again.',
    duty: () => 'Look again: the worksheet asks something else here than when this was done.',
    doubt: () => `Not good: ${figureNotGood(reason.name, { label, figures, state })}. A good answer needs a reason.`,
    permit: () => `${reason.name} gave this permit, and has the job or works under it. Somebody else must give it.`,
    signer: () => `The signature of ${reason.name || 'nobody'} does not count here. Somebody else must sign.`,
    'not-needed': () => 'No longer needed after what was found. Take it back, or close it.',
  }));
  return says[reason.code] ? says[reason.code]() : W.notYetTitle;
};

/** A figure that is not good, with what it means. */
export const figureNotGood = (name, { label, figures, state }) => (
  [`${label(name)} ${figures.text(name) ?? ''}`.trim(), state.results?.[name]?.verdict].filter(Boolean).join(', ')
);

const missingSo = (label, { waits, disputed }) => {
  if (disputed) return `${label} has two answers. Say below which one holds.`;
  return waits ? `${label} was read once. Another person reads it again below.` : `${label} is missing. Fill it in below, with the place it was read.`;
};

const notYetResult = (label, now) => (
  now?.bad ? `“${label}” is not good${now.verdict ? `: ${now.verdict}` : ''}.` : `“${label}” is not known.`
);

// What is odd in a vehicle identification number; it is kept as it was written.
const VIN = table({
  length: ({ length }) => `It has ${plural(length, 'character')}. A VIN since 1981 has 17.`,
  alphabet: ({ letters }) => `A VIN never has ${joined(letters, 'or')} in it. I, O and Q are left out because they look like 1 and 0.`,
  year: ({ letter, binding }) => `“${letter}” in the tenth place is not a model year${binding ? '' : ', if this maker puts one there'}.`,
  digit: ({ found, expected, binding }) => (binding
    ? `The check digit (ninth place) is ${found} and should be ${expected}: one character is wrong.`
    : `The check digit (ninth place) is ${found}, and by the other characters it would be ${expected}. Not every maker uses one.`),
});
export const vinOdd = (warnings) => {
  const [first] = warnings;
  if (warnings.length === 1 && first.code === 'length' && first.length < 17) return `${plural(first.length, 'character')} so far. A VIN since 1981 has 17. You can save it as it is.`;
  return warnings.length ? `Look at the VIN again. ${warnings.map((one) => VIN[one.code]?.(one) ?? '').join(' ')} You can save it as it is.` : '';
};

// Why there is no figure although everything it needs is there.
const BECAUSE = table({
  zero: 'it would divide by zero',
  root: 'it would take the root of a number below zero',
  log: 'it would take the logarithm of zero or less',
  angle: 'no angle has such a sine or cosine',
  large: 'the number is too large to work with',
  whole: 'it needs a whole number',
  outside: 'a figure is outside the published table',
  unsaid: 'the procedure has no figure for this case',
  broken: 'this phone cannot read the formula',
});
export const notKnownBecause = (codes) => joined(codes.map((code) => BECAUSE[code] ?? code));

// What happened, what is safe, what to do next.
const NOT_KEPT = table({
  full: 'this phone is full. Send the job to another phone, then free space, close the browser and open this page again.',
  io: 'this phone could not write. Send the job to another phone, close the browser and open this page again.',
  timeout: 'this phone did not answer in time. Tap again.',
  abort: 'this phone stopped before it had saved. Tap again.',
  closed: 'this page lost its storage. Open this page again, then tap again.',
  blocked: 'site data is blocked in this browser. Allow it for this address, or use another browser.',
  suspect: 'this phone’s main copy had lost ticks. Send the job to a file, close the browser and open this page again.',
  unopened: 'this phone’s main copy does not open. Send the job to a file, close the browser and open this page again.',
});
export const notKept = (reason) => (
  `Not saved: ${NOT_KEPT[reason] ?? 'this phone could not write. Tap again.'} What was saved before is safe. What you typed is still here.`
);

// Of what is not kept: what happened, what is safe, what comes next. What the card of trouble says already is not said twice.
const UNKEPT = table({
  full: 'This phone is full. Free space on it. This page tries again by itself.',
  io: 'This phone could not write. Send the job to a file, close the browser and open it again.',
  blocked: 'This browser saves nothing for this site.',
  unopened: 'This phone’s main copy does not open.',
  suspect: 'This phone’s main copy had lost ticks. Send the job to a file, close the browser and open it again.',
});
const UNKEPT_ELSE = 'This phone could not save yet. This page tries again by itself.';
const UNKEPT_WHERE = table({
  file: 'The file you have holds what is not saved here.',
  second: 'There is a second copy on this phone, but a crash may lose the last minute of it.',
  page: 'Only this page holds what is not saved. Closing the page loses it.',
});
export const unkeptSaid = ({ why: reason, isMirrored, isTold, isSaved }) => [
  isTold ? '' : UNKEPT[reason] ?? UNKEPT_ELSE, UNKEPT_WHERE[isSaved ? 'file' : isMirrored ? 'second' : 'page'], 'What was saved before is safe.',
].filter(Boolean).join(' ');

/** How an answer stands, with what it says: kept, or not. */
export const answeredSo = (kept, text) => (kept?.unkept ? W.unkeptSo(text) : W.keptSo(text));

export const REFUSED = 'Not saved: the job has moved on meanwhile. Look at the step again.';

// What the keep found. That the second store is a little behind is what any sudden death leaves: nothing to say.
const TROUBLE = table({
  'store-blocked': 'This browser saves nothing for this site: what you tick is gone when the page closes. Allow site data for this address, or use another browser.',
  'mirror-blocked': 'This phone has no second copy. What you tick is saved in one place only: send the job to a file now and then.',
  'store-refuses': 'This phone’s main copy does not answer. What was saved before is not touched. Close the browser and open this page again.',
  'store-full': 'This phone is full and saves nothing more. What was saved before is safe. Send the job to a file, then free space on the phone.',
  'store-set-aside': 'This phone’s main copy is from a newer version of this site, or part of it is gone. This page left it as it is and uses a new one beside it. Check that the last ticks are here. If not, open the newer version, or bring the job in from a file.',
  'all-lost': 'Jobs were done on this phone, and every copy of them is empty now. They are lost. Bring the job in from a file.',
  'log-lost': 'This phone’s third copy was empty. It has been filled again. Nothing is lost.',
  'log-damaged': 'A part of this phone’s third copy cannot be read. It has been filled again from the others.',
  'log-stopped': 'This phone’s third copy does not answer. Damage to the main copy might go unnoticed. Send the job to a file, close the browser, open it again.',
  'store-suspect': 'This phone’s main copy lost ticks and may lose more. Nothing more is written to it until you close the browser. Send the job to a file, close the browser, open it again.',
  'store-stopped': 'This phone stopped saving after a fault, so that nothing is destroyed. Send the job to a file, close the browser, open it again.',
  'store-empty-mirror-not': 'This phone had lost its main copy. What the others held has been put back. Check that the last ticks are here, and send the job to a file.',
  'store-behind': 'Some ticks were missing from this phone’s main copy. They have been put back from another one. Send the job to a file.',
  'mirror-empty-store-not': 'This phone’s second copy was empty. It has been filled again. Nothing is lost.',
  'entries-missing': 'Some ticks may be missing from this phone. Compare the job with what has really been done, or bring it in again from a file.',
  'entry-unreadable': 'One tick on this phone cannot be read. The others are safe. Bring the job in again from a file.',
  'mirror-unreadable': 'One tick in this phone’s second copy cannot be read. The main copy is not touched.',
  'mirror-left': 'The second copy is full. The job nobody has worked on for the longest time is saved in the main copy only. Send that job to a file.',
  'sheet-damaged': 'A worksheet on this phone was damaged. Open its page once with a network, or bring the job in from a file.',
});
const STORE_DEAD = new Set(['store-blocked', 'store-refuses', 'store-stopped']);
const troubleSaid = ({ what, why: reason, repaired }, isDead) => {
  if (what.startsWith('store-') && repaired === 0) return ''; // nothing was put back: it is shown as not kept
  if (what === 'mirror-blocked' && isDead) return ''; // it would say that ticks are kept in one place
  if (what === 'store-stopped' && reason === 'suspect') return TROUBLE['store-suspect'];
  return TROUBLE[what === 'store-refuses' && reason === 'full' ? 'store-full' : what] ?? '';
};
/** What the keep found -> sentences. */
export const troublesSaid = (found) => {
  const isDead = found.some(({ what }) => STORE_DEAD.has(what));
  return found.map((finding) => troubleSaid(finding, isDead)).filter(Boolean);
};

export const OFFLINE = table({
  none: 'Not saved for work offline',
  loading: 'Getting ready to work offline',
  ready: 'Ready offline',
  'update-waiting': 'Ready offline. A new version is here',
  broken: 'Not ready offline',
});

const MINUTE = 60_000;
const CLOCK = { hour: '2-digit', minute: '2-digit' };
const DAY = { day: 'numeric', month: 'short', year: 'numeric' };
let shopZone; // of the page's worksheet
/** Days and times are said as the clocks in this time zone show them; without one, as this phone's do. */
export const sayTimesIn = (zone) => { shopZone = zone; };
const dated = (options) => (at) => {
  const time = new Date(at);
  return Number.isNaN(time.getTime()) ? '' : inZone(shopZone, options).format(time);
};
export const clock = dated(CLOCK);
export const day = dated(DAY);
export const ago = (ms) => {
  const minutes = Math.floor(ms / MINUTE);
  if (minutes < 1) return 'less than a minute ago';
  if (minutes < 60) return `${plural(minutes, 'minute')} ago`;
  if (minutes < 48 * 60) return `${plural(Math.floor(minutes / 60), 'hour')} ago`;
  return `${plural(Math.floor(minutes / 1440), 'day')} ago`;
};
export const remaining = (ms) => {
  const seconds = Math.ceil(ms / 1000);
  if (seconds >= 3600) return `${Math.floor(seconds / 3600)} h ${Math.floor((seconds % 3600) / 60)} min`;
  return seconds >= 60 ? `${Math.floor(seconds / 60)} min ${seconds % 60} s` : `${seconds} s`;
};

export const keptBy = ({ who, at }) => `${who} ${clock(at)}`;

export const source = (from) => {
  if (!from) return 'no source noted';
  const { by, checked_by: second, checked } = from;
  const again = second === by ? ['self-check', checked].filter(Boolean).join(' ') : `checked ${second}`;
  const people = [by, second && again].filter(Boolean).join(', ');
  return `${from.document}, ${from.where}${people ? ` (${people})` : ''}`;
};

// Units as they are read out; the worksheet keeps its own names for them.
const LONG_UNITS = new Set(['day', 'week', 'month', 'year']);
/** @type {Record<GaugeKind, string>} */
const OF_GAUGE = { vacuum: ' vacuum', gauge: ' gauge' };
const GAUGES = dict(Object.entries(OF_GAUGE).map(([kind, word]) => [own(MARKS, kind), word]));
/** unitSaid('inHg(vac)') -> 'inHg vacuum'; `figure` is what stands before it. */
export const unitSaid = (unit, figure = '') => {
  if (unit === 'date') return '';
  if (LONG_UNITS.has(unit)) return figure === '1' ? unit : `${unit}s`;
  return String(unit).replace(/^deg([CF])$/, '°$1').replace(/\((?:vac|g)\)$/, (gauge) => GAUGES[gauge]);
};

/** The same where the box's label says which gauge it is: 'inHg', as on its face. */
export const unitOnFace = (unit) => unitSaid(unit.replace(/\((?:vac|g)\)$/, ''));

/** Which gauge a kind is read on, behind a label; '' for all else. */
export const gaugeSaid = (kind) => (table({ vacuum: ' (vacuum)', gauge: ' (gauge)' })[kind] ?? '');

/** A whole day, counted from 1970-01-01. */
export const dateSaid = (days) => {
  const time = new Date(days * DAY_MS);
  return Number.isNaN(time.getTime()) ? String(days) : inZone('UTC', DAY).format(time);
};

/** A number with its unit, as it was typed. */
export const figureSaid = (number, unit) => (
  unit === 'date' ? dateSaid(number) : `${number} ${unitSaid(unit ?? '', String(number))}`.trim()
);

/** A text of the worksheet with its units as they are read out: '85 degC' -> '85 °C'. */
export const said = (text) => text && String(text)
  .replace(/\bdeg([CF])\b/g, '°$1')
  .replace(/(?<=[A-Za-z0-9])\((?:vac|g)\)/g, (gauge) => GAUGES[gauge])
  .replace(/\b(\d+(?:\.\d+)?) (day|week|month|year)\b/g, (_, figure, unit) => `${figure} ${unitSaid(unit, figure)}`);

/** '2027-03-01' -> '1 Mar 2027'. */
export const dateText = (text) => dateSaid(Date.parse(`${text}T00:00:00Z`) / DAY_MS);

/** By whom and when, with the day: a list is read days later too. */
export const keptOn = ({ who, at }) => `${who} ${clock(at)}, ${day(at)}`;

/** How a line of a bolt list stands. */
export const boltStands = (now, { done, parts }) => table({
  loose: 'loose', some: `${done} of ${parts} pulls`, later: 'not loosened yet', tight: 'tight',
})[now];

// What may have been meant by a torque outside its band.
const SLIPS = table({
  tenth: ({ newton }) => `a tenth would be ${newton} N.m`,
  tenfold: ({ newton }) => `ten times would be ${newton} N.m`,
});
// A class is two numbers with a point. Grades and stainless steels have a name of their own.
const gradeSaid = (grade) => {
  if (/^\s*[258]\s*$/.test(grade)) return `grade ${grade.trim()}`;
  return /^\s*(sae |grade |A[24]-)/i.test(grade) ? grade : `class ${grade}`;
};
const CASTING = /^\s*(aluminium|aluminum|magnesium)/i;
const sentence = (text) => text && `${text[0].toUpperCase()}${text.slice(1)}.`;

/** One answer as a person says it. `outcome` gives the label of an inspect's answer. */
export const answer = ({ kind, value }, outcome = (name) => name) => {
  if (value.outcome === 'failed') return `failed${value.note ? `: ${value.note}` : ''}`;
  if (value.outcome !== undefined) return outcome(value.outcome);
  if (value.number !== undefined) return figureSaid(value.number, value.unit) + (value.sure ? ' (asked, and sure)' : '');
  if (value.text !== undefined) return said(value.text) + (value.sure ? ' (asked, and sure)' : '');
  if (value.set) return value.set;
  if (value.kept_at !== undefined) return `taken, saved at ${value.kept_at}`;
  if (value.permit !== undefined) return `permit given${value.self ? ' to oneself after a break' : ''}: ${value.permit}`;
  if (value.self !== undefined) return value.self ? 'self-check after a break' : 'second look';
  return table({ 'skip': `left out: ${value.reason}`, 'not-fitted': `not fitted: ${value.reason}`, 'refuse': 'refused by the customer',
    'finish': 'finished', 'back': 'gone back', 'take-back': 'taken back' })[kind] ?? 'done';
};

export const W = {
  busy: 'Saving …',
  done: 'Done',
  keptShort: 'saved',
  again: 'Looked again: done',
  hold: 'Press and hold',
  holdSay: 'Hold until the bar is full',
  next: 'To do now',
  why: 'Why',
  keptSo: (text) => `Saved: ${text}`,
  unkeptSo: (text) => `Not saved: ${text}`,
  unkeptShort: 'not saved',
  unkeptTitle: (n) => `Not saved: ${plural(n, 'tick or reading', 'ticks and readings')}`,
  unkeptStop: 'A stop comes here. After your answer the job must go into a saved file.',
  unkeptWaits: 'This stop closes once the job is in a saved file and you say that you have it.',
  unkeptJob: (n) => `${n} not saved`,
  savedSend: 'Send the job to a file',
  savedHave: 'I have the file',
  savedFirst: 'Send the job first.',
  savedOld: 'Something was done after that file was made. Send the job once more.',
  jobMenu: 'Job',
  somethingElse: 'Something else',
  openTitle: (any) => `Still ${any}`,
  openNone: (any) => `Nothing is ${any}.`,
  boltLists: 'Bolt lists',
  listDone: 'done',
  workingNow: 'Working now',
  otherPerson: 'Somebody else',
  initials: 'Initials',
  takeThem: 'Work as these initials',
  goTo: (n) => `Go to step ${n}`,
  goOn: (n) => `Go on: step ${n}`,
  stopCheck: 'Stop and check',
  stageRule: { any: 'Any order in this stage', kept: 'In this order', absolute: 'Exactly in this order' },
  paper: 'The whole worksheet, to read or print',
  was: 'This step was moved in the worksheet.',
  extraWork: 'Extra work',

  // Values
  value: 'Value',
  margin: '± how far off it may be, in the same unit',
  unit: 'Unit',
  document: 'Source document',
  place: 'Page or place in it',
  readOn: 'What you read it on',
  readWhere: 'Where it hangs or stands',
  notPublished: 'Not published: shop’s own table',
  keepValue: 'Save this value',
  missingSay: (reason, sheet) => `Missing: ${(reason || `the ${sheet} does not give it`).replace(/\.$/, '')}. Read it from the maker’s information.`,
  unreadSay: (reason) => `Missing: ${reason}. Read it here.`,
  saysNothing: {
    document: 'Name the book: its title or number, so that another person finds it.',
    where: 'Write where it stands in the book, for example: page 118.',
  },
  cannotBe: (figure, { from, to, unit, above, whole, of }) => {
    const ends = above ? `more than ${from} and up to ${to}` : `from ${from} to ${to}`;
    return `${figure} cannot be right. Write the figure as the book has it: ${ends} ${unit}`.trim()
      + (whole ? ', a whole number.' : '.') + (of.length ? ` The limit comes from: ${of.join(', ')}. If the book says otherwise, ask the shop lead.` : '');
  },
  marginCannotBe: 'It cannot be off by so much, or by nothing. Write the tolerance to one side as the book has it.',
  turnCannotBe: 'The turn cannot be right. Write it as the book has it, for example 90 deg, or leave that box empty.',
  cannotSet: (set) => `A wrench cannot be set to ${set}. Look at the value and at the wrench.`,
  ownTable: 'not published, shop’s own table',
  correctValue: 'Correct this value',
  reuseAgain: 'Loosened again: another new one',
  thread: (thread, grade) => (grade ? `${thread}, ${gradeSaid(grade)}` : thread),
  into: (into, engaged) => `into ${into}${engaged ? `, ${engaged} of thread engaged` : ''}`,
  condition: { dry: 'thread dry', oiled: 'thread oiled', coated: 'thread coated', sealed: 'thread with sealer' },
  head: { hexagon: 'hexagon head', flange: 'flange head' },
  grip: (grip) => `${grip} clamped`,
  angleUnjudged: 'angle not judged: grip not known',
  boltNamed: ({ thread, grade }) => (thread && grade ? `a bolt ${thread} of ${gradeSaid(grade)}` : 'this bolt'),
  slip: ({ slip, figure, newton }) => (SLIPS[slip] ? SLIPS[slip]({ newton }) : `${figure} would be ${newton} N.m`),
  askedSure: 'asked, and sure',
  readOnce: 'not read a second time',
  secondSay: ({ who, at }, page) => `${who} read this value at ${clock(at)}. Now a second person reads it from the same page: ${page}.`,
  secondText: (who, text) => `${who} read: ${text}`,
  secondWho: 'Who reads it a second time?',
  secondNeeds: 'Choose who reads it a second time.',
  secondOther: (who) => `${who} read it first. Another person must read it now.`,
  secondKeep: 'Save the second reading',
  secondSame: 'The page says the same',
  secondWaits: (label) => `${label}: read once, waits for a second reader`,
  readAgain: ({ self }) => (self === true ? 'self-check after a break' : 'second reader'),
  readers: ({ first, who, self }) => (self ? `read twice by ${who}, self-check after a break` : `read by ${first.who}, second reader ${who}`),
  twoReadings: 'Two readings differ. Look at the page again, then say which one holds. Then a second person reads it once more.',
  alsoNewton: (figure, newton) => `${figure} (${newton} N.m)`,
  bandSaid: ({ figure, side, about, of, low, high }) => {
    const range = `${low} to ${high} N.m.`;
    if (side === 'above' && of === 'thread') return `${figure} is more than the thread in ${about.into} holds: ${range}`;
    return `${figure} is ${side === 'above' ? 'more' : 'less'} than ${W.boltNamed(about)} ${side === 'above' ? 'takes' : 'is given'}: ${range}`;
  },
  turnSaid: ({ degrees, side, low, high, about }) => (
    `${degrees}° is ${side === 'above' ? 'more' : 'less'} than ${W.boltNamed(about)} is turned: ${low} to ${high}°. Look at the book again.`
  ),
  givenSaid: (given, sheet) => `The ${sheet} gives ${given} but not where it was read. Look at the book again.`,
  othersSaid: (least, most) => `The other torques of this worksheet are ${least} to ${most} N.m. Look at the book again.`,
  unitUnused: (unit) => `No other torque of this worksheet is in ${unit}. Look at the unit in the book.`,
  /** @param {any} odd */
  oddTorque: ({ slips, unjudged, casting, ...odd }) => [
    W.bandSaid(odd),
    sentence(slips.join('; ')),
    'Look at the source again.',
    ...unjudged ?? [CASTING.test(casting) && `Into ${casting}: the thread in the casting may be the weaker part.`],
  ].filter(Boolean).join(' '),
  reuse: { yes: 'May be used again', no: 'One-time: always new', ask: 'Ask before using it again' },

  // Check-offs
  pass: (n, of) => `Pull ${n} of ${of}`,
  wrench: 'Torque wrench',
  wrenchLine: (label, adapter) => [label ?? 'With an adapter', adapter && `adapter ${adapter.length} mm at ${adapter.angle}°`].filter(Boolean).join(', '),
  overdueShort: 'calibration overdue',
  undatedShort: 'no calibration date',
  noMarkShort: 'no mark near enough',
  overdue: (label, due) => `${label}: its calibration was due on ${due}. Have it checked, or take another one.`,
  undated: (label) => `${label}: the shop’s file gives no calibration date. Look for the date on the wrench, or take another one.`,
  noMark: (label, target) => `${label} has no mark near enough to ${target}. Take another one.`,
  noWrench: (target) => `No torque wrench of this shop reaches ${target}. Get one that does.`,
  noWrenches: (target) => `The shop’s file names no torque wrench. Set ${target} on yours.`,
  noWrenchTitle: 'No torque wrench here for these',
  noWrenchFor: (label, target, why) => `${label}: ${target}${why === 'near' ? ', no mark near enough' : ', out of range'}`,
  noWrenchSay: 'Get one before the first bolt is loosened.',
  adapterTitle: 'With an adapter',
  adapterWhich: 'Adapter',
  adapterOther: 'Another one',
  adapterLength: 'Length, mm',
  adapterAngle: 'Angle, degrees',
  lever: 'Lever of the wrench, hand to drive, mm',
  adapterNone: 'Adapter is off again',
  adapterDrawing: 'The wrench seen from above: lever from hand to drive, adapter from drive to bolt, the angle between their lines',
  leverSaid: (mm) => (mm === null ? 'lever' : `lever ${mm} mm`),
  lengthSaid: (mm) => (mm === null ? 'adapter' : `${mm} mm`),
  angleSaid: (degrees) => (degrees === null ? 'angle' : `${degrees}°`),
  adapterGives: (exact, target) => `Exactly ${exact} on the wrench is ${target} at the bolt. The nearest mark is below.`,
  adapterHalf: 'Fill in length and angle of the adapter.',
  adapterLever: 'Fill in the lever of this wrench, from the middle of the hand to the drive.',
  adapterNoSetting: 'With the adapter like this there is no setting: turn it further out, or use a longer wrench.',
  adapterBeyond: 'No torque wrench of this shop reaches the value with this adapter.',
  mapTitle: 'Where the bolts stand',
  boltSays: (label, state) => `${label}, ${state}`,
  notYetDone: 'not yet',
  notYetTitle: 'Not yet',
  laterTitle: 'Later',
  adopted: 'New worksheet taken. Saved.',
  boltOrder: (order) => `In this order: ${order.join(', ')}.`,
  outOfOrder: (first, now) => `Out of order: bolt ${first} comes before bolt ${now}. You can save this pull all the same.`,
  newIn: (count) => (count > 1 ? 'New bolts are in' : 'A new bolt is in'),
  newAgain: (count) => (count > 1 ? 'Other new bolts are in' : 'Another new bolt is in'),
  newFirst: 'Confirm first that the new bolt is in. This bolt is never used twice.',
  markLook: (label) => `The angle pull on ${label} may have been interrupted. Look at its witness mark. Never pull again to be sure.`,
  markThere: 'Mark is there: go on from it',
  markLost: 'Mark lost: back this bolt off',
  markLostNew: 'A new bolt goes in.',
  markLostReason: 'witness mark lost',
  boltCount: (count, label) => `${count} × ${label}`,
  boltValue: (text) => `value ${text}`,
  boltSet: (text, wrench) => (wrench ? `set ${text} on ${wrench}` : `set ${text}`),
  boltNew: 'new',
  boltsTight: (tight, of) => `${tight} of ${of} tight`,
  turn: (n, of) => `Turn ${n} of ${of} done`,
  keepReading: 'Save this reading',
  between: (from, to, unit) => {
    if (from === null) return `Expected: at most ${to} ${unit}`.trim();
    return (to === null ? `Expected: at least ${from} ${unit}` : `Expected between ${from} and ${to} ${unit}`).trim();
  },
  plusMinus: '+/−',
  noUnit: 'no unit',
  sureTitle: (figure) => `Sure? ${figure}`,
  whichTitle: (text) => `${text}: which number?`,
  whichWhy: 'The mark can stand before decimals or between thousands.',
  onlyWhole: 'Only whole numbers.',
  sureMeant: (figures) => `Did you mean ${joined(figures, 'or')}?`,
  sureKeep: (figure) => `Save ${figure} anyway`,
  soFar: (lines) => `Read so far: ${lines.join(', ')}.`,
  readAgainKeep: 'Save the new reading',
  correctReading: 'Correct this reading',
  needDate: (label) => `“${label}” must be a date.`,

  // What is worked out
  yes: 'yes',
  no: 'no',
  verdict: (text) => text.slice(0, 1).toUpperCase() + text.slice(1),
  notKnown: 'Not known yet',
  notYet: '–',
  needsThis: (label) => `Needs “${label}”.`,
  needsTwo: (label) => `Needs “${label}”: there are two answers.`,
  needsHere: (labels) => (labels.length > 1 ? 'Needs the readings below.' : `Needs “${labels[0]}”, below.`),
  needsShop: (label) => `Needs “${label}”, which the shop’s file does not say. Ask the shop lead.`,
  needsStart: (label) => `Needs “${label}” from the start of the job.`,
  needsNumber: (label, text) => `Needs “${label}” as a number with its unit. There it says “${text}”.`,
  needsSheet: (label, sheet) => `Needs “${label}”, which the ${sheet} does not give.`,
  notKnownFor: (reasons) => `Cannot be worked out: ${reasons}.`,
  working: 'How this is worked out',
  roundedTo: (side) => `Shown rounded ${side}, the safe side.`,
  findingAt: (number, outcome) => `step ${number} is “${outcome}”`,
  findingOf: (number) => `What was found at step ${number}`,
  toleranceOf: (label) => `Tolerance of ${label}`,
  workedOut: 'worked out from the figures here',
  ofTheShop: 'the shop’s file',
  ofTheJob: 'the start of the job',
  readBy: (by, number) => `read by ${by}${number ? `, step ${number}` : ''}`,
  tableReads: (x, y) => `${y} by ${x}, read between its lines and never beyond them`,
  tableFrom: (title, from) => `${title}: ${from}`,
  figureFrom: (label, figure) => `${label}: ${figure}`,
  change: 'Change',
  changeFrom: (before, after) => `from ${before} to ${after}`,
  keptAt: 'Saved at (phone, camera, card)',
  photoTaken: 'Photo taken',
  startWait: 'Start the time',
  endWait: 'Time is up: done',
  waitUntil: (at, left) => `Not before ${clock(at)}: ${left} to go`,
  waitOver: 'The time is up.',
  startReading: 'Start the time with this reading',
  endReading: 'Time is up: save this reading',
  startAgain: 'Start again with a new reading',
  move: 'Move',
  moveOf: (of) => `of ${of}`,
  moveShort: (due, of) => `${due}/${of}`,
  moveNow: 'Now',
  moveNext: (left, what) => (what ? `Next in ${left}: ${what}` : `Next move in ${left}`),
  moveLast: 'That was the last move.',
  soundTap: 'Tap for sound',
  soundOff: 'Sound is on: mute',
  soundOn: 'Muted: sound on',
  soundNone: 'This phone makes no sound here: watch the mark.',
  waitEvery: (text, say) => `Every ${text}${say ? `: ${say}` : ''}`,
  waitAsks: {
    'another-phone': 'The time was started on another phone. Say how long it has been, and how you know.',
    clock: 'This phone’s clock was set meanwhile. Say how long it has been, and how you know.',
    unknown: 'How long to wait is not known yet: fill in the value above.',
  },
  elapsedTitle: 'Another clock timed it',
  elapsed: 'Minutes that have passed',
  elapsedWhy: 'How do you know?',
  elapsedKeep: 'Save the time that has passed',
  signWho: 'Who looks a second time?',
  signAs: (who) => `Signed by ${who}`,
  selfCheck: (who) => `${who}, self-check`,
  selfLater: (who, at) => `${who} alone: self-check from ${clock(at)}`,
  signNeeds: 'Choose who signs.',
  signBy: (roles) => `Second look by: ${roles}`,
  permitBy: (roles) => `Permit by: ${roles}`,
  // may: who may sign, without those who did it; alone: who did it and may sign after a break, because nobody else may.
  qualifiedSay: ({ may, alone, canLeaveOut }) => {
    if (may.length) return `Ask ${joined(may, 'or')}.${canLeaveOut ? ' Nobody here? Leave this step out below, with the shop lead.' : ''}`;
    return alone.length ? `Nobody else on the shop’s list may sign here. ${joined(alone, 'or')} may, after a break. It is recorded as a self-check.` : W.nobodySigns;
  },
  signRefused: ({ who, isBarred, isListed, may, alone }) => {
    const why = isBarred ? `${who} did it.` : isListed ? `${who} may not sign here.` : `${who} is not on the shop’s list.`;
    return `${why} ${may.length ? `Ask ${joined(may, 'or')}.` : alone.length ? `${joined(alone, 'or')} may, after a break.` : W.nobodySigns}`;
  },
  nobodySigns: 'Nobody on the shop’s list may sign here. Ask whoever keeps the list, then take the new worksheet.',
  signOther: (who) => `${who} did it. Another person must look now.`,
  permitWho: 'Who gives the permit?',
  permitAs: (who) => `Permit given by ${who}`,
  permitGiven: 'permit given',
  permitNeeds: 'Choose who gives the permit.',
  permitOther: (who) => `${who} has the job or works under this permit. Another person must give it.`,
  permitNotBy: 'Somebody else must allow the work: not the person who has the job, and nobody who does a step after this one.',
  permitAlone: 'Alone in the shop: give it to yourself after a break. It is recorded as that.',
  notBy: 'Somebody else must look, not the person who did it. Alone in the shop: do a self-check after a break. It is recorded as one.',
  finish: 'Finish the job',
  finished: 'This job is finished.',
  finishedShort: 'Finished',

  // Failed, and going back
  failedButton: (when) => `It failed${when ? `: ${when}` : ''}`,
  note: 'What was seen',
  failedTitle: 'This failed',
  keepFailed: 'Save as failed',
  backTitle: (n) => `Go back to step ${n}`,
  backChoose: 'Go back to',
  backSay: 'To be done again, because going back disturbs it',
  restSay: 'Done later, and not on that list: somebody must say that it was not disturbed',
  backReason: 'Reason',
  redoTitle: 'Do this again (go back)',
  notDisturbed: (who) => `Not disturbed, says ${who}`,
  notDisturbedSay: (numbers) => `Going back may have disturbed step ${joined(numbers)}. Look, then say it once for all of them.`,

  // Something else
  skip: 'Leave this step out',
  skipKeep: 'Leave it out',
  notFitted: (noun) => `This ${noun} has no such part`,
  notFittedKeep: 'Not fitted',
  refuse: 'The customer said no',
  refuseKeep: 'Customer said no',
  depart: 'Do it another way',
  departKeep: 'Save this departure',
  departWhat: 'What is different',
  decline: 'The shop does not do this job',
  declineKeep: 'The shop declines the job',
  reason: 'Reason',
  instead: 'What is done instead',
  withLead: 'Shop lead who agrees (initials)',
  never: 'This step is never left out.',
  how: 'How was it said (phone, in person, in writing)',
  toldBy: 'Who told the customer',
  price: 'Price offered',
  tookOff: 'I took this off too',
  tookOffKeep: 'I took this off too',
  what: 'What',
  kind: 'Kind',
  count: 'How many',
  extra: 'Extra work, agreed with the customer',
  extraKeep: 'Add the extra work',
  approvedBy: 'Who agreed',
  countTitle: 'A count is wrong',
  countKeep: 'Correct the count',
  takeBack: 'Take back',
  takeBackSay: (text) => `Take back: ${text}`,
  takeBackReason: 'Reason (may be empty)',
  lastKept: (n, answerer) => `Step ${n} saved, ${answerer}`,
  lastUnkept: (n, answerer) => `Step ${n} not saved, ${answerer}`,
  nothingYet: 'No step answered yet',
  orderDeparture: 'The order of the steps',
  toolDeparture: (label) => `Tool: ${label}`,
  partDeparture: (label) => `Part: ${label}`,
  valueDeparture: (label) => `Value: ${label}`,
  departures: 'Left out or done another way',
  departuresNone: 'Nothing was left out or done another way.',

  // Preparation
  preparation: 'Is everything here?',
  preparationSay: 'Tap what is not here, then confirm the list.',
  missingHere: 'not here',
  allHere: 'All here',
  allExcept: (n) => `All here except ${n}`,
  valuesConfirm: (n) => (n ? `Go on with ${plural(n, 'value')} still missing` : 'All values are here'),
  confirmed: (n) => (n ? `Confirmed, except ${n}` : 'Confirmed'),

  // Two answers
  twoAnswers: (whole) => `Two answers. Look at the ${whole}, then say which one holds.`,
  settle: (text, answerer) => `${text} (${answerer})`,

  // Where you were
  whereTitle: 'Where you were',
  whereLast: (name, text, since, isLoose) => `${isLoose ? 'Last done, not saved' : 'Last saved'}: ${name} (${text}), ${since}.`,
  whereLine: (name, since, isLoose) => `${isLoose ? 'Last done, not saved,' : 'Last saved'} ${since}: ${name}.`,
  whereOpen: (text) => `Still open: ${text}.`,
  whereCounted: (counts) => `${counts}. The list is at the top.`,
  whereMark: 'Look at the witness mark of the last bolt before you go on. Never pull a bolt again to be sure.',
  whereSeen: 'I have looked',

  // A new revision
  adoptTitle: (from, to) => {
    if (from.revision !== to.revision) return `This worksheet has changed: revision ${to.revision} is here, the job runs on revision ${from.revision}.`;
    if (from.engine.revision !== to.engine.revision) return `The ${tradeOf(to).sheet} has changed: revision ${to.engine.revision} is here, the job runs on revision ${from.engine.revision}.`;
    return `This worksheet has changed and is still revision ${to.revision}. What is below is different.`;
  },
  adoptSay: 'The job stays as it is until somebody takes the new one.',
  adoptKeep: 'Take the new revision',
  changed: { duty: 'asks something else', wording: 'reworded', added: 'new', removed: 'gone', moved: 'moved' },
  adoptAgain: (n) => (n ? `${plural(n, 'step')} already done will ask to be looked at again.` : 'Nothing already done has to be looked at again.'),
  reworded: 'This step was reworded after it was done.',
  same: 'It means the same',

  // Pass on, carry
  passOn: 'Pass the job on',
  passTo: 'To whom (name or initials)',
  passKeep: 'Pass the job on',
  passedTo: (to, by) => `Passed on to ${to} by ${by}. Whoever takes it over says so here.`,
  receive: (who) => `${who} takes the job over`,
  exportTitle: 'Send this job to a file or another phone',
  exportKeep: 'Send the job',
  exported: { shared: 'The job was shared. It stays here too.', downloaded: 'The job is in this phone’s downloads. It stays here too.', cancelled: '' },
  exportFailed: 'The job could not be sent. It is still here, safe. Try again.',
  importTitle: 'Bring a job in from a file',
  importFile: 'File of a job (.txt)',
  importKeep: 'Bring it in',
  importNone: 'Choose a file first.',
  imported: (added, had) => `${plural(added, 'tick or reading', 'ticks and readings')} added, ${had} already here.`,
  importRefused: (said) => `Nothing was taken from this file: ${said}`,
  wipeTitle: 'Take this job off this phone',
  wipeSay: 'Send it to a file first. What is only here is gone for good.',
  wipeKeep: 'Take it off this phone',
  wipeReason: 'Type the job number to confirm',
  wipeWrong: 'That is not this job’s number. Nothing was taken off.',

  // Jobs
  hereTitle: 'Jobs on this phone',
  hereNone: 'No job on this phone yet.',
  jobLine: (n, of) => `${n} of ${of} steps closed`,
  jobDeclined: (reason) => `The shop declined this job: ${reason}`,
  startTitle: 'Start a job',
  makerFirst: 'The maker’s information comes first. Where it differs from this sheet, the maker is right.',
  invented: (whole) => `Invented values, for a demonstration. Use none of them on a ${whole}.`,
  sheetAge: ({ revision, engine }, about, read) => (
    `Worksheet revision ${revision}, ${about} revision ${engine.revision}${read ? `, last value read on ${read}` : ''}.`
  ),
  jobNumber: 'Job number',
  mayBeEmpty: (label) => `${label} (may be empty)`,
  who: 'Who is working (initials)',
  role: 'Role',
  startKeep: 'Start the job',
  agreed: 'Agreed with the customer',
  required: (label) => `Fill in “${label}” first.`,
  needCount: (label) => `“${label}” must be a whole number from 1 to 9999.`,
  cannotBeHere: (figure, { from, to, unit, above }) => (
    `${figure} cannot be right. It can be ${above ? `more than ${from} and up to ${to}` : `from ${from} to ${to}`} ${unit}`.trim() + '.'
  ),
  needNumber: (label) => `“${label}” must be a number.`,
  unknownJob: 'This job is not on this phone. Bring it in from a file, or start it here.',
  noSheet: 'The worksheet of this job is not on this phone. Open its page once with a network.',
  allJobs: 'All jobs',
  torqueSheet: 'Torque sheet, to print',
  update: 'Take the new version now',
  updateLater: 'It is taken by itself when every page of this site has been closed.',
  otherTab: 'A newer version was taken in another page. Open this page again when it suits you.',
  unknownKinds: (n) => `${plural(n, 'tick')} from a newer version cannot be shown here. ${n === 1 ? 'It is' : 'They are'} saved and passed on.`,
  gone: (n) => `${plural(n, 'tick')} on steps that this worksheet no longer has. They stay in the record.`,
  // Said in one place only
  thenTurn: 'Then turn on by (for example 90 deg), or nothing',
  noSourceFor: (text, sheet) => `the ${sheet} gives ${text} but not where it was read`,
  here: 'here',
  missingValue: 'missing',
  notConfirmed: 'not confirmed',
  alwaysNew: 'always new',
  backSame: 'Do this step again',
  skipLead: 'Leave this step out (only with the shop lead)',
  closedOf: (n, of) => (n === of ? 'all done' : `${n} of ${of}`),
  partly: (state, n, of) => `${state} (${n} of ${of})`,
  listNothing: 'nothing on it in this job',
  whatChanged: 'What changed',
  jobFacts: (job, sheet, started) => [
    job && `${job.odometer?.number ?? ''} ${job.odometer?.unit ?? ''}`.trim(), job?.vin && `VIN ${job.vin}`, ...moreSaid(job?.more, tradeOf(sheet)), sheet.title, sheet.engine.title,
    `revision ${sheet.revision}`, started && `started ${started}`,
  ].filter(Boolean).join(' · '),
  departureSaid: ({ name, what, reason, instead, lead }) => (
    `${name}: ${what}. Why: ${reason}. Instead: ${instead || 'nothing'}${lead ? `. Lead: ${lead}` : ''}`
  ),
  waitUnknown: 'ask a person',
  waitUp: 'time is up',
  stepShort: (n) => `${n}:`,
  twoAnswersSomewhere: 'Two people answered one step differently.',
  gateAgain: 'A stop that was passed asks again: something is open or was done after it.',
  putBack: ({ count, label }) => `Put back: ${count} × ${label}`,
  leftOutTitle: (n) => `This page cannot show ${n === 1 ? 'one entry' : `${n} entries`} of this job. It goes on without ${n === 1 ? 'it' : 'them'}:`,
  leftOutLine: ({ kind, who, when, step, part }) => [`“${kind}”`, step && `at step ${step}`, part && `part “${part}”`, `by ${who || 'nobody named'}`, when].filter(Boolean).join(', '),
  leftOutSafe: 'It is still stored on this phone and goes along when you send the job. Check the list against what has really been done before you go on.',
  faultJob: 'This page cannot show this job. Nothing is lost: all of it is stored on this phone. Save a copy and send it to whoever looks after the site.',
  saveCopy: 'Save a copy',
  jobFault: 'This job cannot be shown. Open it to save a copy.',
  readyMissing: ({ things, by }) => `Not here: ${things}${by && ` (${by})`}. The strip-down was passed as if everything were here. Get it, then confirm the list again.`,
  readyGone: ({ list, by }) => `The list “${list}” no longer stands as confirmed${by && ` (${by})`}. Look at it and confirm it again.`,
  originTitle: (origin, sheet, isPart) => {
    const of = `“${sheet.title}”, revision ${sheet.revision}`;
    const which = isPart ? `Part of this job was done on a worksheet (${of}) that` : `The worksheet of this job (${of})`;
    return origin === 'stranger'
      ? `${which} is not from this shop’s site. Its steps and values come from “${sheet.shop.title ?? sheet.shop.id ?? 'somebody else'}”.`
      : `${which} is not one that this phone has seen on this shop’s site. It may be an older revision from this shop, or somebody else’s.`;
  },
  originDo: 'Ask the shop lead before you work by it.',
  originShort: table({ stranger: 'worksheet not from this shop’s site', unmet: 'worksheet not seen on this shop’s site' }),
  fault: 'Something went wrong in this page. What was saved is safe. Open the page again. If the fault comes back, send the job’s file to whoever looks after the site.',
  deeds: 'Take back something that was said',
  countSaid: (label, n) => `${label}: ${n} of them`,
  confirmSaid: (list) => `${list}: confirmed`,
  elapsedSaid: (name, minutes, how) => `${name}: ${plural(minutes, 'minute')} have passed, ${how}`,
  passSaid: (to) => `Passed on to ${to}`,
  leadWho: (leads) => `This step is left out only with the shop lead. Write the initials of ${joined(leads, 'or')}.`,
  closedNothing: (n) => `${plural(n, 'answer')} did not close the step: something was missing. Look at the step again.`,
  unnamedJob: 'Job without a start',
  jobProgress: (state) => (state?.complete ? 'finished' : state?.declined ? 'declined' : progress(state)),
  whoFirst: 'Say first who is working: tap the initials at the top.',
  importUnkept: 'The job was read, and is not saved on this phone. Keep the file. The first line of this page says what to do.',
  noSheetHere: 'The worksheet did not arrive. Open this page once with a network.',

  // Calculators
  calcEngine: (noun) => `${noun.charAt(0).toUpperCase()}${noun.slice(1)}`,
  calcNoEngine: (noun) => `No ${noun} chosen`,
  calcFrom: (procedure) => `From the procedure “${procedure}”`,
  calcToday: 'Today',
  calcTyped: 'Typed here.',
  calcSheetSays: (figure, from) => `The sheet says ${figure}: ${from}.`,
  calcShopSays: (figure) => `The shop’s file says ${figure}.`,
  calcOfShop: 'From the shop’s file.',
  calcLacks: 'The sheet does not give it.',
  calcBack: (figure) => `Take ${figure} again`,
  calcWorked: (figure, label) => `Not given anywhere. Used instead: ${figure}, “${label}”.`,
  calcEmpty: 'Empty all boxes',
  calcUnread: 'The formulas did not arrive. Open this page once with a network.',
};

/** What the other boxes of the start form say, a line each: texts alone, of the boxes that the trade has. */
export const moreSaid = (more, trade) => otherBoxes(trade)
  .filter(({ name }) => typeof own(more, name) === 'string' && own(more, name) !== '')
  .map(({ name }) => `${startLabel(name, trade)} ${own(more, name)}`);

const progress = (state) => {
  const all = Object.values(state?.steps ?? {}).filter((step) => step.state !== 'hidden');
  return W.jobLine(all.filter((step) => CLOSED.has(step.state)).length, all.length);
};
