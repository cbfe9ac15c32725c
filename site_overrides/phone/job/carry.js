// @ts-check
// Writes and reads a job as plain text: its entries and the worksheets they name. A record is read whole or refused with
// the reason, by the same rules as generator/journal/record.py, refusal for refusal. docs/format.md, "Record", has the lines.

import { canonical, digest } from '../base/digest.js';
import { sheetsNamed } from '../base/entry.js';
import { dict } from '../base/own.js';
import { union } from '../journal/journal.js';
import { isOfShape, isSheet } from '../journal/shape/shape.js';
import { ENTRY as NOUN } from '../journal/shape/shapes.js';
import { MOST } from '../journal/tables.js';
import { REFUSALS } from '../words/record.js';

const VERSION = 1;

const HEADER = /^handturn record ([0-9]{1,6})$/;
const SHEET = /^sheet ([0-9a-f]{64}) (.*)$/s;
const ENTRY = /^entry (.*)$/s;
const END = /^end (0|[1-9][0-9]{0,7}) ([0-9a-f]{64})$/;
const JOB = /^[^\p{Cs}]{1,200}$/su; // whole characters: it stands in an address

/** @param {RefusalCode} code @param {number} line */
const refuse = (code, line = 0) => ({ refused: REFUSALS[code].replace('{line}', String(line)), code, line });

/** The refusal of a file of so many bytes, before any of it is read; null if it may be read. */
export const refusedBySize = (size) => (size > MOST.bytes ? refuse('too-large') : null);

/**
 * exportText(entries, sheets) -> Promise of the record. sheets: {digest: text of sheet.json, or the parsed sheet}; only
 * those that the entries name are in it, if they are at hand and undamaged. Hash before the tap that shares: a share
 * must follow its tap at once.
 */
export const exportText = async (entries, sheets) => {
  const every = union(entries);
  const lines = [];
  for (const mark of sheetsNamed(every).filter((name) => Object.hasOwn(sheets, name))) {
    const text = typeof sheets[mark] === 'string' ? sheets[mark] : canonical(sheets[mark]);
    if (await digest(text) === mark) lines.push(`sheet ${mark} ${text}\n`);
  }
  lines.push(...every.map((entry) => `entry ${canonical(entry)}\n`));
  const body = lines.join('');
  return `handturn record ${VERSION}\n${body}end ${lines.length} ${await digest(body)}\n`;
};

// Without what mail and editors add: a byte order mark, returns before newlines.
const plain = (text) => text.replace(/^\ufeff/, '').replaceAll('\r\n', '\n');

const isTooLarge = (text) => text.length > MOST.bytes || new TextEncoder().encode(text).length > MOST.bytes;

// The lines between the first and the last, if the record is whole.
const linesOf = async (text) => {
  if (isTooLarge(text)) return refuse('too-large');
  const lines = plain(text).replace(/\n$/, '').split('\n');
  const header = HEADER.exec(lines[0]);
  if (!header) return refuse('no-record', 1);
  if (Number(header[1]) !== VERSION) return refuse('version', 1);
  if (lines.length > MOST.lines + 2) return refuse('too-many');
  const end = lines.findIndex((line) => END.test(line));
  if (end < 0) return refuse('cut-short');
  if (end !== lines.length - 1) return refuse('after-end', end + 2);
  const [, count, mark] = END.exec(lines.at(end));
  const between = lines.slice(1, -1);
  const whole = between.map((line) => `${line}\n`).join('');
  if (Number(count) !== between.length || await digest(whole) !== mark) return refuse('damaged');
  return { between };
};

// True if brackets outside of quotes nest too deep. Asked before parsing, because deep nesting can crash a parser.
const isTooDeep = (text) => {
  let [depth, isQuoted] = [0, false];
  for (let at = 0; at < text.length; at += 1) {
    const sign = text.charAt(at);
    if (isQuoted) {
      if (sign === '\\') at += 1;
      else if (sign === '"') isQuoted = false;
    } else if (sign === '"') isQuoted = true;
    else if (sign === '[' || sign === '{') depth += 1;
    else if (sign === ']' || sign === '}') depth -= 1;
    if (depth > MOST.nested) return true;
  }
  return false;
};

