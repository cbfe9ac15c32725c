// A stop: what was found, what is unsafe, what to do now. The job ends here; an answer that was a mistake is struck out
// with a reason and a lead, and the question is asked again.

import { initialsOf, isOneOf } from '../../journal/people.js';
import { leadsOf, tradeOf } from '../../journal/trade.js';
import { S } from '../../words/stops.js';
import { anyOpen } from '../../words/trade.js';
import { W, answer } from '../../words/words.js';
import { foldedForm, form } from '../common/form.js';
import { make, say, sayOrHide, show } from '../common/nodes.js';
import { labelOf } from '../common/step_text.js';

/** Does this step, failed as it is, stop the job? Where it says where to go back to, that is the way on. */
export const stopsJob = (step, { state }) => state === 'failed' && step.stop === true;
export const endsJob = (step, seen) => stopsJob(step, seen) && !step.if_failed?.back_to;

const foundAt = (step, seen) => {
  const given = seen.answers.findLast(({ kind, value }) => kind === 'check' && value.outcome !== undefined);
  return given ? answer(given, labelOf(step)) : step.if_failed?.when ?? '';
};

// The shop declines the job.
const endForm = (send) => form({
  fields: [{ name: 'reason', label: W.reason, required: true }],
  action: 'decline', keep: S.endTitle, look: 'press',
  onKeep: (value) => send({ kind: 'decline', step: '', value }),
});

const mistakeForm = ({ step, sheet, send, answers }) => {
  const leads = leadsOf(sheet);
  const onKeep = ({ reason, with: typed }) => {
    const lead = initialsOf(sheet.shop.people, typed);
    if (!lead) return { kept: false, words: W.required(S.mistakeLead) };
    if (leads.length && !isOneOf(leads, lead)) return { kept: false, words: S.mistakeWho(leads) };
    return send({ kind: 'take-back', step: step.path, value: { reason, with: lead }, seen: answers() });
  };
  return foldedForm({
    title: S.mistake, action: 'mistake', keep: S.mistakeKeep, hold: true,
    before: [make('p', { class: 'small' }, S.mistakeSay)],
    fields: [{ name: 'reason', label: S.mistakeReason, required: true }, { name: 'with', label: S.mistakeLead, required: true }],
    onKeep,
  });
};

/** stopPanel({step, sheet, send}) -> {node, update(view)}. */
export const stopPanel = ({ step, sheet, send }) => {
  const title = make('h3');
  const unsafe = make('p', {}, step.cautions.map(S.unsafe).join(' '));
  const now = make('p', { class: 'to-do' });
  let given = []; // every answer that is struck out together
  const end = endForm(send);
  const endSay = make('p', { class: 'small' }, S.endSay(anyOpen(tradeOf(sheet))));
  const mistake = mistakeForm({ step, sheet, send, answers: () => given });
  const ending = make('div', { class: 'stop-end' }, endSay, end.node);
  const node = make('div', { class: 'notice-card bad end-card', 'data-stop': true }, title, unsafe, now, ending, mistake.node);
  const update = ({ seen }) => {
    show(node, stopsJob(step, seen));
    if (!stopsJob(step, seen)) return;
    const found = foundAt(step, seen);
    say(title, S.stopTitle(found));
    given = seen.answers.map(({ id }) => id);
    show(unsafe, step.cautions.length);
    sayOrHide(now, endsJob(step, seen) ? step.if_failed?.say : '');
    show(ending, endsJob(step, seen));
    end.update({ fields: { reason: { value: S.endReason(found) } } });
    mistake.update({});
  };
  return { node, update };
};
