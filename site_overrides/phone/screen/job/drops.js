// Lists that drop open over the page: one at a time, and a press beside it or Escape closes it.

/** watchDrops(node) -> {close()}: the `.drop` folds within. */
export const watchDrops = (node) => {
  const close = (but = null) => {
    for (const drop of node.querySelectorAll('.drop[open]')) if (drop !== but) drop.open = false;
  };
  node.addEventListener('toggle', ({ target }) => target.open && target.classList.contains('drop') && close(target), true);
  node.addEventListener('keydown', ({ key }) => key === 'Escape' && close());
  node.addEventListener('pointerdown', ({ target }) => target.closest?.('.drop') || close());
  return { close: () => close() };
};
