// What a new version of the site changes, in words, beside the button that takes it.

import { N } from '../../words/news.js';
import { W } from '../../words/words.js';
import { fold, keyed, make, say, sayOrHide, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';
import { doText } from '../common/step_text.js';
import { changeLines, changesBetween, linesOf, toldOf } from '../job/adopt.js';

const textIn = (sheet, path) => {
  const step = sheet.steps.find((one) => one.path === path);
  const shown = (name) => sheet.values[name]?.text ?? `[${sheet.values[name]?.label ?? sheet.readings[name]?.label ?? name}]`;
  return step ? doText(step, shown) : path;
};

const valuesBetween = (before, after) => Object.entries(after.values)
  .map(([name, { label, text }]) => ({ label, from: before.values[name]?.text ?? null, to: text }))
  .filter(({ from, to }) => from !== to);

const insideOf = (before, after) => {
  if (!before || !after) return { changes: null, values: [] };
  const changes = changesBetween(before, after).map((one) => toldOf(one, { before, after, textIn }));
  return { changes, values: valuesBetween(before, after) };
};

/**
 * newsOf(before, after, sheets) -> what a version changes, a worksheet or the guide each, in the order of their names:
 * [{name, kind, what: added|removed|changed, title, engine, from, to, changes, values}]. before and after are packs.json;
 * sheets is {digest: sheet}, changes is null where one of the two is not at hand. from and to are revisions, changes
 * those of changesBetween with their text, values [{label, from, to}]. Pure.
 */
export const newsOf = (before, after, sheets) => {
  const names = [...new Set([...Object.keys(before.packs), ...Object.keys(after.packs)])].sort();
  return names.flatMap((name) => {
    const [old, now] = [before.packs[name], after.packs[name]];
    const { kind, title, engine } = now ?? old;
    const about = { name, kind, title, engine, from: old?.revision ?? null, to: now?.revision ?? null };
    if (!old || !now) return [{ ...about, what: now ? 'added' : 'removed', changes: [], values: [] }];
    if (old.sheet !== now.sheet) return [{ ...about, what: 'changed', ...insideOf(sheets[old.sheet], sheets[now.sheet]) }];
    const isGuide = kind === 'guide' && JSON.stringify(old.files) !== JSON.stringify(now.files);
    return isGuide ? [{ ...about, what: 'changed', changes: [], values: [] }] : [];
  });
};

/** The worksheets whose two texts newsOf can compare, as paths of their sheet.json. */
export const sheetsToRead = (before, after) => Object.entries(after.packs)
  .filter(([name, { sheet }]) => sheet && before.packs[name]?.sheet && before.packs[name].sheet !== sheet)
  .flatMap(([, { files }]) => Object.keys(files).filter((path) => path.endsWith('/sheet.json')));

const titleOf = (one) => {
  if (one.kind === 'guide') return N.guide;
  return one.what === 'changed' ? N.changed(one) : N.whole(one.what, one);
};

const sumOf = ({ what, kind, changes, values }) => {
  if (kind === 'guide' || what === 'added') return '';
  if (what === 'removed') return N.removedSay;
  if (!changes) return N.unread;
  const told = [N.steps(changes), N.cautions(changes), N.values(values.length)].filter(Boolean);
  return told.length ? told.join(' ') : N.same;
};

const newsLine = () => {
  const title = make('p');
  const sum = make('p', { class: 'small' });
  const list = changeLines();
  const all = fold({ class: 'form' }, N.every, list.node);
  const update = (one) => {
    const lines = [...linesOf(one.changes ?? []), ...one.values.map(N.value)];
    say(title, titleOf(one));
    sayOrHide(sum, sumOf(one));
    show(all, lines.length > 0);
    list.update(lines);
  };
  return { node: make('div', { 'data-news': '' }, title, sum, all), update };
};

/**
 * updateBox({update}) -> {node, update({isOffered, news})}: the button for a new version, with what it changes; news is
 * null until that is known. update() takes the version, or says in words why not now: {kept: false, words}.
 */
export const updateBox = ({ update: take }) => {
  const head = make('p', {}, make('b', {}, N.title));
  const nothing = make('p', { class: 'small' }, N.nothing);
  const list = make('div');
  const draw = keyed(list, newsLine);
  const jobs = make('p', { class: 'small' }, N.jobs);
  const button = pressButton({ attrs: { 'data-action': 'update' }, look: 'small-press', onPress: take });
  const later = make('p', { class: 'small' }, W.updateLater);
  const node = make('div', { class: 'update' }, head, nothing, list, jobs, button.message, button.node, later);
  const update = ({ isOffered, news }) => {
    show(node, isOffered);
    show(head, news);
    show(nothing, news?.length === 0);
    show(jobs, news?.some(({ what, kind }) => what === 'changed' && kind !== 'guide'));
    draw((news ?? []).map((one) => [one.name, one]));
    button.update({ label: W.update });
  };
  return { node, update };
};
