// The stages of a job as folds of a list, each with its steps.

import { own } from '../../base/own.js';
import { CLOSED } from '../../journal/tables.js';
import { W } from '../../words/words.js';
import { flag, keyed, make, say, show } from '../common/nodes.js';
import { drawnExtra } from '../common/step_text.js';
import { stepView } from '../step/step.js';

const ADDED = 'added';

const stageView = (index, { sheet, send, look, pictures, views }) => {
  const stage = sheet.stages.at(index);
  const count = make('span', { class: 'count' });
  const rule = stage ? make('span', { class: 'small' }, own(W.stageRule, stage.order)) : null;
  const list = make('div');
  const node = make('details', { class: 'stage' }, make('summary', {}, make('span', {}, stage?.title ?? W.extraWork), count), rule && make('div', { class: 'rule' }, rule), list);
  const draw = keyed(list, (path, { extra }) => {
    const step = extra ? drawnExtra(path, extra) : sheet.steps.find((one) => one.path === path);
    const isFirst = !extra && sheet.steps.find((one) => one.stage === index) === step;
    const view = stepView({ step, stage, isFirst, sheet, send, look, pictures });
    views.set(path, view);
    return view;
  });
  const update = ({ paths, state, at, shared, notices: cards, isMoved }) => {
    const seen = paths.filter((path) => state.steps[path].state !== 'hidden');
    const closed = seen.filter((path) => CLOSED.has(state.steps[path].state)).length;
    say(count, W.closedOf(closed, seen.length));
    flag(node, 'complete', closed === seen.length);
    show(node, seen.length > 0);
    draw(paths.map((path) => [path, {
      seen: shared.saved.seenAt(path), extra: state.extras[path], isAt: path === at, isNext: path === state.next && !state.declined, shared, notices: cards,
    }]));
    if (isMoved) node.open = paths.includes(at);
  };
  return { node, update };
};

// Steps by their stage, in the order in which they are to be done; what was added stands before the last one.
const stagesOf = (state, sheet) => {
  const groups = new Map(sheet.stages.map((_, index) => [index, []]));
  const extras = [];
  for (const path of state.order) {
    const step = sheet.steps.find((one) => one.path === path);
    if (step) groups.get(step.stage).push(path);
    else extras.push(path);
  }
  const rows = [...groups].map(([index, paths]) => [String(index), { index, paths }]);
  if (extras.length) rows.splice(-1, 0, [ADDED, { index: -1, paths: extras }]);
  return rows;
};

/**
 * stageList({sheet, send, look, pictures}) -> {node, update({state, at, shared, notices, isMoved}), view(path)}. isMoved: another
 * step is looked at than before; view(path) is that of a step, once it was drawn.
 */
export const stageList = ({ sheet, send, look, pictures }) => {
  const views = new Map();
  const node = make('div');
  const draw = keyed(node, (key, { index }) => stageView(index, { sheet, send, look, pictures, views }));
  const update = (about) => draw(stagesOf(about.state, sheet).map(([key, data]) => [key, { ...data, ...about }]));
  return { node, update, view: (path) => views.get(path) };
};
