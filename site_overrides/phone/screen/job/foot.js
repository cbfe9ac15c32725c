// The bottom of the screen: what was kept last, with its way back, and the times that run.

import { W, keptBy, remaining } from '../../words/words.js';
import { paceNow, waitNow } from '../checks/wait.js';
import { field } from '../common/form.js';
import { flag, keyed, make, say, show } from '../common/nodes.js';
import { isDone, pressButton } from '../common/press.js';

const waits = ({ look }) => {
  const node = make('div', { class: 'waits' });
  const draw = keyed(node, (path) => {
    const which = make('span');
    const left = make('time');
    const button = make('button', { type: 'button', onclick: () => look(path) }, which, ' ', left);
    return {
      node: button,
      update: ({ label, time, over }) => {
        say(which, label);
        say(left, time);
        flag(button, 'over', over);
      },
    };
  });
  const update = ({ state, shared }) => {
    const running = state.order.filter((path) => state.steps[path].state === 'waiting');
    draw(running.map((path) => {
      const step = shared.names.stepOf(path);
      const now = waitNow({ step, seen: state.steps[path], shared });
      const pace = now?.over ? null : paceNow(now, step.check, shared);
      const said = now?.over ? W.waitUp : !now || now.ask ? W.waitUnknown : remaining(now.left * 1000);
      return [path, {
        over: now?.over, label: W.stepShort(shared.names.number(path)), time: `${said}${pace ? ` · ${W.moveShort(pace.due, pace.of)}` : ''}`,
      }];
    }));
  };
  return { node, update };
};

const lastSaid = (kept) => (kept.unkept ? W.lastUnkept : W.lastKept);

export const foot = ({ send, look, over }) => {
  const line = make('span');
  const reason = field({ name: 'reason', label: W.takeBackReason });
  let given = null;
  const button = pressButton({
    attrs: { 'data-action': 'take-back' },
    look: 'small-press',
    onPress: async () => {
      const { step, part } = given;
      const done = await send({ kind: 'take-back', step, part, value: { reason: reason.value() } });
      if (isDone(done)) {
        last.open = false;
        look(step);
      }
      return done;
    },
  });
  const last = make('details', { class: 'drop last' }, make('summary', {}, line), make('div', { class: 'panel' }, reason.node, button.message, button.node));
  const running = waits({ look });
  const node = make('div', { class: 'foot' }, over, make('div', { class: 'bar' }, last, running.node));
  const update = ({ state, shared }) => {
    const entry = shared.journal.lastAnswer();
    given = entry ?? null;
    flag(last, 'none', !entry);
    flag(last, 'unkept', entry && shared.saved.kept(entry.id).unkept);
    say(line, entry ? lastSaid(shared.saved.kept(entry.id))(shared.names.number(entry.step), keptBy(entry)) : W.nothingYet);
    const isFree = entry && !state.declined && shared.journal.legal(shared.journal.pathNow(entry.step))['take-back'] !== 'lead';
    show(button.node, isFree);
    show(reason.node, isFree);
    if (entry) button.update({ label: W.takeBackSay(shared.journal.said(entry)), sub: shared.names.text(entry.step) });
    running.update({ state, shared });
  };
  return { node, update };
};