// {value} of a canonical JSON text, or {code} of the refusal.
/** @param {string} text @returns {{ value?: any, code?: RefusalCode }} */
const parsed = (text) => {
  if (isTooDeep(text)) return { code: 'nested' };
  try {
    const value = JSON.parse(text);
    return canonical(value) === text ? { value } : { code: 'not-canonical' };
  } catch {
    return { code: 'not-canonical' };
  }
};

/** True if this has every field that an entry has, of any kind and any later version. */
export const isEntry = (entry) => isOfShape(entry, NOUN) && JOB.test(entry.job);

// Adds the content of a line to `sheets` or `entries`, or returns the code of the refusal.
/** @param {string} line @param {{ sheets: Names<string>, entries: Entry[] }} into @returns {Promise<RefusalCode | null>} */
const readLine = async (line, { sheets, entries }) => {
  const sheet = SHEET.exec(line);
  const text = sheet ? sheet[2] : ENTRY.exec(line)?.[1];
  if (text === undefined) return 'no-line';
  const { value, code } = parsed(text);
  if (code) return code;
  if (sheet) {
    if (await digest(text) !== sheet[1] || !isSheet(value)) return 'sheet';
    sheets[sheet[1]] = text;
    return null;
  }
  if (!isEntry(value)) return 'entry';
  entries.push(value);
  return null;
};

/**
 * readRecord(text, {job}) -> Promise of {job, entries, sheets: {digest: text}}, or of {refused: why, in words, code,
 * line}. `job`: the job it must be of. Never rejects, and takes nothing from a record it refuses.
 */
export const readRecord = async (text, { job = null } = {}) => {
  const whole = await linesOf(text);
  if (whole.refused) return whole;
  const into = { sheets: dict(), entries: [] };
  for (const [number, line] of whole.between.entries()) {
    const code = await readLine(line, into);
    if (code) return refuse(code, number + 2);
  }
  const jobs = [...new Set(into.entries.map((entry) => entry.job))];
  if (jobs.length !== 1) return refuse(jobs.length ? 'jobs' : 'empty');
  if (job !== null && jobs[0] !== job) return refuse('other-job');
  return { job: jobs[0], entries: union(into.entries), sheets: into.sheets };
};

/**
 * salvage(text) -> Promise of what can still be read of a damaged record, in the shape of readRecord. Only for somebody
 * who asked for it. The job is the one with the most entries in it.
 */
export const salvage = async (text) => {
  if (isTooLarge(text)) return refuse('too-large');
  const into = { sheets: dict(), entries: [] };
  const lines = plain(text).split('\n');
  if (lines.length > MOST.lines + 3) return refuse('too-many');
  for (const line of lines) await readLine(line, into);
  const times = new Map();
  for (const { job } of into.entries) times.set(job, (times.get(job) ?? 0) + 1);
  const [job] = [...times.keys()].sort().sort((a, b) => times.get(b) - times.get(a));
  if (job === undefined) return refuse('empty');
  return { job, entries: union(into.entries.filter((entry) => entry.job === job)), sheets: into.sheets };
};

/** A file name that says job, person and time, and whatever else `says`: recordName('R 7/2', 'KS', '2026-10-02T08:11'). */
export const recordName = (number, who, at, says = '') => {
  const words = [number, who, at.slice(0, 16), says].map((word) => String(word).slice(0, 40).replaceAll(/[^A-Za-z0-9]+/g, '-').replaceAll(/^-|-$/g, ''));
  return `${words.filter(Boolean).join('-')}.txt`;
};

const download = (file, document) => {
  const { URL, setTimeout } = document.defaultView;
  const href = URL.createObjectURL(file);
  const link = Object.assign(document.createElement('a'), { href, download: file.name, hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(href), 60_000);
};

/**
 * shareOrDownload(text, name, {navigator, document}) -> Promise of 'shared', 'cancelled' or 'downloaded'. Shares where
 * the phone can share files and still takes the tap for one; downloads everywhere else.
 */
export const shareOrDownload = async (text, name, { navigator, document }) => {
  const file = new File([text], name, { type: 'text/plain' });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return 'shared';
    } catch (error) {
      if (/** @type {Error} */ (error).name === 'AbortError') return 'cancelled';
    }
  }
  download(file, document);
  return 'downloaded';
};
