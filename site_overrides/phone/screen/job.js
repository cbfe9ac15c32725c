// A job's screen: one step large, the rest a list. It draws the folded state and sends verbs up; it decides nothing but
// which step is looked at.

import { own } from '../own.js';
import { W } from '../words.js';
import { toldOf } from '../words_told.js';
import { newRevision } from './adopt.js';
import { showsItsOwn } from './controls.js';
import { foot } from './foot.js';
import { leftOutCard } from './left_out.js';
import { jobMenu } from './menu.js';
import { namesOf } from './names.js';
import { flag, keyed, make, say, set, show } from './nodes.js';
import { isDone } from './press.js';
import { settle } from './press_guard.js';
import { notices } from './notices.js';
import { openItems } from './open_items.js';
import { people } from './people.js';
import { sharedBy } from './shared.js';
import { extraStep, stepView } from './step.js';
import { told } from './told.js';
import { unkeptCard } from './unkept.js';
import { whereYouWere } from './where.js';

const LEAVES_BEHIND = new Set(['done', 'skipped', 'refused', 'not-fitted', 'waiting', 'hidden']);
const CLOSED = new Set(['done', 'skipped', 'refused', 'not-fitted', 'hidden']);
const ANSWERS = new Set(['check', 'finish', 'skip', 'not-fitted', 'refuse', 'settle']);
const ADDED = 'added';
const KEYBOARD_MS = 1000; // a keyboard on the screen is gone within this

const stageView = (index, { sheet, send, look, pictures, views }) => {
  const stage = sheet.stages.at(index);
  const count = make('span', { class: 'count' });
  const rule = stage ? make('span', { class: 'small' }, own(W.stageRule, stage.order)) : null;
  const list = make('div');
  const node = make('details', { class: 'stage' }, make('summary', {}, make('span', {}, stage?.title ?? W.extraWork), count), rule && make('div', { class: 'rule' }, rule), list);
  const draw = keyed(list, (path, { extra }) => {
    const step = extra ? extraStep(path, extra) : sheet.steps.find((one) => one.path === path);
    const isFirst = !extra && sheet.steps.find((one) => one.stage === index) === step;
    const view = stepView({ step, stage, isFirst, sheet, send, look, pictures });
    views.set(path, view);
    return view;
  });
  const update = ({ paths, state, at, shared, notices: cards, moved }) => {
    const seen = paths.filter((path) => state.steps[path].state !== 'hidden');
    const closed = seen.filter((path) => CLOSED.has(state.steps[path].state)).length;
    say(count, W.closedOf(closed, seen.length));
    flag(node, 'complete', closed === seen.length);
    show(node, seen.length > 0);
    draw(paths.map((path) => [path, {
      seen: shared.seenAt(path), extra: state.extras[path], isAt: path === at, isNext: path === state.next && !state.declined, shared, notices: cards,
    }]));
    if (moved) node.open = paths.includes(at);
  };
  return { node, update };
};

/**
 * jobScreen({sheet, job, send, again, take, carry, forget, renew, home, pictures}) -> {node, update(view), look(path), arrive(), at()}.
 * view: {state, gathered, sheets, me, device, now, jumped, back, offered,
 * trouble, offline, sound, unkept, withheld, saved, leftOut}; sound as openSound gives it, the last three as openWork does. send(verb)
 * -> Promise of {kept, why, counts, isWithheld}; again() offers what is not kept once more. onFault(error) is told what drawing
 * throws, after which the screen is to be made anew; without it, drawing throws.  leftOut: entries the fold was not given; origin: {origin, sheet, isPart} of
 * openKnownSheets.
 */
