// The tables that the desk and the phone share. Never edit this file: change generator/tables.py, then write it anew
// with `python -m tools.tables`.

import { table } from '../base/own.js';

export const SLOT_NAMES = table({
  start: table({ job: 'job' }),
  correct: table({ job: 'job:<part>' }),
  adopt: table({ job: 'sheet' }),
  confirm: table({ job: 'confirm:<part>', step: 'wording' }),
  read: table({ job: 'value:<part>' }),
  check: table({ step: 'part:<part>' }),
  finish: table({ step: 'part:' }),
  settle: table({ job: 'value:<part>', step: 'part:<part>' }),
  skip: table({ step: 'part:' }),
  'not-fitted': table({ step: 'part:' }),
  refuse: table({ step: 'part:' }),
  depart: table({ step: 'depart:<part>' }),
  back: table({}),
  'not-disturbed': table({}),
  'took-off': table({ job: 'itself:<id>' }),
  extra: table({ job: 'itself:<id>' }),
  count: table({ job: 'count:<part>' }),
  'put-back': table({ job: 'put-back:<part>' }),
  elapsed: table({ step: 'elapsed' }),
  'take-back': table({}),
  decline: table({ job: 'decline' }),
  'pass-on': table({ job: 'pass' }),
  receive: table({ job: 'pass' }),
});
export const RETURNS = new Set(['back', 'take-back']);
export const CORRECTABLE_FIELDS = table({ number: 'said', vehicle: 'said', odometer: 'odometer', vin: 'text', more: 'texts' });
export const VALUE_FIELDS = table({
  number: [],
  vehicle: [],
  odometer: ['number', 'unit'],
  role: [],
  procedure: [],
  vin: [],
  local: ['day', 'time_zone'],
  reason: [],
  sheet: [],
  same: [],
  text: [],
  unit: [],
  margin: ['number', 'unit'],
  source: ['document', 'where', 'read', 'by', 'checked_by'],
  not_published: [],
  sure: [],
  second: ['self'],
  set: [],
  wrench: [],
  adapter: ['length', 'angle', 'lever'],
  new: [],
  outcome: [],
  note: [],
  kept_at: [],
  self: [],
  permit: [],
  despite: ['reason'],
  instead: [],
  with: [],
  how: [],
  told_by: [],
  price: [],
  to: [],
  label: [],
  kind: [],
  count: [],
  list: [],
  approved_by: [],
  seconds: [],
  why: [],
});
/** @type {OdometerUnit[]} */
export const ODOMETER_UNITS = ['km', 'mi'];
/** @type {ActionableState[]} */
export const ACTIONABLE = ['disputed', 'failed', 'recheck', 'open'];
export const CLOSED = new Set(['done', 'hidden', 'not-fitted', 'refused', 'skipped']);
export const BLOCKING = new Set(['after', 'hold', 'list', 'open', 'order', 'ready']);
/** @type {DutyField[]} */
export const DUTY = ['takes', 'cautions', 'opens', 'closes', 'hold', 'gate', 'picture'];
/** @type {WordingField[]} */
export const WORDING = ['do', 'why'];
/** @type {SectionName[]} */
export const SECTIONS = ['parts', 'tools', 'consumables', 'one_time', 'values'];
export const RULE_OF_SECTION = table({ parts: 'part', tools: 'tool', consumables: 'part' });
export const LEAST_SAID = table({ document: 2, where: 1 });
export const GAUGES = table({ gauge: '(g)', vacuum: '(vac)' });
export const SECONDS = table({ s: 1, min: 60, h: 3600, day: 86400, week: 604800 });
export const WORKED_OUT = 'Worked out from readings';
export const MOST = table({ bytes: 16777216, lines: 10000, nested: 64 });
