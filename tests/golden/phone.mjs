// Reads records with the phone's own code, folds them and writes them again: node phone.mjs records.json

import { readFileSync } from 'node:fs';

import { exportText, readRecord } from '../../site_overrides/phone/job/carry.js';
import { canonical, fold } from '../../site_overrides/phone/journal/journal.js';

const records = JSON.parse(readFileSync(process.argv[2], 'utf8'));
const found = {};
for (const [job, text] of Object.entries(records)) {
  const { refused, entries, sheets } = await readRecord(text);
  if (refused) {
    found[job] = { refused };
    continue;
  }
  const parsed = Object.fromEntries(Object.entries(sheets).map(([mark, sheet]) => [mark, JSON.parse(sheet)]));
  found[job] = {
    state: canonical(fold(entries, parsed)),
    record: await exportText(entries, sheets),
    sheets: Object.keys(sheets).sort(),
  };
}
process.stdout.write(JSON.stringify(found));
