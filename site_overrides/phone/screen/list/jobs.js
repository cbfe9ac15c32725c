// The jobs on this phone, the one worked on last first; and a box to bring one in from a file.

import { own } from '../../base/own.js';
import { W, ago } from '../../words/words.js';
import { form } from '../common/form.js';
import { keyed, make, say, sayOrHide, set, show } from '../common/nodes.js';

const jobLine = () => {
  const number = make('b');
  const vehicle = make('span');
  const sheet = make('span', { class: 'small' });
  const strange = make('b', { class: 'small bad-words' });
  const progress = make('span', { class: 'small' });
  const link = make('a', { class: 'card' }, number, vehicle, sheet, strange, progress);
  const node = make('li', {}, link);
  const update = ({ job, href, title, state, origin, unkept, touched, now }) => {
    link.href = href;
    link.dataset.jobLink = job;
    say(number, state?.job?.number ?? W.unnamedJob);
    say(vehicle, state?.job?.vehicle ?? '');
    say(sheet, title);
    sayOrHide(strange, own(W.originShort, origin) ?? '');
    set(node, 'data-origin', origin && origin !== 'known' ? origin : null);
    const since = touched ? `, ${ago(now - touched)}` : '';
    say(progress, [`${W.jobProgress(state)}${since}`, unkept && W.unkeptJob(unkept)].filter(Boolean).join(', '));
  };
  return { node, update };
};

/** jobsList() -> {node, update({jobs, now})}. jobs: [{job, href, title, state, unkept, touched}]. */
export const jobsList = ({ title = W.hereTitle } = {}) => {
  const list = make('ul', { class: 'cards' });
  const none = make('p', {}, W.hereNone);
  const draw = keyed(list, jobLine);
  const node = make('section', {}, make('h2', {}, title), none, list);
  const update = ({ jobs, now }) => {
    show(none, jobs.length === 0);
    draw(jobs.map((one) => [one.job, { ...one, now }]));
  };
  return { node, update };
};

/** importBox({bringIn}) -> {node}. bringIn(file) -> Promise of {added, had} or {refused}. */
export const importBox = ({ bringIn }) => {
  const good = make('p', { class: 'message good', role: 'status' });
  const made = form({
    fields: [{ name: 'file', label: W.importFile, type: 'file' }],
    action: 'import',
    keep: W.importKeep,
    onKeep: async () => {
      const [file] = made.fields[0].box.files;
      if (!file) return { kept: false, words: W.importNone };
      const done = await bringIn(file);
      sayOrHide(good, done.refused ? '' : W.imported(done.added, done.had));
      if (done.refused) return { kept: false, words: W.importRefused(done.refused) };
      return done.kept ? null : { kept: false, words: W.importUnkept };
    },
  });
  made.fields[0].box.accept = '.txt,text/plain';
  return { node: make('section', {}, make('h2', {}, W.importTitle), good, made.node) };
};
