// Why a file that was brought in is not taken, by the code of the refusal. Never edit this file: change
// generator/tables.py, then write it anew with `python -m tools.tables`.

import { table } from '../base/own.js';

export const REFUSALS = table({
  'too-large': 'This file is larger than 16 MB. No job is.',
  'too-many': 'This file has more than 10,000 lines. No job has.',
  'no-record': 'This file is not a record of a job: it does not begin with "handturn record".',
  version: 'This record is of a version that this tool does not read. Open it with a newer one.',
  'cut-short': 'The end of this record is missing. Ask for the file again.',
  damaged: 'This record was changed or damaged after it was written. Ask for the file again.',
  'after-end': 'There is something after the end of this record. Ask for the file again.',
  'no-line': 'Line {line} of this record is neither a worksheet nor an entry.',
  nested: 'Line {line} of this record is nested too deep.',
  'not-canonical': 'Line {line} of this record is not written the way a phone writes.',
  sheet: 'The worksheet in line {line} of this record was changed or damaged.',
  entry: 'Line {line} of this record lacks something that every entry has.',
  jobs: 'This record holds more than one job.',
  'other-job': 'This record is of another job.',
  empty: 'This record holds no entries.',
});
