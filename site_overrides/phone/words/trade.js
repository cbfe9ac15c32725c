// What is said with the words of the trade: how things stand that are open, what lists, gates and roles are called. Every
// word comes from the worksheet (journal/trade.js).

const DUE = 'due'; // how a thing stands whose kind the worksheet does not know

/** Parts of a sentence in a row: “loose, off and in”. @param {string[]} parts */
export const joined = (parts, last = 'and') => (
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} ${last} ${parts.at(-1)}`
);
const sumOf = (items) => items.reduce((sum, item) => sum + item.open, 0);
const named = (list, name) => list.find((one) => one.name === name);

/** How things can stand, in the order of the kinds. @param {Trade} trade */
const standings = (trade) => [...new Set([...trade.kinds.map(({ stands }) => stands), DUE])];

/**
 * {name: item} of the fold -> the things still open, as [{name, label, kind, open, stands, said}], in the order of the kinds.
 * @param {Names<ItemState>} items
 * @param {Trade} trade
 */
export const stillOpen = (items, trade) => {
  const order = standings(trade);
  return Object.entries(items)
    .filter(([, item]) => item.open > 0)
    .map(([name, item]) => {
      const kind = named(trade.kinds, item.kind);
      return { name, ...item, stands: kind?.stands ?? DUE, said: kind?.said ?? null };
    })
    .sort((a, b) => order.indexOf(a.stands) - order.indexOf(b.stands));
};

/** How one thing stands, in its own word where it has one. */
export const standsSo = ({ said, stands }) => said ?? stands;

export const thing = (item) => {
  const stands = standsSo(item);
  const isSaid = item.said && item.label.toLowerCase().includes(stands.replace(' yet', '')); // “Coolant not in”
  return `${item.open} × ${item.label}${isSaid ? '' : ` (${stands})`}`;
};

export const things = (items) => joined(items.map(thing));

/** How a thing of this trade can stand, in a row: “loose, off or in”. @param {Trade} trade */
export const anyOpen = (trade) => joined([...new Set(trade.kinds.filter(({ said }) => !said).map(({ stands }) => stands))], 'or') || 'open';

/** One line for the top of the screen, in which no number is parted from its word. @param {Trade} trade */
export const openLine = (items, trade) => {
  const sums = standings(trade).map((stands) => [stands, sumOf(items.filter((item) => item.stands === stands))]);
  const said = sums.filter(([, n]) => n > 0).map(([stands, n]) => `${n}\u00a0${stands}`);
  return said.length ? said.join(' · ') : `Nothing ${anyOpen(trade)}`;
};

/** @param {string} name @param {Trade} trade */
export const listName = (name, trade) => named(trade.lists, name)?.title ?? name;

/** @param {string} name @param {Trade} trade */
export const listTitle = (name, trade) => {
  const list = named(trade.lists, name);
  return list ? `${list.title} (${list.before})` : name;
};

/** @param {string} name @param {Trade} trade */
export const gateTitle = (name, trade) => named(trade.gates, name)?.title ?? name;

/** A title that stands inside a sentence: “before the starter”, but “HV off”. @param {string} title */
export const inSentence = (title) => (/^\p{Lu}\p{Lu}/u.test(title) ? title : title.slice(0, 1).toLowerCase() + title.slice(1));

/** What a role is called. @param {string} name @param {Trade} trade */
export const roleLabel = (name, trade) => named(trade.roles, name)?.label ?? name;

/** Roles in a row: “technician or shop lead”. @param {Role[]} roles */
export const rolesSaid = (roles) => joined(roles.map(({ label }) => label), 'or');

/** The answers that a form offers, of kinds, lists or roles. @param {{name: string, label?: string, title?: string}[]} words */
export const optionsOf = (words) => words.map(({ name, label, title }) => ({ value: name, label: label ?? title }));

/** What a field of the start is called on the form. @param {string} field @param {Trade} trade */
export const startLabel = (field, trade) => named(trade.start, field === 'vehicle' ? 'what' : field)?.label ?? field;
