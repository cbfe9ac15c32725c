// Who writes on this phone: the phone itself, by a name that stays, and the person who has it in hand.

import { newId } from '../journal/journal.js';
import { openPen } from './work.js';

const deviceOf = async (keep, random) => {
  const known = await keep.setting('device');
  if (known) return known;
  const made = newId(random);
  await keep.setSetting('device', made);
  return made;
};

/**
 * openWriter({keep, now, random, onTick}) -> Promise of {device, who: {me(), take(initials)}, offer}. offer(verb, inView) as
 * openPen gives it; onTick() follows each answer that was saved.
 */
export const openWriter = async ({ keep, now, random, onTick }) => {
  const device = await deviceOf(keep, random);
  const pen = openPen({ keep, device, writer: newId(random), now, random });
  let me = (await keep.setting('who')) ?? '';
  const take = (initials) => {
    me = initials;
    return keep.setSetting('who', initials);
  };
  const offer = async (verb, inView) => {
    const answer = await pen(verb, inView);
    if (answer.kept && verb.kind !== 'start') onTick();
    return answer;
  };
  return { device, who: { me: () => me, take }, offer };
};
