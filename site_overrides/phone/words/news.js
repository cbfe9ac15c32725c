// What is said of a new version: what it changes, and why it is not taken just now.

import { table } from '../base/own.js';
import { SIGNAL, W } from './words.js';

// A step's text without its full stop: something follows.
const bare = (text) => text.replace(/\.$/, '');
const plural = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

const CHANGES = table({ ...W.changed, 'caution-added': 'caution new', 'caution-removed': 'caution gone' });

const IN_HAND = table({
  press: 'a button is still held or still saving',
  typed: 'something is typed or marked and not saved',
  parts: 'a check-off is only partly done',
  wait: 'a time is running',
  unkept: 'an answer is not saved yet',
});

// The kinds of change in the order in which they are counted.
const STEPS = ['added', 'duty', 'wording', 'moved', 'removed'];
const counted = (changes, names) => names
  .map((name) => [changes.filter(({ change }) => change === name).length, CHANGES[name]])
  .filter(([n]) => n > 0)
  .map(([n, said]) => `${n} ${n > 1 ? said.replace(/^asks /, 'ask ') : said}`)
  .join(', ');

const cautionText = ({ level, hazard, avoid }) => `${SIGNAL[level] ?? level}: ${hazard} ${avoid}`;

export const N = {
  title: 'What the new version changes',
  whole: (kind, { title, engine }) => `${kind === 'added' ? 'New worksheet' : 'Worksheet no longer on this site'}: ${title}, ${engine}`,
  removedSay: 'A job that runs on it goes on as before.',
  changed: ({ title, engine, from, to }) => `${title}, ${engine}${from === to ? '' : `: revision ${to} instead of ${from}`}`,
  steps: (changes) => {
    const said = counted(changes, STEPS);
    return said ? `Steps: ${said}.` : '';
  },
  cautions: (changes) => {
    const said = counted(changes, ['caution-added', 'caution-removed']).replaceAll('caution ', '');
    return said ? `Cautions: ${said}.` : '';
  },
  values: (n) => (n ? `${plural(n, 'value')} changed.` : ''),
  line: ({ change, text, caution }) => `${bare(text)}: ${CHANGES[change]}${caution ? `. ${cautionText(caution)}` : ''}`,
  value: ({ label, from, to }) => `${label}: ${to ?? 'no value'} instead of ${from ?? 'no value'}`,
  same: 'No step, caution or value changes.',
  unread: 'A job that runs on it shows what changes.',
  guide: 'The guide changes.',
  nothing: 'No worksheet changes, only how these pages look and work.',
  jobs: 'A job that is open stays on its worksheet until somebody takes the new revision there.',
  every: 'Everything that changes',
  stage: (title) => `The whole of “${title}”`,
  refused: ({ job, step, why }) => {
    const where = job ? [`job ${job}`, bare(step)].filter(Boolean).join(', ') : 'a form on another page or on this one';
    return `Not taken: ${IN_HAND[why] ?? IN_HAND.typed} (${where}). Finish that first, then tap here again. Nothing is lost meanwhile.`;
  },
  none: 'There is no new version waiting now. This page goes on as it is.',
  late: 'Not taken yet: this browser is not done with the old version. It takes the new one by itself, usually within five minutes. Go on working. Nothing is lost.',
};
