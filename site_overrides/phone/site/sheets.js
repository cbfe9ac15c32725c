// Worksheets as the site has them now.

/**
 * openSiteSheets({shelf, known, folderOf}) -> {at(address), named(worksheet)}: Promise of {digest, sheet, text}, or of null where
 * the site has none or does not answer. What was met on the site is known from then on.
 */
export const openSiteSheets = ({ shelf, known, folderOf }) => {
  const at = async (address) => {
    try {
      const answer = await fetch(address);
      if (!answer.ok) return null;
      const held = await shelf.hold(await answer.text());
      known.learn([held.digest]);
      return held;
    } catch {
      return null;
    }
  };
  return { at, named: (worksheet) => at(new URL('sheet.json', folderOf(worksheet))) };
};
