// What a job was started with, and what of that was corrected later. The same table as generator/journal/start.py.

import { canonical } from '../base/canonical.js';
import { dict, own, table } from '../base/own.js';
import { said } from './answers.js';
import { after } from './entries.js';
import { ODOMETER } from './figures.js';
import { CORRECTABLE_FIELDS, ODOMETER_UNITS } from './tables.js';
import { entriesOf } from './view.js';

const isOdometer = (told) => {
  if (told === null || typeof told !== 'object' || Array.isArray(told) || !ODOMETER_UNITS.includes(told.unit)) return false;
  return typeof told.number === 'number' || (typeof told.number === 'string' && ODOMETER.test(told.number));
};

const isTexts = (told) => told !== null && typeof told === 'object' && !Array.isArray(told)
  && Object.values(told).every((text) => typeof text === 'string');
const KINDS = table({ said, odometer: isOdometer, text: (text) => typeof text === 'string', texts: isTexts });

/** What can be corrected in a start, and whether a new value is allowed. */
export const CORRECTABLE = dict(Object.entries(CORRECTABLE_FIELDS).map(([field, kind]) => [field, KINDS[kind]]));

/** @param {View} view */
const correctionOf = (view, field) => {
  const heads = entriesOf(view.inJob(`job:${field}`));
  const sound = heads.filter(({ value }) => CORRECTABLE[field](own(value, field)) && said(value.reason));
  for (const entry of heads) if (!sound.includes(entry)) view.inert.add(entry);
  return sound.at(-1) ?? null;
};

/**
 * readJob(view) puts the start that stands, with its corrections, into the view. Of two starts the newer one.
 * @param {View} view
 */
export const readJob = (view) => {
  const told = view.inJob('job');
  const fields = Object.keys(CORRECTABLE);
  /** @type {[string, Entry][]} */
  const corrections = fields.map((field) => [field, correctionOf(view, field)]);
  const starts = entriesOf(told);
  const start = starts.at(-1);
  if (!start) return;
  const right = new Map();
  for (const [field, entry] of corrections) {
    if (!entry || !starts.every((one) => after(entry, one))) continue;
    const { value: { reason }, id, who, at } = entry;
    const to = own(entry.value, field);
    view.corrected[field] = { from: own(start.value, field), to, reason, id, who, at };
    right.set(field, to);
    if (field === 'odometer') view.takenBy.set('odometer', entry);
  }
  const valueOf = (one, field) => canonical(own(one.value, field));
  const differ = fields.filter((field) => new Set(starts.map((one) => valueOf(one, field))).size > 1);
  const corrected = Object.keys(view.corrected);
  const isSettled = corrected.length > 0 && !told.returned && differ.every((field) => corrected.includes(field));
  view.start = { ...start, value: { ...start.value, ...dict(right) } };
  view.startDisputed = told.disputed && !isSettled;
};
