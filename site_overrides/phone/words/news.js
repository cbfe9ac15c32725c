// What is said of a new version: what it changes, and why it is not taken just now.

import { table } from '../base/own.js';
import { SIGNAL, W } from './words.js';

// A step's text without its full stop: something follows.
const bare = (text) => text.replace(/\.$/, '');
const plural = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

const CHANGES = table({ ...W.changed, order: 'in another place', 'caution-added': 'caution new', 'caution-removed': 'caution gone' });

const unknown = 'to be looked up'; // a value that the sheet does not give
/** @type {Record<CheckKind, string>} */
const ANSWERED = {
  tick: 'ticked', tighten: 'tightened bolt by bolt', measure: 'measured', inspect: 'inspected', wait: 'timed', turn: 'counted turn by turn',
  photo: 'photographed', sign: 'signed',
};
const KINDS = table(ANSWERED);
const lasting = (seconds) => (seconds % 60 === 0 ? `${seconds / 60} min` : `${seconds} s`);
const times = (count, label) => (count === null ? `all ${label}` : `${count} × ${label}`);
const things = (verb, label, from, to) => {
  if (from === undefined) return `now ${verb} ${times(to, label)}`;
  if (to === undefined) return `no longer ${verb} ${label}`;
  return `${verb} ${times(from, label)}, now ${to ?? 'all'}`;
};

const IN_HAND = table({
  press: 'a button is still held or still saving',
  typed: 'something is typed or marked and not saved',
  parts: 'a check-off is only partly done',
  wait: 'a time is running',
  unkept: 'an answer is not saved yet',
});

// The kinds of change in the order in which they are counted.
const STEPS = ['added', 'duty', 'wording', 'moved', 'order', 'removed'];
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
  line: ({ change, text, caution, asked = [], after }) => {
    if (change === 'order') return `${bare(text)}: ${after ? `now comes after “${bare(after)}”` : 'now comes first'}`;
    if (asked.length > 0) return `${bare(text)}: ${asked.join('. ')}`;
    return `${bare(text)}: ${CHANGES[change]}${caution ? `. ${cautionText(caution)}` : ''}`;
  },
  value: ({ label, from, to }) => N.figure(label, from, to),
  at: (stage, line) => `${stage}: ${line}`,

  // What a step asks otherwise
  figure: (label, from, to) => `${label} ${from ?? unknown}, now ${to ?? unknown}`,
  facts: (label) => `${label}: same figure, other facts about it`,
  valueNew: (label, text) => `${label} ${text ?? unknown}, new here`,
  valueGone: (label) => `${label}: not used here any more`,
  kind: (from, to) => `was ${KINDS[from] ?? from}, is now ${KINDS[to] ?? to}`,
  pulls: (from, to) => `${from} pulls, now ${to}`,
  turns: (from, to) => `${from} turns, now ${to}`,
  time: (from, to) => `${lasting(from)}, now ${lasting(to)}`,
  outcomes: (from, to) => `answers were ${from.join(' / ')}, now ${to.join(' / ')}`,
  limits: (label) => `${label}: other limits`,
  limit: (label, from, to) => `Limit of ${label} ${from}, now ${to}`,
  worked: (label) => `${label}: worked out another way`,
  opens: (label, from, to) => things('opens', label, from, to),
  closes: (label, from, to) => things('closes', label, from, to),
  stop: (isStop) => (isStop ? 'now the work stops here until it is done' : 'the work no longer stops here'),
  gate: 'its gate waits for other things',
  takes: 'other tools or parts',
  picture: 'another picture',
  cautionsToo: 'look at its cautions again',
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
