// What a person did on the screen -> the fields of its entry. Pure. Every answer names all entries of its slot in view.
// A second reading that differs from the first, which was hidden, stands beside it, `apart`: two answers.

import { own, table } from '../base/own.js';
import { answerIds, slotIds, stepIds } from '../journal/journal.js';

const jobWide = table(/** @satisfies {Partial<Record<EntryKind, (part: string) => string>>} */ ({
  start: () => 'job', correct: (part) => `job:${part}`, adopt: () => 'sheet', decline: () => 'decline', 'pass-on': () => 'pass', receive: () => 'pass',
  'put-back': (part) => `put-back:${part}`, read: (part) => `value:${part}`, count: (part) => `count:${part}`, confirm: (part) => `confirm:${part}`, settle: (part) => `value:${part}`,
}));

const ofStep = table(/** @satisfies {Partial<Record<EntryKind, (part: string) => string>>} */ ({
  check: (part) => part, settle: (part) => part, elapsed: () => 'elapsed', depart: (part) => `depart:${part}`,
  confirm: () => 'wording', finish: () => '', skip: () => '', 'not-fitted': () => '', refuse: () => '',
}));

// Gates that were passed. Something taken off after that must be known to them.
const passedGates = (state, sheet) => (sheet?.steps ?? [])
  .filter(({ gate, path }) => gate && state.steps[path]?.state === 'done')
  .flatMap(({ path }) => state.steps[path].answers.map(({ id }) => id));

/** @param {{ kind: EntryKind, [field: string]: any }} verb @param {any} inView */
const seenBy = (verb, { gathered, state, sheet }) => {
  const { kind, step = '', part = '', value } = verb;
  if (verb.seen) return verb.seen;
  if (kind === 'back') return stepIds(gathered, [step, ...value.disturbs], sheet);
  if (kind === 'take-back') return answerIds(gathered, step, part, sheet);
  if (kind === 'took-off') return passedGates(state, sheet);
  /** @type {((part: string) => string) | null} */
  const slot = own(step ? ofStep : jobWide, kind);
  const ids = slot ? slotIds(gathered, step, slot(part), sheet) : [];
  return verb.apart ? ids.filter((id) => !verb.apart.includes(id)) : ids;
};

/**
 * fieldsOf(verb, {gathered, state, sheet}) -> {step, part, value, seen} of the entry to be made.
 * @param {{ kind: EntryKind, [field: string]: any }} verb
 * @param {any} inView
 */
export const fieldsOf = (verb, inView) => ({
  step: verb.step ?? '', part: verb.part ?? '', value: verb.value, seen: seenBy(verb, inView),
});
