// Quietly tries again, more and more rarely, to save what a sound store did not take. A broken store is left alone.

const MOST_MS = 60_000;

/**
 * openAgain({isLeft, mayTry, again, firstMs}) -> {look, close}. look() is called when something may be left to keep;
 * again() tries, isLeft() -> whether anything is left, mayTry() -> whether the store may be written at all.
 */
export const openAgain = ({ isLeft, mayTry, again, firstMs }) => {
  let timer = null;
  let wait = firstMs;
  const attempt = async () => {
    timer = null;
    wait = Math.min(2 * wait, MOST_MS);
    if (mayTry()) await again();
    look();
  };
  const look = () => {
    if (!isLeft()) wait = firstMs;
    else if (mayTry()) timer ??= setTimeout(attempt, wait);
  };
  return { look, close: () => clearTimeout(timer) };
};
