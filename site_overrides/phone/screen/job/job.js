// A job's screen: one step large, the rest a list. It draws the folded state and sends verbs up; it decides nothing but
// which step is looked at.

import { table } from '../../base/own.js';
import { toldOf } from '../../words/told.js';
import { flag, make, say, set } from '../common/nodes.js';
import { settle } from '../common/press_guard.js';
import { wayOn, wayOnSaved } from '../step/way_on.js';
import { newRevision } from './adopt.js';
import { watchDrops } from './drops.js';
import { foot } from './foot.js';
import { leftOutCard } from './left_out.js';
import { jobMenu } from './menu.js';
import { namesOf } from './names.js';
import { notices } from './notices.js';
import { openItems } from './open_items.js';
import { people } from './people.js';
import { sharedBy } from './shared.js';
import { stageList } from './stages.js';
import { told } from './told.js';
import { unkeptCard } from './unkept.js';
import { whereYouWere } from './where.js';

const KEYBOARD_MS = 1000; // a keyboard on the screen is gone within this

// The header: whose job it is, what is open or loose, who works, and the menu.
const headOf = ({ sheet, send, take, carry, forget, renew, home, look }) => {
  const title = make('b');
  const vehicle = make('span');
  const who = people({ take });
  const items = openItems({ sheet, look });
  const menu = jobMenu({ sheet, send, carry, forget, renew, whoFold: who.more, home });
  const node = make(
    'div', { class: 'top' },
    make('div', { class: 'bar' }, make('div', { class: 'name' }, title, vehicle), menu.node),
    make('div', { class: 'bar' }, items.node, who.node),
  );
  const update = ({ state, me, offline }, shared) => {
    say(title, state.job?.number ?? '');
    say(vehicle, state.job?.vehicle ?? '');
    who.update({ me, people: sheet.shop.people, recent: shared.journal.recent });
    items.update({ state, shared });
    menu.update({ state, sheet, shared, offline });
  };
  return { node, update };
};

// What concerns the whole job and must be seen before the step in hand.
const cardsOf = ({ sheet, send, carry, look, draw, onSaved }) => {
  let last = null;
  let backSeen = null; // where somebody was when they came back, once they have seen it
  const seeBack = ({ back }) => { backSeen = back; };
  const seen = () => {
    seeBack(last);
    draw();
  };
  const where = whereYouWere({ seen });
  const adopt = newRevision({ send });
  const said = notices({ send, look });
  const loosened = unkeptCard({ carry, onSaved });
  const left = leftOutCard({ carry });
  const node = make('div', {}, left.node, said.node, loosened.node, adopt.node, where.node);
  const update = (view, at, shared) => {
    last = view;
    const { state, trouble, back } = view;
    left.update({ leftOut: view.leftOut, number: shared.names.number });
    said.update({ state, shared, trouble, origin: view.origin });
    loosened.update({ unkept: view.unkept, saved: view.saved, withheld: view.withheld, at, sheet, trouble });
    adopt.update({ offered: view.offered, sheet, sheets: view.sheets, state, gathered: view.gathered, shared });
    where.update({ back: backSeen === back ? null : back, state, sheet, shared });
  };
  return { node, update, seeBack, keptBack: loosened.node };
};

// Brings a step, or the list of its preparation that is next, into view below the header; once more when the keyboard goes.
const bringInto = (view, top, { section = false } = {}) => {
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

// Everything on the screen, whichever step is looked at.
const layOut = ({ sheet, job, draw, look, greet, ...does }) => {
  const { send, again } = does;
  const hand = { wrench: null }; // what was last chosen
  const head = headOf({ ...does, sheet, look });
  const cards = cardsOf({ ...does, sheet, look, draw, onSaved: () => draw({ isSaved: true }) });
  const loose = make('div');
  const list = stageList({ ...does, sheet, look });
  const done = told();
  done.say(greet);
  const bottom = foot({ send, look, over: done.node });
  const node = make('div', { class: 'job', 'data-job': job }, head.node, loose, list.node, bottom.node);
  node.addEventListener('pointerdown', done.clear);
  const update = (view, at, isMoved) => {
    const { state } = view;
    const shared = sharedBy({ ...view, sheet, look, hand, again });
    set(node, 'data-complete', state.complete);
    flag(node, 'declined', state.declined);
    head.update(view, shared);
    cards.update(view, at, shared);
    if (at === null && cards.node.parentNode !== loose) loose.append(cards.node);
    list.update({ state, at, shared, notices: cards.node, isMoved });
    bottom.update({ state, shared });
  };
  const arrive = (at, how) => bringInto(list.view(at), head.node, how);
  const failure = (at) => list.view(at).failed();
  return { node, update, arrive, failure, keptBack: cards.keptBack, seeBack: cards.seeBack, tell: done.say };
};

/**
 * jobScreen({sheet, job, at, send, again, take, carry, forget, draw, renew, home, pictures, greet}) -> {node, update(view, given),
 * look(path), arrive(), at()}. at: the step to look at first, else the next one. draw(given) is called when something is to be drawn that
 * was changed here: it calls update, once. view: {state, gathered, sheets, me, device, now, jumped, back, offered, trouble,
 * offline, sound, unkept, withheld, saved, leftOut, origin}; sound as openSound gives it, unkept to leftOut as openWork does,
 * origin: {origin, sheet, isPart} of openKnownSheets. given: what has just been done, and from which the screen goes on:
 * {verb, answer} of send, {isSaved} of a file that somebody has, or null. send(verb) -> Promise of {kept, why, counts,
 * isWithheld}, once it is drawn; again() offers what is not kept once more. Drawing throws what it throws.
 */
export const jobScreen = ({ at: from, draw, ...about }) => {
  const { sheet } = about;
  let at = from; // the step that is looked at; undefined until first drawn, null when none is
  let isMoved = from !== undefined; // since it was last drawn
  const moveTo = (path) => {
    at = path;
    isMoved = true;
    drops.close();
  };
  const look = (path) => {
    moveTo(path);
    draw();
  };
  const all = layOut({ ...about, draw, look });
  const drops = watchDrops(all.node);
  const bring = table({
    step: () => all.arrive(at),
    form: ({ kind }) => setTimeout(() => all.arrive(at, { section: kind === 'confirm' })),
    failure: () => all.failure(at).scrollIntoView({ block: 'start' }),
    'kept-back': () => all.keptBack.scrollIntoView({ block: 'start' }),
  });
  const goOn = (view, given) => {
    const now = { state: view.state, at, sheet };
    const way = given.isSaved ? wayOnSaved(now) : wayOn(given, now);
    if (given.verb) all.seeBack(view);
    if ('to' in way) moveTo(way.to);
    return way.shows;
  };
  const tell = ({ verb, answer }, { state, me }) => {
    all.tell(toldOf(verb, answer, { ...namesOf({ state, sheet }), items: state.items, values: state.values, me }));
  };
  const update = (view, given = null) => {
    if (at === undefined || (at !== null && !view.state.steps[at])) {
      at = view.state.next;
      isMoved = true;
    }
    const shows = given && goOn(view, given);
    all.update(view, at, isMoved);
    if (isMoved) all.arrive(at);
    isMoved = false;
    if (shows) bring[shows](given.verb);
    if (given?.verb) tell(given, view);
  };
  return { node: all.node, update, look, arrive: () => all.arrive(at), at: () => at };
};
