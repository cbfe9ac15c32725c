// A newer revision of the job's worksheet: what changed, and a button to take it. Nothing changes by itself.

import { own } from '../../base/own.js';
import { asks } from '../../journal/duty.js';
import { add, judge } from '../../journal/journal.js';
import { tradeOf } from '../../journal/trade.js';
import { N } from '../../words/news.js';
import { S, leftOver } from '../../words/stops.js';
import { W } from '../../words/words.js';
import { fold, keyed, make, say, sayOrHide, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';
import { askedBetween, steppedAside } from './asked.js';

const markOf = ({ level, hazard, harm, avoid }) => JSON.stringify([level, hazard, harm, avoid]);

// Two cautions are the same when they say the same; where they stand in the list says nothing.
const cautionsBetween = (before = [], after = [], at) => {
  const old = new Set(before.map(markOf));
  const now = new Set(after.map(markOf));
  return [
    ...after.filter((one) => !old.has(markOf(one))).map((caution) => ({ ...at, change: 'caution-added', caution })),
    ...before.filter((one) => !now.has(markOf(one))).map((caution) => ({ ...at, change: 'caution-removed', caution })),
  ];
};

const stagesBetween = (before, after) => after.stages.flatMap((stage) => {
  const then = before.stages.find(({ id }) => id === stage.id);
  return cautionsBetween(then?.cautions, stage.cautions, { path: null, stage: stage.title, from: null });
});

const stated = (sheet, { duty, wording }) => ({ duty, wording });

/**
 * What another revision changes: [{path, from, change, caution?, stage?}]. change is added, removed, moved, duty, wording,
 * order, caution-added or caution-removed; a duty has `asked`, the words of what is asked otherwise, an order `after`, the
 * path of the step before it now. asking(sheet, step) -> {duty, wording}: of two worksheets of the site what they state, else
 * asks(), which looks at the contents too. `from` is the step's path before. A stage's caution has `stage`, the title, and no path.
 */
export const changesBetween = (before, after, asking = stated) => {
  const old = new Map(before.steps.map((step) => [step.path, step]));
  const now = new Set(after.steps.map((step) => step.path));
  const moved = new Set(after.steps.flatMap((step) => step.was ?? []));
  const fromOf = ({ path, was = [] }) => (old.has(path) ? path : was.find((one) => old.has(one) && !now.has(one)));
  const aside = steppedAside(before, after, fromOf);
  const changed = after.steps.flatMap((step) => {
    const { path } = step;
    const then = old.get(fromOf(step));
    const from = then && then.path !== path ? then.path : null;
    const found = [];
    if (!then) found.push('added');
    if (from) found.push('moved');
    const [asked, wanted] = then ? [asking(before, then), asking(after, step)] : [];
    if (then && asked.duty !== wanted.duty) found.push('duty');
    else if (then && asked.wording !== wanted.wording) found.push('wording');
    const at = { path, from: then?.path ?? null };
    const told = (change) => (change === 'duty' ? { ...at, change, asked: askedBetween(before, after, then, step) } : { ...at, change });
    const order = aside.has(path) ? [{ ...at, change: 'order', after: aside.get(path) }] : [];
    return [...found.map(told), ...order, ...cautionsBetween(then?.cautions, step.cautions, at)];
  });
  const removed = before.steps.filter((step) => !now.has(step.path) && !moved.has(step.path));
  return [
    ...stagesBetween(before, after), ...changed, ...removed.map(({ path }) => ({ path, change: 'removed', from: path })),
  ];
};

/** One change with the words of what it is about: textIn(sheet, path) -> a step's text. */
export const toldOf = (one, { before, after, textIn }) => {
  const isGone = one.change === 'removed';
  const sheet = isGone ? before : after;
  if (one.stage !== undefined) return { ...one, text: N.stage(one.stage) };
  const stage = sheet.stages.at(sheet.steps.find(({ path }) => path === one.path)?.stage ?? 0)?.title ?? '';
  const behind = one.change === 'order' && one.after !== null ? { after: textIn(after, one.after) } : {};
  return { ...one, text: textIn(sheet, one.path), stageTitle: stage, ...behind };
};

/** The lines of some changes. The same line twice is told with the stage: a part that is there four times has four. */
export const linesOf = (changes) => {
  const lines = changes.map(N.line);
  const times = new Map();
  for (const line of lines) times.set(line, (times.get(line) ?? 0) + 1);
  return lines.map((line, at) => (times.get(line) > 1 && changes.at(at).stageTitle ? N.at(changes.at(at).stageTitle, line) : line));
};

/** A list of lines, a change each: changeLines() -> {node, update(texts)}. */
export const changeLines = () => {
  const node = make('ul', { class: 'changes' });
  const draw = keyed(node, () => {
    const line = make('li');
    return { node: line, update: (text) => say(line, text) };
  });
  return { node, update: (texts) => draw(texts.map((text, at) => [`${at} ${text}`, text])) };
};

// What would be open with no step left to close it, were the new revision taken now, and is not so yet.
const leftBy = ({ gathered, sheets, offered, state }) => {
  const last = gathered.entries.at(-1);
  const taken = {
    ...last, id: '0'.repeat(24), kind: 'adopt', step: '', part: '', sheet: offered.digest, value: { sheet: offered.digest },
    lamport: last.lamport + 1, seen: gathered.entries.filter(({ kind }) => kind === 'adopt').map(({ id }) => id),
  };
  const then = judge(add(gathered, taken), { ...sheets, [offered.digest]: offered.sheet });
  const more = leftOver(then.items, tradeOf(offered.sheet)).map((item) => ({ ...item, open: item.open - (own(state.items, item.name)?.left ?? 0) }));
  return more.filter(({ open }) => open > 0);
};

export const newRevision = ({ send }) => {
  const left = make('p', { class: 'warn' });
  let known = null; // {of: state, left}: judged once for each state
  const title = make('p');
  const again = make('p');
  const list = changeLines();
  let digest = null;
  const button = pressButton({
    attrs: { 'data-action': 'adopt' },
    look: 'small-press',
    onPress: () => send({ kind: 'adopt', step: '', value: { sheet: digest }, sheet: digest }),
  });
  const node = make('div', { class: 'notice-card' }, title, fold({ class: 'form' }, W.whatChanged, list.node), left, again, make('p', { class: 'small' }, W.adoptSay), button.message, button.node);
  const update = ({ offered, sheet, sheets, state, gathered, shared }) => {
    show(node, Boolean(offered));
    if (!offered) return;
    digest = offered.digest;
    const changes = changesBetween(sheet, offered.sheet, asks); // the job's own may be anybody's
    say(title, W.adoptTitle(sheet, offered.sheet));
    const redo = changes.filter(({ change, from }) => change === 'duty' && state.steps[from]?.answers.length);
    if (known?.of !== state) known = { of: state, left: leftBy({ gathered, sheets, offered, state }) };
    sayOrHide(left, known.left.length ? S.leftNews(known.left) : '');
    say(again, W.adoptAgain(redo.length));
    const texts = { before: sheet, after: offered.sheet, textIn: shared.names.textIn };
    list.update(linesOf(changes.map((one) => toldOf(one, texts))));
    button.update({ label: W.adoptKeep });
  };
  return { node, update };
};
