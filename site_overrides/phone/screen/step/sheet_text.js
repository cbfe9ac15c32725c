// The reading part of a step's sheet: cautions first, then the text. After what the sheet says: why, trade words, picture.

import { tradeOf } from '../../journal/trade.js';
import { gateTitle, inSentence } from '../../words/trade.js';
import { W } from '../../words/words.js';
import { flag, fold, make } from '../common/nodes.js';
import { richNodes } from '../common/rich.js';
import { doText, plainText, whichOf } from '../common/step_text.js';
import { caughtBefore, caution, worstFirst } from './cautions.js';

const LONG = 130; // characters; longer text is set smaller

const stopSign = ({ gate, hold }, trade) => {
  if (!gate && !hold) return null;
  const titles = gate ? [gate.for, ...gate.also ?? []].map((name) => inSentence(gateTitle(name, trade))) : [];
  return make('p', { class: 'stop' }, titles.length ? `${W.stopCheck}: ${titles.join(' · ')}` : W.stopCheck);
};

const loaded = new Map(); // file -> the picture, held while the page lives

/** Loads the pictures of all steps: one whose size comes late pushes the buttons below it under a finger. */
export const loadPictures = (sheet, folder) => {
  for (const { picture } of sheet.steps) {
    if (!picture || loaded.has(picture.file)) continue;
    const image = new Image();
    image.src = `${folder}${picture.file}`;
    loaded.set(picture.file, image);
  }
};

const pictureOf = ({ picture }, folder) => {
  if (!picture || !folder) return null;
  const { naturalWidth: width, naturalHeight: height } = loaded.get(picture.file) ?? {};
  return make('img', { class: 'picture', src: `${folder}${picture.file}`, alt: picture.alt, width: width || null, height: height || null });
};

const tradeWords = (words) => make('div', { class: 'words' }, Object.entries(words).map(([term, meaning]) => (
  fold({}, term, make('p', {}, meaning))
)));

/** sheetText({sheet, step, stage, isFirst, pictures}) -> {first, rest, update(names)}: nodes; names as namesOf gives them. */
export const sheetText = ({ sheet, step, stage, isFirst, pictures }) => {
  const text = make('p', { class: 'do' });
  const why = step.why ? make('p', { class: 'ground' }) : null;
  const ofStage = stage?.cautions ?? [];
  const warned = worstFirst([...ofStage, ...step.cautions]);
  const first = [
    ...warned.map((one) => (!isFirst && ofStage.includes(one) ? caughtBefore(one) : caution(one))), stopSign(step, tradeOf(sheet)), make('p', { class: 'later' }, W.laterTitle), text,
  ];
  const rest = [why, tradeWords(step.words), pictureOf(step, pictures)];
  let drawn = null;
  const update = ({ told: shown }) => {
    const now = plainText([...step.do, ...step.why ?? []], shown);
    if (now === drawn) return;
    drawn = now;
    flag(text, 'long', doText(step, shown).length > LONG);
    text.replaceChildren(whichOf(step), ...richNodes(step.do, shown));
    why?.replaceChildren(`${W.why}: `, ...richNodes(step.why, shown));
  };
  return { first, rest, update };
};
