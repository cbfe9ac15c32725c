// What concerns the whole job and must be seen before the next tick: trouble with keeping, passed on, declined, finished.

import { S } from '../../words/stops.js';
import { SECTIONS, W, troublesSaid } from '../../words/words.js';
import { keyed, make, say, sayOrHide, set, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';
import { leftCards } from './left.js';

// What the preparation lacks although its gate was passed, and who said so.
const unreadySaid = (why, shared) => why.filter(({ code }) => code === 'ready').map(({ section, items }) => {
  const by = shared.journal.whoDenied(section);
  const things = items?.map((id) => shared.names.need(section, id)).join(', ');
  return items ? W.readyMissing({ things, by }) : W.readyGone({ list: SECTIONS[section] ?? section, by });
}).join(' ');

const originCard = () => {
  const says = make('p', { class: 'title' });
  const node = make('div', { class: 'notice-card bad', role: 'alert' }, says, make('p', {}, W.originDo));
  const update = ({ origin, sheet, isPart }) => {
    const isKnown = origin === 'known';
    show(node, !isKnown);
    set(node, 'data-origin', isKnown ? null : origin);
    if (!isKnown) say(says, W.originTitle(origin, sheet, isPart));
  };
  return { node, update };
};

export const notices = ({ send, look }) => {
  const list = make('div');
  const draw = keyed(list, () => {
    const node = make('p', { class: 'notice-card bad', role: 'alert' });
    return { node, update: (text) => say(node, text) };
  });
  const finished = make('p', { class: 'notice-card' });
  const declinedSay = make('p');
  const declined = make('div', { class: 'notice-card bad' }, declinedSay, make('p', { class: 'small' }, S.declinedSay));
  const twoStarts = make('p', { class: 'notice-card bad', role: 'alert' });
  const left = leftCards({ send });
  const passedSay = make('p');
  const receive = pressButton({
    attrs: { 'data-action': 'receive' },
    look: 'small-press',
    onPress: () => send({ kind: 'receive', step: '', value: {} }),
  });
  const passed = make('div', { class: 'notice-card' }, passedSay, receive.message, receive.node);
  const two = make('button', { type: 'button', class: 'small-press' });
  const disputed = make('div', { class: 'notice-card bad' }, make('p', {}, W.twoAnswersSomewhere), two);
  const again = make('button', { type: 'button', class: 'small-press' });
  const gateSay = make('p');
  const gate = make('div', { class: 'notice-card bad', role: 'alert' }, gateSay, again);
  let goTwo = null;
  let goGate = null;
  two.addEventListener('click', () => look(goTwo));
  again.addEventListener('click', () => look(goGate));
  const whose = originCard();
  const node = make('div', {}, list, whose.node, disputed, twoStarts, left.node, gate, declined, passed, finished);
  const update = ({ state, shared, trouble, origin }) => {
    whose.update(origin);
    draw(troublesSaid(trouble).map((text, at) => [`${at}`, text]));
    goTwo = state.order.find((path) => state.steps[path].state === 'disputed') ?? null;
    show(disputed, goTwo);
    if (goTwo) say(two, W.goTo(shared.names.number(goTwo)));
    goGate = shared.sheet.steps.find((step) => step.gate && state.steps[step.path].state === 'recheck')?.path ?? null;
    show(gate, goGate);
    if (goGate) say(again, W.goTo(shared.names.number(goGate)));
    if (goGate) say(gateSay, unreadySaid(state.steps[goGate].why, shared) || W.gateAgain);
    sayOrHide(finished, state.complete ? W.finished : '');
    show(declined, state.declined);
    say(declinedSay, state.declined ? W.jobDeclined(state.declined.reason) : '');
    sayOrHide(twoStarts, state.job?.disputed ? S.twoStarts(shared.names.trade.whole) : '');
    left.update({ state, shared });
    show(passed, state.passed && !state.passed.received);
    if (state.passed) say(passedSay, W.passedTo(state.passed.to ?? '…', state.passed.who));
    receive.update({ label: W.receive(shared.me) });
  };
  return { node, update };
};
