// "Where you were": on coming back, what was kept last and what is still open. The full card where an interruption is
// dangerous, one line elsewhere and only after ten minutes.

import { openLine, stillOpen, things } from '../../words/trade.js';
import { W, ago } from '../../words/words.js';
import { make, say, show } from '../common/nodes.js';

const TEN_MINUTES = 600_000;
const MOST_NAMED = 5; // more than these would push the step off the screen

const openSaid = (items, trade) => {
  if (!items.length) return openLine(items, trade);
  return items.length > MOST_NAMED ? W.whereCounted(openLine(items, trade)) : W.whereOpen(things(items));
};

/** A stage where an interruption can cost the engine: its order is never left, or it has something to tighten. */
export const isDelicate = (sheet, index) => sheet.stages.at(index)?.order === 'absolute'
  || sheet.steps.some((step) => step.stage === index && step.check.kind === 'tighten');

export const whereYouWere = ({ seen: onSeen }) => {
  const last = make('p');
  const open = make('p');
  const mark = make('p', {}, W.whereMark);
  const button = make('button', { type: 'button', class: 'small-press', onclick: onSeen }, W.whereSeen);
  const card = make('div', { class: 'notice-card where', role: 'status' }, make('h2', {}, W.whereTitle), last, open, mark, button);
  const line = make('p', { class: 'where-line', role: 'status' });
  const node = make('div', {}, card, line);
  const update = ({ back, state, sheet, shared }) => {
    const entry = back?.last;
    const stage = shared.names.stageOf(entry?.step) ?? shared.names.stageOf(state.next);
    const full = Boolean(entry) && !state.complete && isDelicate(sheet, stage);
    const idle = entry ? back.at - Date.parse(entry.at) : 0;
    show(card, full);
    show(line, Boolean(entry) && !full && !state.complete && idle >= TEN_MINUTES);
    if (!entry) return;
    const items = stillOpen(state.items, shared.names.trade);
    say(last, W.whereLast(shared.names.name(entry.step), shared.journal.said(entry), ago(idle), Boolean(shared.saved.kept(entry.id).unkept)));
    say(open, openSaid(items, shared.names.trade));
    say(line, W.whereLine(shared.names.name(entry.step), ago(idle), Boolean(shared.saved.kept(entry.id).unkept)));
  };
  return { node, update };
};
