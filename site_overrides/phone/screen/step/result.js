// What is worked out from readings: one big figure, what it means and what to do, or what is still needed for it; and on a
// tap how it was worked out, from figures that each say where they are from.

import { W, notKnownBecause } from '../../words/words.js';
import { flag, fold, keyed, make, plainly, say, sayOrHide, set, show } from '../common/nodes.js';
import { richNodes } from '../common/rich.js';
import { plainText } from '../common/step_text.js';
import { valueBlock } from './value.js';

const linkTo = (shared, path) => ({ label: W.goTo(shared.names.number(path)), go: () => shared.look(path) });

const link = () => {
  let target = null;
  const node = make('button', { type: 'button', class: 'small-press plain-press', onclick: () => target.go() });
  const update = (next) => {
    target = next;
    show(node, Boolean(next));
    if (next) say(node, next.label);
  };
  return { node, update };
};

// Draws only when the text differs, so that a finger on it is not pulled away.
const richLine = (props) => {
  const node = make('p', props);
  let drawn = null;
  const update = (tree, shown) => {
    show(node, Boolean(tree));
    const text = tree ? plainText(tree, shown) : null;
    if (text !== drawn && tree) node.replaceChildren(...richNodes(tree, shown));
    drawn = text;
  };
  return { node, update };
};

// --- what is still needed ---------------------------------------------------------------------------------------------

const isHere = (name, step, { names: { figures } }) => (
  figures.taker(name) === step.path || (figures.kindOf(name) === 'value' && step.values.includes(name))
);

const needSaid = (name, { names: { figures, trade }, state }) => {
  const label = figures.label(name);
  if (figures.isTwoAnswers(name)) return W.needsTwo(label);
  const kind = figures.kindOf(name);
  if (kind === 'given') return ['odometer', 'today'].includes(name) ? W.needsStart(label) : W.needsShop(label);
  if (kind === 'tolerance') return W.needsSheet(label, trade.sheet);
  if (kind === 'value' && !state.values[name]?.missing) return W.needsNumber(label, figures.text(name) ?? '');
  return W.needsThis(label);
};

const need = (name, { step, sheet, send }) => {
  const text = make('p');
  const way = link();
  // A value that no step asks for is asked for here.
  const box = sheet.values[name] && !step.values.includes(name) ? valueBlock(name, sheet.values[name], { sheet, send }) : null;
  const node = make('div', { class: 'need' }, text, way.node, box?.node ?? null);
  const update = (shared) => {
    const path = shared.names.figures.taker(name);
    say(text, needSaid(name, shared));
    way.update(path && path !== step.path ? linkTo(shared, path) : null);
    box?.update({ state: shared.state.values[name], document: shared.journal.document, answers: shared.journal.readingsOf(name), shared, main: false, told: false, again: false });
  };
  return { node, update };
};

const needs = (about) => {
  const title = make('p', { class: 'figure' }, W.notKnown);
  const because = make('p');
  const here = make('p');
  const list = make('div');
  const draw = keyed(list, (name) => need(name, about));
  const node = make('div', { class: 'needs' }, title, because, here, list);
  // `told` are the needs that a result above has already said. Gives whether anything is said that is not read right here.
  const update = (now, shared, told) => {
    const isKnown = now?.known ?? false;
    show(node, !isKnown);
    if (isKnown) return true;
    show(title, (now?.base ?? null) === null);
    sayOrHide(because, now?.because?.length ? W.notKnownFor(notKnownBecause(now.because)) : '');
    const all = (now?.needs ?? []).filter((name) => !told.has(name));
    for (const name of all) told.add(name);
    const own = all.filter((name) => isHere(name, about.step, shared) && !shared.names.figures.isTwoAnswers(name));
    sayOrHide(here, own.length ? W.needsHere(own.map(shared.names.figures.label)) : '');
    const others = all.filter((name) => !own.includes(name));
    draw(others.map((name) => [name, shared]));
    return others.length > 0 || Boolean(now?.because?.length);
  };
  return { node, update };
};

// --- how it is worked out ---------------------------------------------------------------------------------------------

const MOST_DEEP = 8; // results within results; the worksheet allows no circle, a stranger's might

const pieceNode = (piece, { sheet, names: { figures, number, stepOf } }) => {
  if (typeof piece === 'string') return document.createTextNode(plainly(piece));
  const [kind, name, outcome] = piece;
  if (kind === 'name') return make('span', { class: 'term' }, figures.label(name));
  if (kind === 'table') return make('span', { class: 'term' }, sheet.tables?.[name]?.title ?? name);
  const said = stepOf(name)?.check.outcomes?.find((one) => one.name === outcome)?.label ?? outcome;
  return make('span', { class: 'term' }, W.findingAt(number(name), said));
};

const inputLine = (name, { step, deep }) => {
  const label = make('span', { class: 'label' });
  const figure = make('b');
  const from = make('p', { class: 'small' });
  const way = link();
  const more = make('div');
  const node = make('li', {}, label, figure, from, way.node, more);
  let inner = null;
  const update = (shared) => {
    const { figures } = shared.names;
    const path = figures.taker(name);
    say(label, figures.label(name));
    say(figure, figures.text(name) ?? W.notKnown);
    sayOrHide(from, figures.text(name) === null ? '' : figures.origin(name));
    way.update(path && path !== step.path ? linkTo(shared, path) : null);
    const result = figures.result(name);
    if (result && deep < MOST_DEEP && !inner) {
      inner = working({ result, step, deep: deep + 1 });
      more.append(inner.node);
    }
    inner?.update(shared);
  };
  return { node, update };
};

