// Entries as a test needs them: real in shape, plain in content.

const hex = (byte) => byte.toString(16).padStart(2, '0');

const randomId = () => Array.from(crypto.getRandomValues(new Uint8Array(10)), hex).join('');

let lamport = 0;

/** entry({job: 'J-1', value: 7}) -> an entry of version 1 with a fresh id; anything given replaces the usual. */
export const entry = (given = {}) => {
  lamport += 1;
  return {
    v: 1,
    id: randomId(),
    job: 'J-1',
    device: 'bay-2',
    writer: 'w-1',
    prev: null,
    lamport,
    at: '2026-11-25T10:00:00Z',
    who: 'KS',
    sheet: '0'.repeat(64),
    step: 'press',
    part: null,
    kind: 'tick',
    value: true,
    seen: [],
    ...given,
  };
};
