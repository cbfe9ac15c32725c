// The job as a file that a person can hand on.

import { table } from '../base/own.js';
import { localTime } from '../quantities/dates.js';
import { exportText, recordName, shareOrDownload } from './carry.js';

// Whoever gets the file can see from its name that its worksheet may not be the shop's.
const FILE_SAYS = table({ known: '', unmet: 'worksheet-not-met-on-site', stranger: 'worksheet-of-a-stranger' });

/**
 * openFile({work, shelf, known, me, now}) -> {prepare(), hand(), isHanded(), confirm()}. The record is made before the tap
 * that hands it on: sharing must follow its tap at once. What was handed on last is remembered until somebody says that
 * they have it: confirm() -> whether that is all that is not kept.
 */
export const openFile = ({ work, shelf, known, me, now }) => {
  let made = null; // {of, text}
  let handed = new Set(); // ids in the file that was handed on
  const prepare = async () => {
    const { entries } = work.all();
    if (made?.of !== entries) made = { of: entries, text: await exportText(entries, shelf.sheets) };
    return made.text;
  };
  const hand = async () => {
    const { entries } = work.all();
    const text = made?.of === entries ? made.text : await prepare();
    const { origin } = known.originOf(shelf.named(entries));
    const name = recordName(work.state().job?.number ?? '', me(), localTime(now(), work.sheet()?.shop.time_zone), FILE_SAYS[origin]);
    const done = await shareOrDownload(text, name, { navigator, document });
    if (done !== 'cancelled') handed = new Set(entries.map(({ id }) => id));
    return done;
  };
  const isHanded = () => handed.size > 0 && [...work.unkept().ids].every((id) => handed.has(id));
  const confirm = () => work.save(handed);
  return { prepare, hand, isHanded, confirm };
};
