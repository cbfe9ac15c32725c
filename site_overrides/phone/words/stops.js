// What is said at a stop, over a figure that is not good, of a corrected start, of a second job of one number, and of what
// a new revision no longer knows of.

import { optionsOf, standsSo, startLabel, stillOpen, things } from './trade.js';
import { moreSaid } from './words.js';

const sentence = (text) => (/[.!?]$/.test(text.trim()) ? text.trim() : `${text.trim()}.`);
const odometer = (told) => (told?.number === undefined ? 'nothing' : `${told.number} ${told.unit ?? ''}`.trim());
const toldOf = (value) => (value !== null && typeof value === 'object' ? odometer(value) : value || 'nothing');

const fieldLabel = (field, trade) => (field === 'number' ? 'Job number' : startLabel(field, trade));
const told = (field, value, trade) => (field === 'more' ? moreSaid(value, trade).join(', ') || 'nothing' : toldOf(value));

export const S = {
  // A stop
  stopTitle: (found) => `Stop: ${found}`,
  unsafe: ({ hazard, harm }) => `${sentence(hazard)} ${sentence(harm)}`,
  endTitle: 'End the job here',
  endSay: (any) => `The shop declines the job. What is ${any} stays listed at the top.`,
  endReason: (found) => `Found: ${found}`,
  mistake: 'The answer was a mistake',
  mistakeSay: 'Look again, together with the shop lead. The answer is struck out with your reason, and the question is asked again.',
  mistakeReason: 'What was wrong with the answer',
  mistakeLead: 'Shop lead who looked too (initials)',
  mistakeKeep: 'Strike the answer out',
  mistakeWho: (leads) => `Only with the shop lead. Write the initials of ${leads.join(' or ')}.`,
  declinedSay: 'Nothing more is done on this job. To go on after all, take the end of the job back under “Job”.',

  // A good answer over a figure that is not good
  despiteTitle: (said) => `“${said}” goes against the figure above.`,
  despiteReason: 'Why it is good all the same',
  despiteKeep: (said) => `Save “${said}” with this reason`,
  despiteNot: 'Answer again',
  despiteSaid: ({ name, said, figures, reason }) => `${name}: ${said}, although ${figures.join(', ')}. Why: ${reason}`,

  // The start, corrected
  correctTitle: 'Correct how the job was started',
  correctWhat: 'What is wrong',
  correctTo: 'It should be',
  correctReason: 'Why it is corrected',
  correctKeep: 'Correct it',
  correctFields: (trade) => [
    { value: 'number', label: 'Job number' },
    ...optionsOf(trade.start).map(({ value, label }) => ({ value: value === 'what' ? 'vehicle' : value, label })),
  ],
  correctNumber: 'The odometer must be a number.',
  corrected: (field, { from, to, reason }, trade) => (
    `${field === 'more' ? '' : `${fieldLabel(field, trade)}: `}${told(field, to, trade)}, first written ${told(field, from, trade)}. Why: ${reason}`
  ),
  correctedDeed: (field, to, trade) => (field === 'more' ? `Corrected: ${told(field, to, trade)}` : `${fieldLabel(field, trade)} corrected to ${toldOf(to)}`),
  twoStarts: (whole) => `Two phones started this job with different facts. Look at the ${whole}, then correct what is wrong under “Job”.`,

  // What was taken off besides
  list: 'Where it belongs',

  // What no step of this revision closes
  /** @param {any} item */
  leftTitle: ({ open, label, ...item }) => `${open} × ${label}: ${standsSo(item)}. No step of this revision closes ${open === 1 ? 'it' : 'them'}.`,
  leftSay: (whole) => `Look at the ${whole}. What became of it?`,
  leftCount: 'How many are back',
  leftReason: 'What became of it, and how you know',
  leftKeep: 'It is back, I looked',
  leftNews: (items) => `No step of the new revision closes ${things(items)}. ${items.length === 1 && items[0].open === 1 ? 'It stays open: you will be asked what became of it' : 'They stay open: you will be asked what became of them'}.`,
  leftDeed: (label, n) => `${label}: ${n} back`,

  // A job of the same number
  sameTitle: ({ number, who, when, isOver }) => `There is already a job ${number} on this phone, started ${[when, who && `by ${who}`].filter(Boolean).join(' ')}${isOver ? `, ${isOver}` : ''}.`,
  numberTaken: (said) => `${S.sameTitle(said)} If this job is to have that number too, press again.`,
  sameOpen: 'Open that job',
  sameSecond: 'Start a second job of this number',
  sameNot: 'Change the number',
  startedHere: 'started here',

  // A job that this site has no worksheet for
  fromSheet: 'This worksheet is not on this site any more. Jobs that ran on it are listed here and go on as before.',
};

/** What is open and no step closes, as things are spoken of: [{name, open, label, kind, stands}]. */
export const leftOver = (items, trade) => stillOpen(items, trade).filter(({ left }) => left > 0).map((item) => ({ ...item, open: item.left }));
