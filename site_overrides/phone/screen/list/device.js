// Whether this phone is ready to work without a network, and the button for a new version: never while a job is open.

import { S } from '../../words/site.js';
import { OFFLINE, W, troublesSaid } from '../../words/words.js';
import { flag, keyed, make, say, sayOrHide } from '../common/nodes.js';
import { updateBox } from './news.js';

// How many of the worksheets a person may choose from are whole on this phone, once that is known.
const keptSaid = (packs) => {
  const all = Object.values(packs ?? {});
  const sheets = all.filter(({ kind }) => kind === 'worksheet');
  const guide = all.find(({ kind }) => kind === 'guide');
  const isWhole = ({ pinned, kept, listed }) => pinned && kept === listed;
  return sheets.length ? S.keptCount(sheets.filter(isWhole).length, sheets.length, guide ? isWhole(guide) : null) : '';
};

/**
 * deviceLine({update}) -> {node, update({state, words, replaced, movedWords, packs, trouble, news})}. update() takes the
 * waiting version.
 */
export const deviceLine = ({ update: takeUpdate }) => {
  const line = make('p');
  const more = make('p', { class: 'small' });
  const moved = make('p', { class: 'message', role: 'alert' });
  const kept = make('p', { class: 'small' });
  const box = updateBox({ update: takeUpdate });
  const troubles = make('div');
  const draw = keyed(troubles, () => {
    const node = make('p', { class: 'message', role: 'alert' });
    return { node, update: (text) => say(node, text) };
  });
  const node = make('div', { class: 'device', role: 'status' }, line, more, kept, moved, box.node, troubles);
  const update = ({ state, words, replaced, movedWords, packs, trouble, news = null }) => {
    const isReady = state === 'ready' || state === 'update-waiting';
    flag(node, 'ready', isReady);
    flag(node, 'not', state === 'none' || state === 'broken');
    say(line, OFFLINE[state] ?? '');
    sayOrHide(more, replaced ? W.otherTab : words ?? '');
    sayOrHide(kept, keptSaid(packs));
    sayOrHide(moved, movedWords);
    box.update({ isOffered: state === 'update-waiting', news });
    draw(troublesSaid(trouble).map((text, at) => [`${at}`, text]));
  };
  return { node, update };
};
