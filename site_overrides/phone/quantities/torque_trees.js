// The arithmetic of a wrench, one tree for each number, and the order in which wrenches are taken; the worksheet brings
// the trees of a setting. Never edit this file: change generator/quantities/trees.py, then write it anew with
// `python -m tools.tables`.

import { table } from '../base/own.js';

export const TORQUE = table({
  received: [
    '/',
    ['*', ['name', 'set'], ['+', ['name', 'lever'], ['*', ['name', 'adapter'], ['cos', ['name', 'angle']]]]],
    [
      'if',
      [
        'and',
        ['>', ['name', 'lever'], 0],
        ['>=', ['name', 'adapter'], 0],
        ['<=', ['name', 'adapter'], ['name', 'lever']],
        ['<=', ['abs', ['name', 'angle']], 180],
        [
          '>=',
          ['+', ['name', 'lever'], ['*', ['name', 'adapter'], ['cos', ['name', 'angle']]]],
          ['*', 0.5, ['name', 'lever']],
        ],
      ],
      ['name', 'lever'],
      0,
    ],
  ],
  share: ['*', ['/', ['name', 'off'], ['name', 'final']], ['name', 'target']],
  accurate: ['*', ['name', 'accuracy'], ['name', 'target']],
  through: ['*', ['name', 'tolerance'], ['/', ['name', 'setting'], ['name', 'target']]],
  middle: [
    'and',
    ['>=', ['/', ['name', 'setting'], ['name', 'high']], 0.2],
    ['<=', ['/', ['name', 'setting'], ['name', 'high']], 0.9],
  ],
  above: ['>', ['name', 'value'], ['name', 'high']],
  below: ['<', ['name', 'value'], ['name', 'low']],
  rough: [
    'if',
    ['>=', ['name', 'value'], 100],
    1,
    ['if', ['>=', ['name', 'value'], 1], 0.1, ['if', ['>=', ['name', 'value'], 0.1], 0.01, 0.001]],
  ],
  ceiling: [
    'floor',
    ['name', 'value'],
    [
      'if',
      ['>=', ['name', 'value'], 100],
      1,
      ['if', ['>=', ['name', 'value'], 1], 0.1, ['if', ['>=', ['name', 'value'], 0.1], 0.01, 0.001]],
    ],
  ],
  floor: [
    'ceil',
    ['name', 'value'],
    [
      'if',
      ['>=', ['name', 'value'], 100],
      1,
      ['if', ['>=', ['name', 'value'], 1], 0.1, ['if', ['>=', ['name', 'value'], 0.1], 0.01, 0.001]],
    ],
  ],
});
export const SLIPS = table({ tenth: ['*', ['name', 'number'], 0.1], tenfold: ['*', ['name', 'number'], 10] });
export const BELOW_ZERO = ['temperature', 'warmth', 'angle'];
export const MOST_MEANT = 3;
export const EXPECTED = table({
  given: table({ low: ['/', ['name', 'given'], 3], high: ['*', ['name', 'given'], 3] }),
  others: table({ low: ['/', ['name', 'least'], 2], high: ['*', ['name', 'most'], 2] }),
});
export const ORDER = ['outside', 'overdue', 'other', 'end', 'step', 'high', 'wrench'];
