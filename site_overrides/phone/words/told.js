// What a form has just done, in a few words. Pure.

import { table } from '../base/own.js';
import { SECTIONS, STATES, W } from './words.js';

/** @param {StateName} state @returns {(verb: any, about: any) => string} */
const stepSo = (state) => ({ step }, { number }) => `${W.stepShort(number(step))} ${STATES[state]}`;

const SAYS = table(/** @satisfies {Partial<Record<EntryKind, (verb: any, about: any) => string>>} */ ({
  confirm: ({ part, value }) => (part ? `${SECTIONS[part] ?? part}: ${value.except.length ? `${value.except.length} not here` : 'all here'}` : 'Still the same step'),
  read: ({ part, value }, { label, values }) => {
    if (values?.[part]?.waits) return `${label(part)} read once`;
    if (values?.[part]?.disputed) return `${label(part)}: two readings differ`;
    return `${label(part)} ${value.second ? 'read a second time' : 'filled in'}`;
  },
  'take-back': () => 'Taken back',
  skip: stepSo('skipped'),
  'not-fitted': stepSo('not-fitted'),
  refuse: stepSo('refused'),
  decline: () => 'The shop declines this job',
  depart: ({ step }, { number }) => `${W.stepShort(number(step))} done another way`,
  back: ({ value }, { number }) => `Back at step ${number(value.to)}`,
  'not-disturbed': () => 'Nothing was disturbed',
  'took-off': ({ value }) => `${value.label} is on the list`,
  count: ({ part, value }, { items }) => `${items[part]?.label ?? part}: ${value.count}`,
  extra: ({ value }) => `${value.label} added to the job`,
  elapsed: () => 'Time set',
  settle: () => 'One answer holds',
  'pass-on': ({ value }) => `Passed on to ${value.to}`,
  receive: (_, { me }) => `${me} has taken over`,
  correct: () => 'Start corrected',
  'put-back': ({ part, value }, { items }) => `${items[part]?.label ?? part}: ${value.count} put back`,
}));

/** What a verb that was written has done, and whether it is saved; '' for an answer, which its step shows. */
export const toldOf = (verb, answer, about) => {
  const said = SAYS[verb.kind]?.(verb, about);
  return said ? `${said}. ${answer.kept ? 'Saved.' : 'Not saved yet.'}` : '';
};
