// Where the bolts are: a drawing of our own, from the points of the worksheet. The bolt at work has a ring. A saved one
// is filled and crossed by a witness line. A tap on a bolt makes it the one at work.

import { W } from '../../words/words.js';
import { flag, keyed, make, mark, say, set, show, svg } from '../common/nodes.js';
import { pressBegun } from '../common/press_guard.js';

const WIDE = 328; // about the pixels of a narrow phone, so that a bolt is as large as it is drawn
const MARGIN = 32;
const HIGH = { few: 122, many: 206 };
const FEW = 7;
const LEAST_APART = 46;
const MOST_APART = 88;
const SLANT = Math.SQRT1_2;

const apart = (points) => points.reduce((least, [x, y], at) => (
  points.slice(at + 1).reduce((low, [u, v]) => Math.min(low, Math.hypot(x - u, y - v)), least)
), Infinity);

const spread = (numbers) => Math.max(...numbers) - Math.min(...numbers);

/** points 0..1 -> {width, height, radius, at: [{x, y}]} as they are drawn: as large as fits, never stretched. */
export const laidOut = (points) => {
  const [dx, dy] = [spread(points.map(([x]) => x)), spread(points.map(([, y]) => y))];
  const room = points.length < FEW ? HIGH.few : HIGH.many;
  const fits = Math.min(dx ? (WIDE - 2 * MARGIN) / dx : Infinity, dy ? room / dy : Infinity);
  // If rows of bolts are too close for a glove, the map gets more height.
  const between = Math.max(apart(points), 0.02);
  const size = Math.min(Math.max(fits, LEAST_APART / between), MOST_APART / between, dx ? (WIDE - 2 * MARGIN) / dx : Infinity);
  const left = (WIDE - size * dx) / 2 - size * Math.min(...points.map(([x]) => x));
  const top = MARGIN - size * Math.min(...points.map(([, y]) => y));
  const at = points.map(([x, y]) => ({ x: left + x * size, y: top + y * size }));
  return { width: WIDE, height: size * dy + 2 * MARGIN, radius: Math.min(23, 0.42 * size * between), at };
};

const line = (name, { x, y }, from, to) => svg('line', {
  class: name, x1: x + from * SLANT, y1: y - from * SLANT, x2: x + to * SLANT, y2: y - to * SLANT,
});

const head = ({ x, y, radius: r }, number) => [
  svg('circle', { class: 'ring', cx: x, cy: y, r: r + 7 }),
  svg('circle', { class: 'head', cx: x, cy: y, r }),
  svg('text', { x, y, dy: '0.36em' }, number),
  line('witness on-head', { x, y }, r * 0.62, r),
  line('witness beside', { x, y }, r, r + 9),
];

// A bolt that can be tapped. The large one is on the control below, so the map only shows where it is.
const bolt = (place, kind) => (id) => {
  const number = id.split('.').at(-1);
  const reach = svg('circle', { class: 'reach', cx: place.x, cy: place.y, r: Math.max(place.radius + 3, 24) });
  const node = svg('g', { class: 'bolt' }, reach, head(place, number));
  let shown = null;
  let tap = () => {};
  const press = () => { if (!shown.big) tap(id); };
  node.addEventListener('click', press);
  node.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' && event.key !== ' ') return;
    event.preventDefault();
    if (pressBegun(event)) press();
  });
  const update = ({ part, choose }) => {
    shown = part;
    tap = choose;
    const isWay = !part.big;
    flag(node, 'at-work', part.big);
    flag(node, 'tight', part.kept);
    set(node, 'role', isWay ? 'button' : 'img');
    set(node, 'tabindex', isWay ? '0' : null);
    set(node, 'data-check', isWay ? kind : null);
    set(node, 'data-part', isWay ? id : null);
    flag(node, 'unkept', part.kept?.unkept);
    mark(node, isWay ? part.kept : null);
    set(node, 'aria-label', W.boltSays(part.label, part.kept ? part.kept.unkept ? W.unkeptShort : W.keptShort : part.big ? W.next : W.notYetDone));
  };
  return { node, update };
};

/** boltMap({points, kind}) -> {node, update({parts, choose})}: parts of one pull, `<pull>.<bolt>`; choose(id). */
export const boltMap = ({ points, kind }) => {
  const { width, height, radius, at } = laidOut(points);
  const place = (id) => ({ ...at[Number(id.split('.').at(-1)) - 1], radius });
  const bolts = svg('g');
  const drawBolts = keyed(bolts, (id) => bolt(place(id), kind)(id));
  const drawing = svg('svg', { class: 'map', viewBox: `0 0 ${width} ${height}`, role: 'group', 'aria-label': W.mapTitle }, bolts);
  const node = make('div', { class: 'bolt-map' }, drawing);
  const update = ({ parts, choose }) => drawBolts(parts.map((part) => [part.id, { part, choose }]));
  return { node, update };
};

/** The same for bolts that are saved all at once: only where they are, with the order they are taken in. */
export const boltPicture = ({ points, order }) => {
  const { width, height, radius, at } = laidOut(points);
  const heads = at.map((place, number) => svg('g', { class: 'bolt' }, head({ ...place, radius }, String(number + 1))));
  const said = make('p', { class: 'small' });
  say(said, order.length ? W.boltOrder(order) : '');
  show(said, order.length > 0);
  return make('div', { class: 'bolt-map' }, svg('svg', { class: 'map', viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': W.mapTitle }, heads), said);
};
