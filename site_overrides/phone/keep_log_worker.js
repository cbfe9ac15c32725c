// The worker of the third copy. Only in a worker can a browser write a file and say when it is on the disk. It is a classic
// script without imports, so that the offline copy needs one file.
//
// A log is one of a few files with fixed names in a folder of this site. Names are made once and kept: a browser may
// write the name of a new file down much later than what is in it. One page writes to one file, which it has locked;
// all pages read all of them. A line is `<checksum> <json>`; json is {entry: record}, {kept: [mark]} or {wiped: {job: n}}.

const SLOTS = 8;
const WASTE = 1 << 16; // bytes of a log that may be in vain before it is written anew

const encoder = new TextEncoder();
const decoder = new TextDecoder();

let folder;
let own = null; // the handle of the file that this page writes

// --- lines -----------------------------------------------------------------------------------------------------------

const CRC = Uint32Array.from({ length: 256 }, (_, n) => {
  let value = n;
  for (let bit = 0; bit < 8; bit += 1) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  return value;
});

const checksum = (text) => {
  let value = 0xffffffff;
  for (const byte of encoder.encode(text)) value = (value >>> 8) ^ CRC[(value ^ byte) & 0xff];
  return (~value >>> 0).toString(16).padStart(8, '0');
};

const lineOf = (said) => {
  const text = JSON.stringify(said);
  return `${checksum(text)} ${text}\n`;
};

// If the browser died in the middle of a line, that line has no end. So the next one begins on a line of its own.
const bytesOf = (all) => encoder.encode(`\n${all.map(lineOf).join('')}`);

const saidIn = (line) => {
  const text = line.slice(9);
  return line[8] === ' ' && checksum(text) === line.slice(0, 8) ? JSON.parse(text) : null;
};

const readInto = (found, text) => {
  const lines = text.split('\n');
  for (const [at, line] of lines.entries()) {
    if (line === '') continue;
    const said = saidIn(line);
    const isCutShort = at === lines.length - 1 || lines.at(at + 1) !== ''; // every whole write ends with an empty line, or the file
    if (said?.entry) found.records.set(JSON.stringify([said.entry.job, said.entry.id, said.entry.mark]), said.entry);
    else if (said?.kept) for (const mark of said.kept) found.kept.add(mark);
    else if (said?.wiped) for (const [job, n] of Object.entries(said.wiped)) found.wiped.set(job, Math.max(n, found.wiped.get(job) ?? 0));
    else if (!isCutShort) found.damaged += 1;
  }
  found.bytes += text.length;
};

const nothing = () => ({ records: new Map(), kept: new Set(), wiped: new Map(), damaged: 0, bytes: 0 });

// What deserves a line, without what was wiped.
const worth = ({ records, kept, wiped }) => {
  const live = [...records.values()].filter(({ job, n }) => n > (wiped.get(job) ?? 0));
  const marks = live.map(({ mark }) => mark).filter((mark) => kept.has(mark));
  return [...live.map((entry) => ({ entry })), ...marks.length ? [{ kept: marks }] : [], ...wiped.size ? [{ wiped: Object.fromEntries(wiped) }] : []];
};

// --- files -----------------------------------------------------------------------------------------------------------

const fileOf = async (slot, create) => {
  try {
    return await folder.getFileHandle(`log-${slot}`, { create });
  } catch (error) {
    if (error.name === 'NotFoundError') return null;
    throw error;
  }
};

// -> a handle, or null if another page has it
const lock = async (file) => {
  try {
    return await file.createSyncAccessHandle();
  } catch (error) {
    if (error.name === 'NoModificationAllowedError' || error.name === 'InvalidStateError') return null;
    throw error;
  }
};

const textIn = (handle) => {
  const bytes = new Uint8Array(handle.getSize());
  handle.read(bytes, { at: 0 });
  return decoder.decode(bytes);
};

const textOfOthers = async (file) => {
  try {
    return await (await file.getFile()).text();
  } catch {
    return '';
  }
};

// Removes a half-written line: the next line would be read as part of it.
const write = (handle, bytes) => {
  const size = handle.getSize();
  try {
    if (handle.write(bytes, { at: size }) !== bytes.length) throw new DOMException('cut short', 'QuotaExceededError');
    handle.flush();
  } catch (error) {
    try {
      handle.truncate(size);
    } catch { /* the next line begins on a line of its own */ }
    throw error;
  }
};

// --- what a page asks for --------------------------------------------------------------------------------------------

const folderNamed = async (name) => {
  const root = await navigator.storage.getDirectory();
  try {
    return { folder: await root.getDirectoryHandle(name), isNew: false };
  } catch (error) {
    if (error.name !== 'NotFoundError') throw error;
    return { folder: await root.getDirectoryHandle(name, { create: true }), isNew: true };
  }
};

/** Locks the first free file and reads all of them. */
const open = async ({ name }) => {
  const named = await folderNamed(name);
  folder = named.folder;
  const all = nothing();
  for (let slot = 0; slot < SLOTS; slot += 1) {
    const file = await fileOf(slot, slot < 2 || own === null);
    if (!file) continue;
    const handle = await lock(file);
    if (handle) readInto(all, textIn(handle));
    else readInto(all, await textOfOthers(file));
    if (handle && own) handle.close();
    else own ??= handle;
  }
  if (!own) throw new DOMException('every file is in use', 'NoModificationAllowedError');
  const { records, kept, wiped, damaged, bytes } = all;
  const live = bytesOf(worth(all)).length;
  return { isNew: named.isNew, records: [...records.values()], kept: [...kept], wiped: Object.fromEntries(wiped), damaged, isWasteful: bytes > WASTE && bytes > 2 * live };
};

const append = ({ lines }) => write(own, bytesOf(lines));

/** Writes without waiting for the disk. The next line that waits takes this one with it. */
const note = ({ lines }) => {
  own.write(bytesOf(lines), { at: own.getSize() });
};

// The new file is on the disk before an old one is emptied. A crash in between leaves everything twice.
const compact = async ({ wiped }) => {
  const held = [];
  let into = null;
  const all = { ...nothing(), wiped: new Map(Object.entries(wiped)) };
  for (let slot = 0; slot < SLOTS; slot += 1) {
    const file = await fileOf(slot, into === null);
    const handle = file && await lock(file);
    if (!handle) continue;
    const text = textIn(handle);
    readInto(all, text);
    if (text === '' && !into) into = handle;
    else held.push(handle);
  }
  if (into) {
    readInto(all, textIn(own));
    write(into, bytesOf(worth(all)));
    for (const handle of [own, ...held]) {
      handle.truncate(0);
      handle.flush();
    }
    held.push(own);
    own = into;
  }
  for (const handle of held) handle.close();
};

const close = () => {
  own?.close();
  own = null;
};

const DEEDS = new Map(Object.entries({ open, append, note, compact, close }));

let turn = Promise.resolve();
globalThis.onmessage = ({ data: { id, deed, ...about } }) => {
  turn = turn.then(() => DEEDS.get(deed)(about)).then(
    (found) => postMessage({ id, found }),
    (error) => postMessage({ id, error: error.name }),
  );
};