export const jobScreen = ({ sheet, job, send: keep, again, take, carry, forget, renew, home, pictures, greet = '', onFault = null }) => {
  let at; // the step that is looked at; undefined until first drawn, null when none is
  let last = null;
  const hand = { wrench: null }; // what was last chosen
  const views = new Map();

  const look = (path) => {
    at = path;
    closeDrops(null);
    draw(true);
  };
  const stepAt = (path) => sheet.steps.find((step) => step.path === path);
  const isPaced = (path) => Boolean(stepAt(path)?.check.every || stepAt(path)?.check.every_value);
  // Its last part was answered, and what is worked out from that is to be seen: it may keep the step open.
  const hasResult = (path, part = '') => {
    const { of, why, state } = last.state.steps[path];
    const isHeld = part === of.at(-1) && why.some(({ code }) => code === 'result');
    return isHeld || (state === 'done' && showsItsOwn(stepAt(path), sheet));
  };
  // After an answer the screen goes on by itself; a failed check, a half-done step and a time with moves to make stay.
  const send = async (verb) => {
    const answer = await keep(verb);
    if (!isDone(answer)) return answer;
    const { state } = last;
    whereIsSeen = last.back;
    draw();
    const now = state.steps[at]?.state ?? 'hidden';
    const answered = (ANSWERS.has(verb.kind) && verb.step === at) || verb.kind === 'not-disturbed';
    if (verb.kind === 'back') look(verb.value.to);
    else if (answer.isWithheld) loosened.node.scrollIntoView({ block: 'start' });
    else if (answered && hasResult(at, verb.part)) arrive();
    else if (now === 'waiting' && isPaced(at) && verb.kind === 'check') draw();
    else if (answered && LEAVES_BEHIND.has(now)) look(state.next ?? at);
    else if (answered && now === 'failed') views.get(at).failed().scrollIntoView({ block: 'start' });
    else if (verb.kind !== 'check') setTimeout(arrive, 0, { section: verb.kind === 'confirm' }); // once its form has closed
    done.say(toldOf(verb, answer, { ...namesOf({ state, sheet }), items: state.items, values: state.values, me: last.me }));
    return answer;
  };

  const title = make('b');
  const vehicle = make('span');
  const who = people({ take });
  const items = openItems({ sheet, look: (path) => look(path) });
  const menu = jobMenu({ send, carry, forget, renew, whoFold: who.more, home });
  const top = make(
    'div', { class: 'top' },
    make('div', { class: 'bar' }, make('div', { class: 'name' }, title, vehicle), menu.node),
    make('div', { class: 'bar' }, items.node, who.node),
  );
  let whereIsSeen = null;
  const where = whereYouWere({ seen: () => { whereIsSeen = last.back; draw(); } });
  const adopt = newRevision({ send });
  const said = notices({ send, look });
  // After the file was made, on to what the stop had kept back.
  const loosened = unkeptCard({ carry, onSaved: () => LEAVES_BEHIND.has(last.state.steps[at]?.state) && look(last.state.next ?? at) });
  const left = leftOutCard({ carry });
  const cards = make('div', {}, left.node, said.node, loosened.node, adopt.node, where.node);
  const loose = make('div');
  const list = make('div');
  const drawStages = keyed(list, (key, { index }) => stageView(index, { sheet, send, look, pictures, views }));
  const done = told();
  done.say(greet);
  const bottom = foot({ send, look, over: done.node });
  const node = make('div', { class: 'job', 'data-job': job }, top, loose, list, bottom.node);

  const closeDrops = (but) => {
    for (const drop of node.querySelectorAll('.drop[open]')) if (drop !== but) drop.open = false;
  };
  const onToggle = ({ target }) => { if (target.open && target.classList.contains('drop')) closeDrops(target); };
  const onKey = ({ key }) => { if (key === 'Escape') closeDrops(null); };
  const onOutside = ({ target }) => { if (!target.closest?.('.drop')) closeDrops(null); };
  node.addEventListener('toggle', onToggle, true);
  node.addEventListener('keydown', onKey);
  node.addEventListener('pointerdown', onOutside);
  node.addEventListener('pointerdown', done.clear);

  const stagesOf = (state) => {
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

  // A fault anywhere in the drawing goes to whoever can find out which entry it comes from.
  const draw = (moved = false) => {
    if (!onFault) return drawAll(moved);
    try {
      return drawAll(moved);
    } catch (error) {
      return onFault(error);
    }
  };

  const drawAll = (moved) => {
    const { state, me } = last;
    if (at === undefined || (at !== null && !state.steps[at])) {
      at = state.next;
      moved = true;
    }
    const shared = sharedBy({ ...last, sheet, look, hand, again });
    set(node, 'data-complete', state.complete);
    flag(node, 'declined', state.declined);
    say(title, state.job?.number ?? '');
    say(vehicle, state.job?.vehicle ?? '');
    who.update({ me, people: sheet.shop.people, recent: shared.recent });
    items.update({ state, shared });
    menu.update({ state, sheet, shared, offline: last.offline });
    left.update({ leftOut: last.leftOut, number: shared.number });
    said.update({ state, shared, trouble: last.trouble, origin: last.origin });
    loosened.update({ unkept: last.unkept, saved: last.saved, withheld: last.withheld, at, sheet, trouble: last.trouble });
    adopt.update({ offered: last.offered, sheet, sheets: last.sheets, state, gathered: last.gathered, shared });
    where.update({ back: whereIsSeen === last.back ? null : last.back, state, sheet, shared });
    if (at === null && cards.parentNode !== loose) loose.append(cards);
    drawStages(stagesOf(state).map(([key, data]) => [key, { ...data, state, at, shared, notices: cards, moved }]));
    bottom.update({ state, shared });
    if (moved) arrive();
  };

  // The step in hand, or the list of its preparation that is next, comes into view; once more when the keyboard goes.
  const arrive = ({ section = false } = {}) => {
    const view = views.get(at);
    if (!view) return;
    settle();
    const inHand = (section && view.node.querySelector('.prep[open]')) || view.node;
    const show = () => {
      inHand.scrollIntoView({ block: 'start', behavior: 'instant' });
      const header = Math.max(0, top.getBoundingClientRect().bottom); // it grows with its text
      scrollBy({ top: inHand.getBoundingClientRect().top - header, behavior: 'instant' });
    };
    view.focus();
    show();
    globalThis.visualViewport?.addEventListener('resize', show, { once: true, signal: AbortSignal.timeout(KEYBOARD_MS) });
  };

  const update = (view) => {
    last = view;
    draw();
  };
  return { node, update, look, arrive, at: () => at };
};