const tableLine = (id) => {
  const title = make('p');
  const reads = make('p', { class: 'small' });
  const node = make('li', {}, title, reads);
  const update = ({ sheet }) => {
    const table = sheet.tables?.[id];
    say(title, table ? W.tableFrom(table.title, table.source) : id);
    sayOrHide(reads, table ? W.tableReads(table.x.label, table.y.label) : '');
  };
  return { node, update };
};

// Inputs in the order in which the formula says them; what only its limits ask for comes after.
const inOrder = ({ words, inputs }) => {
  const said = words.filter((piece) => piece[0] === 'name').map(([, name]) => name);
  return [...new Set([...said.filter((name) => inputs.includes(name)), ...inputs])];
};

// `head` stands in the line that opens it, before its own words.
const working = ({ result, step, deep = 0, head = [] }) => {
  const formula = make('p', { class: 'formula' });
  const why = make('p', { class: 'small' }, result.why ?? '');
  const safe = make('p', { class: 'small' }, result.safe ? W.roundedTo(result.safe) : '');
  const inputs = make('ul', { class: 'inputs' });
  const drawInputs = keyed(inputs, (name) => inputLine(name, { step, deep }));
  const tables = make('ul', { class: 'inputs' });
  const drawTables = keyed(tables, tableLine);
  const title = make('span', { class: 'how' }, W.working);
  const node = fold({ class: 'working' }, [...head, title], make('div', { class: 'inside' }, formula, result.why ? why : null, result.safe ? safe : null, inputs, tables));
  let last = null;
  const draw = () => {
    if (!formula.childNodes.length) formula.append(make('b', {}, result.label), ' = ', ...result.words.map((piece) => pieceNode(piece, last)));
    drawInputs(inOrder(result).map((name) => [name, last]));
    drawTables((result.tables ?? []).map((id) => [id, last]));
  };
  node.addEventListener('toggle', () => node.open && draw());
  const update = (shared) => {
    last = shared;
    if (node.open) draw();
  };
  return { node, update };
};

// --- the result -------------------------------------------------------------------------------------------------------

// What was read and led to a result that is not good: each with its figure, and the step where it may be read again.
const readAgain = ({ result, step }) => {
  const node = make('div', { class: 'read-again' });
  const draw = keyed(node, () => {
    const press = make('button', { type: 'button', class: 'small-press plain-press', onclick: () => go() });
    let go = () => {};
    return {
      node: press,
      update: ({ text, path, look }) => {
        say(press, text);
        go = () => look(path);
      },
    };
  });
  const update = (isBad, { names: { figures, number }, look }) => {
    const names = isBad ? [...new Set(figures.readingsBelow(result.name))] : [];
    const known = names.map((name) => ({ name, path: figures.taker(name), text: figures.text(name) }))
      .filter(({ path, text }) => path && path !== step.path && text !== null);
    draw(known.map(({ name, path, text }) => [name, { path, look, text: `${W.figureFrom(figures.label(name), text)}. ${W.goTo(number(path))}` }]));
  };
  return { node, update };
};

const resultBlock = (result, { step, sheet, send, main }) => {
  const figure = make('b', {});
  const unit = make('span', { class: 'unit' });
  const line = make(main ? 'p' : 'span', { class: 'figure' }, figure, unit);
  const verdict = make('p', { class: 'verdict' });
  const limitSay = richLine({ class: 'say' });
  const limitDo = richLine({ class: 'to-do' });
  const wanted = needs({ step, sheet, send });
  const again = readAgain({ result, step });
  const label = make(main ? 'p' : 'span', { class: 'label' }, result.label);
  // One that is not the big one is a line with its figure, which opens to its working.
  const how = working({ result, step, head: main ? [] : [label, line] });
  const meaning = [verdict, limitSay.node, limitDo.node, again.node, wanted.node];
  const node = make(
    'div', { class: main ? 'result' : 'result lesser', 'data-result': result.name, role: 'status' },
    main ? [label, line, ...meaning, how.node] : [how.node, ...meaning],
  );
  const update = (shared, told) => {
    const now = shared.state.results?.[result.name] ?? null;
    const shown = shared.names.figures.shownOf(result.name);
    const limit = now && now.limit !== null ? result.limits.at(now.limit) : null;
    set(node, 'data-verdict', now?.verdict ?? null);
    set(node, 'data-bad', Boolean(now?.bad));
    flag(node, 'good', now?.known && !now.bad && now.verdict && !limit?.say && !limit?.do);
    flag(node, 'unknown', !now?.known);
    const isSaid = wanted.update(now, shared, told);
    const isShort = !main && !shown && !isSaid; // its line is enough until it is read
    if (isShort) show(wanted.node, false);
    show(line, shown || isShort);
    say(figure, shown?.figure ?? W.notYet);
    say(unit, shown?.unit ?? '');
    sayOrHide(verdict, now?.verdict ? W.verdict(now.verdict) : '');
    limitSay.update(limit?.say ?? null, shared.names.shown);
    limitDo.update(limit?.do ?? null, shared.names.shown);
    again.update(Boolean(now?.bad), shared);
    how.update(shared);
  };
  return { node, update };
};

/** stepResults({step, sheet, send}) -> {nodes, update(view)}: the results a step shows. One big number: the first. */
export const stepResults = ({ step, sheet, send }) => {
  const byName = new Map((sheet.results ?? []).map((result) => [result.name, result]));
  const [first] = step.shows ?? [];
  const blocks = (step.shows ?? []).filter((name) => byName.has(name))
    .map((name) => resultBlock(byName.get(name), { step, sheet, send, main: name === first }));
  const update = ({ shared }) => {
    const told = new Set();
    for (const block of blocks) block.update(shared, told);
  };
  return { nodes: blocks.map(({ node }) => node), update };
};
