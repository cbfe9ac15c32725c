// A newer revision of the job's worksheet: what changed, and a button to take it. Nothing changes by itself.

import { W } from '../words.js';
import { fold, keyed, make, say, show } from './nodes.js';
import { pressButton } from './press.js';

/** What another revision changes: [{path, change}], change being added, removed, moved, duty or wording. */
export const changesBetween = (before, after) => {
  const old = new Map(before.steps.map((step) => [step.path, step]));
  const now = new Set(after.steps.map((step) => step.path));
  const moved = new Set(after.steps.flatMap((step) => step.was));
  const changed = after.steps.flatMap((step) => {
    const was = old.get(step.path);
    const from = was ? null : step.was.find((path) => old.has(path) && !now.has(path));
    const then = was ?? old.get(from);
    if (!then) return [{ path: step.path, change: 'added', from: null }];
    const found = [];
    if (from) found.push('moved');
    if (then.duty !== step.duty) found.push('duty');
    else if (then.wording !== step.wording) found.push('wording');
    return found.map((change) => ({ path: step.path, change, from: then.path }));
  });
  const removed = before.steps.filter((step) => !now.has(step.path) && !moved.has(step.path));
  return [...changed, ...removed.map(({ path }) => ({ path, change: 'removed', from: path }))];
};

export const newRevision = ({ send }) => {
  const title = make('p');
  const again = make('p');
  const list = make('ul', { class: 'changes' });
  const draw = keyed(list, () => {
    const node = make('li');
    return { node, update: (text) => say(node, text) };
  });
  let digest = null;
  const button = pressButton({
    attrs: { 'data-action': 'adopt' },
    look: 'small-press',
    onPress: () => send({ kind: 'adopt', step: '', value: { sheet: digest }, sheet: digest }),
  });
  const node = make('div', { class: 'notice-card' }, title, fold({ class: 'form' }, W.whatChanged, list), again, make('p', { class: 'small' }, W.adoptSay), button.message, button.node);
  const update = ({ offered, sheet, state, shared }) => {
    show(node, Boolean(offered));
    if (!offered) return;
    digest = offered.digest;
    const changes = changesBetween(sheet, offered.sheet);
    say(title, W.adoptTitle(sheet.revision, offered.sheet.revision));
    const redo = changes.filter(({ change, from }) => change === 'duty' && state.steps[from]?.answers.length);
    say(again, W.adoptAgain(redo.length));
    draw(changes.map(({ path, change }) => [`${path} ${change}`, `${shared.textIn(change === 'removed' ? sheet : offered.sheet, path)}: ${W.changed[change]}`]));
    button.update({ label: W.adoptKeep });
  };
  return { node, update };
};
