// Who looks a second time: another person than those who did it, or, alone in the shop, oneself after a break.

import { selfCheckLeft } from '../../job/clock.js';
import { initialsOf, isOneOf, person } from '../../journal/people.js';
import { W } from '../../words/words.js';
import { field } from '../common/form.js';
import { make, sayOrHide, show } from '../common/nodes.js';

const TYPED = '?';
const SELF = 'self:';

const whoOf = (answers) => [...new Map(answers.map((one) => [person(one.who), one.who])).values()];

const leadSaid = (leads) => ({ initials }) => (leads.includes(initials) ? ' (lead)' : '');

/**
 * otherPerson({label, needs, same, onChange}) -> {nodes, update({did, selves, timed, after, people, leads, only, now, gone}), name(), chosen(), clear()}.
 * needs: words where nobody is chosen; same(initials): words where they did it themselves. did: [{who, at}] of what is looked at again; selves:
 * those of them who may do it alone after a break of `after` seconds, counted from all of `timed`. only: null where everybody else may, else {may:
 * initials, suffix(person): what stands behind a name, refused(initials, isBarred): words}. name() is who was chosen, or ''; chosen() -> {who, self},
 * or {words} that say why it does not go.
 */
export const otherPerson = ({ label, needs, same, onChange = () => {} }) => {
  const who = field({ name: 'who', label, type: 'select', options: [{ value: '', label: '–' }] });
  const typed = field({ name: 'initials', label: W.initials });
  const later = make('p', { class: 'small' });
  let first = [];
  let shop = [];
  let limit = null;
  const isBarred = (initials) => isOneOf(first, initials);
  const draw = () => show(typed.node, who.value() === TYPED && !who.node.hidden);
  const update = ({ did, after, people, leads = [], now, selves = did, timed = selves, only = null, gone = false }) => {
    shop = people;
    limit = only;
    first = whoOf(did);
    const alone = whoOf(selves);
    const left = selfCheckLeft(timed, after, now);
    const suffix = only?.suffix ?? leadSaid(leads);
    who.update({ options: [
      { value: '', label: '–' },
      ...people.filter(({ initials }) => !isBarred(initials))
        .map((one) => ({ value: one.initials, label: `${one.initials}, ${one.name}${suffix(one)}` })),
      ...left === 0 ? alone.map((one) => ({ value: `${SELF}${one}`, label: W.selfCheck(one) })) : [],
      { value: TYPED, label: W.otherPerson },
    ] });
    sayOrHide(later, left > 0 && !gone ? alone.map((one) => W.selfLater(one, now + left * 1000)).join(' ') : '');
    show(who.node, !gone);
    draw();
  };
  const chosen = () => {
    const initials = who.value() === TYPED ? initialsOf(shop, typed.value()) : who.value();
    if (initials.startsWith(SELF)) return { who: initials.replace(SELF, ''), self: true };
    if (!person(initials)) return { words: needs };
    if (limit && !isOneOf(limit.may, initials)) return { words: limit.refused(initials, isBarred(initials)) };
    return isBarred(initials) ? { words: same(initials) } : { who: initials, self: false };
  };
  const name = () => (who.value() === TYPED ? '' : who.value().replace(SELF, ''));
  const clear = () => {
    who.clear();
    typed.clear();
    draw();
  };
  who.box.addEventListener('change', () => {
    draw();
    onChange();
  });
  return { nodes: [later, who.node, typed.node], update, name, chosen, clear };
};
