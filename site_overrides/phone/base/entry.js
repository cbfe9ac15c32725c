// What the store and the journal both ask of entries: their order, and the worksheets they name. Pure.

/** @param {string} a @param {string} b */
export const byText = (a, b) => (a < b ? -1 : Number(a > b));

/**
 * The order of a journal: (lamport, writer, id).
 * @param {Entry} a
 * @param {Entry} b
 */
export const byTurn = (a, b) => a.lamport - b.lamport || byText(a.writer, b.writer) || byText(a.id, b.id);

/**
 * Digests of the worksheets that entries were made on or adopted, each once, in order.
 * @param {Entry[]} entries
 */
export const sheetsNamed = (entries) => {
  const marks = entries.flatMap(({ sheet, value }) => [sheet, value?.sheet]);
  return [...new Set(marks.filter((mark) => typeof mark === 'string' && mark !== ''))].sort();
};
