// Which worksheets this phone keeps: a switch for each and one for the guide. What an open job needs stays on.

import { dict } from '../../base/own.js';
import { S } from '../../words/site.js';
import { keyed, make, say, sayOrHide, set, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';

const stateOf = ({ pinned, kept, listed, isNeeded }) => {
  if (!pinned) return S.notKept;
  if (kept < listed) return S.arriving(kept, listed);
  return isNeeded ? S.inUse : S.kept;
};

const pinSwitch = ({ name, choose }) => {
  let isOn = true;
  const onPress = async () => {
    const { kept } = await choose(name, !isOn);
    return kept ? null : { kept: false, words: S.unpinned };
  };
  const button = pressButton({
    attrs: { role: 'switch', 'data-action': 'pin', 'data-part': name }, look: 'small-press plain-press pin', onPress,
  });
  const update = (pack) => {
    isOn = pack.pinned;
    set(button.node, 'aria-checked', isOn ? 'true' : 'false');
    const about = pack.engine ? `${pack.engine}. ` : '';
    button.update({ label: pack.title, sub: `${about}${stateOf(pack)}`, off: isOn && pack.isNeeded });
  };
  return { node: make('li', {}, button.node, button.message), update };
};

/**
 * pinsBox({choose}) -> {node, update({packs, gone, inUse})}. packs and gone as openOffline tells them; inUse: a set of names
 * that open jobs need. choose(name, on) -> Promise of {kept}.
 */
export const pinsBox = ({ choose }) => {
  const list = make('ul', { class: 'cards' });
  const missing = make('p', { class: 'note' });
  const draw = keyed(list, (name) => pinSwitch({ name, choose }));
  const node = make('section', {}, make('h2', {}, S.pinsTitle), make('p', { class: 'small' }, S.pinsSay), missing, list);
  const update = ({ packs = dict(), gone = [], inUse }) => {
    const named = Object.entries(packs).sort(([, one], [, other]) => (one.kind === 'guide') - (other.kind === 'guide'));
    show(node, named.length > 0);
    draw(named.map(([name, pack]) => [name, { ...pack, isNeeded: inUse.has(name) }]));
    sayOrHide(missing, gone.length ? S.pinsGone(gone) : '');
  };
  return { node, update };
};

/** keptList({addressOf}) -> {node, update({packs})}: the worksheets that open here without a network, as links. */
export const keptList = ({ addressOf }) => {
  const list = make('ul', { class: 'cards' });
  const none = make('p', {}, S.keptNone);
  const draw = keyed(list, (name) => {
    const title = make('b');
    const engine = make('span');
    const update = (pack) => {
      say(title, pack.title);
      say(engine, pack.engine ?? '');
    };
    return { node: make('li', {}, make('a', { class: 'card', href: addressOf(name) }, title, engine)), update };
  });
  const node = make('div', {}, make('h2', {}, S.keptTitle), none, list);
  const update = ({ packs = dict() }) => {
    const here = Object.entries(packs).filter(([, pack]) => pack.kind === 'worksheet' && pack.kept === pack.listed);
    show(none, here.length === 0);
    draw(here);
  };
  return { node, update };
};

/** What the site's list cannot say without changing with every revision: revision and steps, on the cards of worksheets. */
export const sayFacts = (packs = dict()) => {
  for (const card of document.querySelectorAll('a.card[data-worksheet]')) {
    const pack = packs[card.dataset.worksheet];
    const line = card.querySelector('[data-facts]') ?? make('span', { class: 'small', 'data-facts': true });
    if (pack) say(line, S.facts(pack.revision, pack.steps));
    if (pack && !line.isConnected) card.append(line);
  }
};
