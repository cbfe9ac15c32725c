// What concerns the whole job and must be seen before the next tick: trouble with keeping, passed on, declined, finished.

import { W, troublesSaid } from '../words.js';
import { keyed, make, say, sayOrHide, show } from './nodes.js';
import { pressButton } from './press.js';

export const notices = ({ send, look }) => {
  const list = make('div');
  const draw = keyed(list, () => {
    const node = make('p', { class: 'notice-card bad', role: 'alert' });
    return { node, update: (text) => say(node, text) };
  });
  const finished = make('p', { class: 'notice-card' });
  const declined = make('p', { class: 'notice-card bad' });
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
  const gate = make('div', { class: 'notice-card bad', role: 'alert' }, make('p', {}, W.gateAgain), again);
  let goTwo = null;
  let goGate = null;
  two.addEventListener('click', () => look(goTwo));
  again.addEventListener('click', () => look(goGate));
  const node = make('div', {}, list, disputed, gate, declined, passed, finished);
  const update = ({ state, shared, trouble }) => {
    draw(troublesSaid(trouble).map((text, at) => [`${at}`, text]));
    goTwo = state.order.find((path) => state.steps[path].state === 'disputed') ?? null;
    show(disputed, goTwo);
    if (goTwo) say(two, W.goTo(shared.number(goTwo)));
    goGate = shared.sheet.steps.find((step) => step.gate && state.steps[step.path].state === 'recheck')?.path ?? null;
    show(gate, goGate);
    if (goGate) say(again, W.goTo(shared.number(goGate)));
    sayOrHide(finished, state.complete ? W.finished : '');
    sayOrHide(declined, state.declined ? W.jobDeclined(state.declined.reason) : '');
    show(passed, state.passed && !state.passed.received);
    if (state.passed) say(passedSay, W.passedTo(state.passed.to ?? '…', state.passed.who));
    receive.update({ label: W.receive(shared.me) });
  };
  return { node, update };
};
