// What is said at a stop, over a figure that is not good, of a corrected start, of a second job of one number, and of what
// a new revision no longer knows of.

import { own } from '../base/own.js';
import { LISTS, standsSo, stillOpen } from './words.js';

const plural = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;
const sentence = (text) => (/[.!?]$/.test(text.trim()) ? text.trim() : `${text.trim()}.`);
const odometer = (told) => (told?.number === undefined ? 'nothing' : `${told.number} ${told.unit ?? ''}`.trim());
const toldOf = (value) => (value !== null && typeof value === 'object' ? odometer(value) : value || 'nothing');

/** @type {Record<StartField, string>} */
const FIELDS = { number: 'Job number', vehicle: 'Vehicle', odometer: 'Odometer', vin: 'VIN' };

export const S = {
  // A stop
  stopTitle: (found) => `Stop: ${found}`,
  unsafe: ({ hazard, harm }) => `${sentence(hazard)} ${sentence(harm)}`,
  endTitle: 'End the job here',
  endSay: 'The shop declines the job. What is loose, off or in stays listed at the top.',
  endReason: (found) => `Found: ${found}`,
  mistake: 'The answer was a mistake',
  mistakeSay: 'Look again, together with the lead. The answer is struck out with your reason, and the question is asked again.',
  mistakeReason: 'What was wrong with the answer',
  mistakeLead: 'Lead who looked too (initials)',
  mistakeKeep: 'Strike the answer out',
  mistakeWho: (leads) => `Only with the lead. Write the initials of ${leads.join(' or ')}.`,
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
  correctFields: Object.entries(FIELDS).map(([value, label]) => ({ value, label })),
  correctNumber: 'The odometer must be a number.',
  corrected: (field, { from, to, reason }) => `${own(FIELDS, field) ?? field}: ${toldOf(to)}, first written ${toldOf(from)}. Why: ${reason}`,
  correctedDeed: (field, to) => `${own(FIELDS, field) ?? field} corrected to ${toldOf(to)}`,
  twoStarts: 'Two phones started this job with different facts. Look at the car, then correct what is wrong under “Job”.',

  // What was taken off besides
  list: 'Where it belongs',
  listOptions: Object.entries(LISTS).map(([value, label]) => ({ value, label })),

  // What a withdrawn step had opened
  /** @param {any} item */
  leftTitle: ({ open, label, ...item }) => `${open} × ${label}: ${standsSo(item)} when its step was withdrawn. No step of this revision closes it.`,
  leftSay: 'Look at the car. What became of it?',
  leftCount: 'How many are back',
  leftReason: 'What became of it, and how you know',
  leftKeep: 'It is back, I looked',
  leftNews: (n) => `${plural(n, 'thing')} that ${n === 1 ? 'is' : 'are'} loose, off or in now ${n === 1 ? 'has' : 'have'} no closing step in the new revision: you will be asked what became of ${n === 1 ? 'it' : 'them'}.`,
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

/** What is open of a thing whose steps were withdrawn, as things are spoken of: [{name, open, label, kind, stands}]. */
export const leftOver = (items) => stillOpen(items).filter(({ left }) => left > 0).map((item) => ({ ...item, open: item.left }));
