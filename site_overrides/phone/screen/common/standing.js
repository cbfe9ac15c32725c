// What a sheet is worth: whose word counts, whether its values are made up, and how old it is. The paper says the same.

import { tradeOf } from '../../journal/trade.js';
import { W } from '../../words/words.js';
import { make } from './nodes.js';

// The last day on which somebody read one of the values: days are texts that sort.
const lastRead = ({ values }) => Object.values(values).map(({ source }) => source?.read ?? '').sort().at(-1) ?? '';

/** standing(sheet) -> a node for the top of a worksheet's first screen. */
export const standing = (sheet) => make(
  'div', { class: 'standing', 'data-standing': 'start' },
  sheet.engine?.invented === true ? make('p', { class: 'warn' }, W.invented(tradeOf(sheet).whole)) : null,
  make('p', {}, W.makerFirst),
  make('p', { class: 'small' }, W.sheetAge(sheet, tradeOf(sheet).sheet, lastRead(sheet))),
);
