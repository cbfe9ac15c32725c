// A job number that is here already: asked about before a second job of it is started; a job that was written beforehand
// and started leaves the list of those still to be started.

import { jobDay } from '../../journal/figures.js';
import { S } from '../../words/stops.js';
import { W, dateSaid } from '../../words/words.js';
import { make, say, set, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';

// What a person would call the same number, however it was typed.
const plain = (number) => String(number ?? '').normalize('NFKC').replace(/\s+/g, '').toUpperCase();

/** The job among these that has this number, or null: [{state, ...}]. */
export const sameNumber = (jobs, number) => jobs.find(({ state }) => state?.job && plain(state.job.number) === plain(number)) ?? null;

/** Shows of the jobs written beforehand those that were not started on this phone. */
export const showWritten = (jobs) => {
  const written = [...document.querySelectorAll('[data-written]')];
  for (const line of written) show(line, !sameNumber(jobs, line.dataset.written));
  const list = written[0]?.closest('section');
  if (list) show(list, written.some((line) => !line.hidden));
};

/** What is said of a job that has the number already. */
export const startedWords = ({ state, startedBy }) => {
  const { number, started_at: at } = state.job;
  const startDay = jobDay(at, state.job);
  const isOver = state.complete ? W.finishedShort.toLowerCase() : state.declined ? 'declined' : '';
  return { number, who: startedBy, when: startDay === null ? '' : dateSaid(startDay), isOver };
};

/** samePanel({second, again}) -> {node, update(job or null)}: open the job that is here, start a second one, or think again. */
export const samePanel = ({ second, again }) => {
  const title = make('p');
  const open = make('a', { class: 'small-press' }, S.sameOpen);
  const button = pressButton({ attrs: { 'data-action': 'start-second' }, look: 'small-press plain-press', onPress: second });
  button.update({ label: S.sameSecond });
  const not = make('button', { type: 'button', class: 'small-press plain-press', onclick: again }, S.sameNot);
  const node = make('div', { class: 'notice-card bad', role: 'alert', 'data-same-number': true }, title, open, button.message, button.node, not);
  const update = (found) => {
    show(node, found);
    if (!found) return;
    say(title, S.sameTitle(startedWords(found)));
    const { href } = found;
    set(open, 'href', href);
    set(open, 'data-job-link', found.job);
    node.scrollIntoView?.({ block: 'nearest' });
  };
  update(null);
  return { node, update };
};
