// Draws a job. If an entry makes the drawing fail, goes on without it and says so. Knows no screen.

import { culprits } from './culprits.js';

const MOST_MENDED = 5; // faults a page gets over; one that goes on and on is no longer an entry's

// Whether the job can be drawn without these entries. Drawn anew, at the step in view: what throws there must throw
// here.
const isWell = ({ work, screen, facts }, out, at) => {
  try {
    work.leaveOut(new Set(out));
    if (!work.sheet()) return true;
    screen.anew(at);
    screen.update(facts());
    return true;
  } catch {
    return false;
  }
};

const culpritsOf = (about, at) => {
  const ids = about.work.all().entries.map(({ id }) => id);
  return culprits(ids, (out) => isWell(about, out, at)) ?? [];
};

/**
 * openDrawing() -> {begin(about), draw(given), look(), isBroken()}. draw() is the one way to the screen: whoever has changed
 * something calls it once, with what the screen is to go on from (see jobScreen); before begin() it does nothing.
 * about: {work, screen: {anew(at), update(facts, given), at()}, facts() -> what the screen shows, outside() -> a text of what
 * it shows beside the journal, giveUp()}. look() draws where outside() is no longer what was drawn. A fault in the drawing
 * is looked for among the entries; where none is to blame, giveUp() is called and nothing is drawn any more.
 */
export const openDrawing = () => {
  let about = null;
  let mended = 0;
  let isBroken = false;
  let drawn = null; // what outside() was

  const mend = (error) => {
    mended += 1;
    reportError(error);
    const at = about.screen.at();
    const out = mended > MOST_MENDED ? null : culpritsOf(about, at);
    if (out && isWell(about, out, at) && about.work.sheet()) return;
    isBroken = true;
    about.giveUp();
  };
  const draw = (given = null) => {
    if (!about || isBroken) return;
    try {
      drawn = about.outside();
      about.screen.update(about.facts(), given);
    } catch (error) {
      mend(error);
    }
  };
  const look = () => {
    if (about && !isBroken && about.outside() !== drawn) draw();
  };
  const begin = (given) => {
    about = given;
    if (about.work.leftOut().length) mend(new Error('the journal could not be folded'));
    else draw();
  };
  return { begin, draw, look, isBroken: () => isBroken };
};
