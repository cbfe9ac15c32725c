// An adapter between wrench and bolt: its length and angle, the wrench's own lever, and a drawing of what is meant.

import { isWithin } from '../../journal/limits.js';
import { BOXES } from '../../quantities/ranges.js';
import { W, figureSaid, unitSaid } from '../../words/words.js';
import { field } from '../common/form.js';
import { fold, make, say, sayOrHide, show, svg } from '../common/nodes.js';
import { typedNumber } from '../common/typed_number.js';

const BOX = { width: 328, height: 156, drive: { x: 200, y: 104 }, hand: 22 };
const SHORT = 44;
const LONG = 78;
const RADIAN = Math.PI / 180;
const MM = 0.001;
const plain = (number) => Number(number.toPrecision(12));

const line = (name, from, to) => svg('line', { class: name, x1: from.x, y1: from.y, x2: to.x, y2: to.y });
const text = (name, { x, y }, ...more) => svg('text', { class: name, x, y }, ...more);
const move = (node, from, to) => {
  for (const [name, value] of Object.entries({ x1: from.x, y1: from.y, x2: to.x, y2: to.y })) node.setAttribute(name, value.toFixed(1));
};
const put = (node, { x, y }, names = ['x', 'y']) => {
  node.setAttribute(names[0], x.toFixed(1));
  node.setAttribute(names[1], y.toFixed(1));
};

const turnedBy = (degrees, far) => ({
  x: BOX.drive.x + far * Math.cos(degrees * RADIAN), y: BOX.drive.y - far * Math.sin(degrees * RADIAN),
});

// The wrench from hand to drive, the line it would continue in, the adapter turned out of that line to the bolt.
const drawing = () => {
  const { drive, hand } = BOX;
  const adapter = line('adapter', drive, turnedBy(45, SHORT));
  const bolt = svg('circle', { class: 'head', r: 13 });
  const arc = svg('path', { class: 'arc' });
  const lever = text('measure', { x: (hand + drive.x) / 2, y: drive.y + 42 }, '');
  const length = text('measure', drive, '');
  const angle = text('measure start', { x: 0, y: 0 }, '');
  const node = svg(
    'svg', { class: 'adapter-drawing', viewBox: `0 0 ${BOX.width} ${BOX.height}`, role: 'img', 'aria-label': W.adapterDrawing },
    line('straight', drive, { x: BOX.width - 8, y: drive.y }),
    line('handle', { x: hand, y: drive.y }, drive), line('grip', { x: hand, y: drive.y }, { x: hand + 46, y: drive.y }),
    line('measured', { x: hand + 23, y: drive.y + 22 }, { x: drive.x, y: drive.y + 22 }),
    line('measured', { x: hand + 23, y: drive.y + 14 }, { x: hand + 23, y: drive.y + 28 }), line('measured', { x: drive.x, y: drive.y + 14 }, { x: drive.x, y: drive.y + 28 }),
    adapter, arc, svg('rect', { class: 'drive', x: drive.x - 8, y: drive.y - 8, width: 16, height: 16 }), bolt, lever, length, angle,
  );
  const update = ({ length: e, angle: turn, lever: l }) => {
    const degrees = Math.min(Math.max(Math.abs(turn ?? 45), 0), 180);
    const far = e && l ? Math.min(Math.max((e / l) * (drive.x - hand), SHORT), LONG) : SHORT + 14;
    const end = turnedBy(degrees, far);
    move(adapter, drive, end);
    put(bolt, end, ['cx', 'cy']);
    const rim = turnedBy(degrees, 30);
    arc.setAttribute('d', `M ${drive.x + 30} ${drive.y} A 30 30 0 0 0 ${rim.x.toFixed(1)} ${rim.y.toFixed(1)}`);
    say(lever, W.leverSaid(l));
    say(length, W.lengthSaid(e));
    say(angle, W.angleSaid(turn));
    const high = turnedBy(degrees, far + 24);
    put(length, { x: Math.min(Math.max(high.x, 56), BOX.width - 56), y: degrees < 15 ? drive.y + 36 : high.y });
    put(angle, { x: drive.x + (degrees < 15 ? 4 : 40), y: degrees < 15 ? drive.y - 26 : drive.y - 10 });
  };
  return { node, update };
};

const ANOTHER = '';

// A box of the adapter, with the question which of two numbers was meant, and why what stands there cannot be.
const numberBox = ({ name, label, limits, unit, scale }) => {
  const box = field({ name, label, type: 'number' });
  const canBe = (number) => isWithin(number * scale, limits);
  const typed = typedNumber({ field: box, tests: () => [canBe], unit: () => unit });
  box.box.addEventListener('change', typed.asks);
  const read = () => {
    const number = typed.read();
    return number !== null && canBe(number) ? number : null;
  };
  const [from, to] = [limits.low, limits.high].map((end) => String(plain(end / scale)));
  const wrong = () => {
    const number = typed.read();
    return number === null || canBe(number) ? null : W.cannotBeHere(figureSaid(number, unit), { from, to, unit: unitSaid(unit), above: limits.above });
  };
  return { ...box, read, wrong, isUnread: () => box.value() !== '' && read() === null, write: typed.write, asked: typed.node };
};

const numberBoxes = () => [
  { name: 'adapter-length', label: W.adapterLength, limits: BOXES.adapter, unit: 'mm', scale: MM },
  { name: 'adapter-angle', label: W.adapterAngle, limits: BOXES['adapter-angle'], unit: 'deg', scale: 1 },
  { name: 'lever', label: W.lever, limits: BOXES.lever, unit: 'mm', scale: MM },
].map(numberBox);

/**
 * adapterBox({sheet, onChange}) -> {node, given(), leverOf(wrench id), restore(adapter, wrench id), update({wrench, says})}.
 * given(): {length, angle} (mm, degrees) or null where there is none; isHalf(): begun and not yet all there, or not what
 * can be, which wrong() says. `wrench` is the one in the hand; says: what the wrench would have to be set to, in words.
 */
export const adapterBox = ({ sheet, onChange }) => {
  const shop = Object.entries(sheet.adapters ?? {});
  const which = field({
    name: 'adapter', label: W.adapterWhich, type: 'select',
    options: [{ value: ANOTHER, label: W.adapterOther }, ...shop.map(([value, { label }]) => ({ value, label }))],
  });
  const numbers = numberBoxes();
  const [length, angle, lever] = numbers;
  const picture = drawing();
  const none = make('button', { type: 'button', class: 'small-press plain-press' }, W.adapterNone);
  const exact = make('p', { class: 'exact', role: 'status' });
  const title = make('span');
  const node = fold(
    { class: 'form adapter-box' }, title,
    make('div', { class: 'inside' }, shop.length ? which.node : null, make('div', { class: 'pair' }, length.node, angle.node), length.asked, angle.asked, lever.node, lever.asked, picture.node, exact, none),
  );
  const levers = new Map(); // typed, by wrench
  let wrench = null;
  const leverOf = (id) => levers.get(id) ?? sheet.wrenches[id]?.lever ?? null;
  const isBegun = () => length.value() !== '' || angle.value() !== '';
  const given = () => (length.read() === null || angle.read() === null ? null : { length: length.read(), angle: angle.read() });
  const wrong = () => numbers.map((one) => one.wrong()).find(Boolean) ?? null;
  const isHalf = () => isBegun() && (given() === null || lever.isUnread());
  const changed = () => {
    if (document.activeElement === lever.box || lever.value() !== '') levers.set(wrench, lever.read());
    onChange();
  };
  const choose = () => {
    const one = sheet.adapters?.[which.value()];
    if (!one) return;
    length.write(one.length);
    if (one.angle !== null) angle.write(one.angle);
    onChange();
  };
  for (const { box } of [length, angle, lever]) box.addEventListener('input', changed);
  which.box.addEventListener('change', choose);
  none.addEventListener('click', () => {
    for (const one of [which, length, angle]) one.clear();
    node.open = false;
    onChange();
  });
  /** As it was in an earlier answer of this step. */
  const restore = ({ length: l, angle: a, lever: far }, id) => {
    length.write(l);
    angle.write(a);
    if (far !== leverOf(id)) levers.set(id, far);
  };
  const update = ({ wrench: id, says }) => {
    wrench = id;
    const own = leverOf(id);
    // What was typed and is no lever yet stays, to be put right.
    if (document.activeElement !== lever.box && !lever.isUnread()) lever.write(own ?? '');
    picture.update({ length: length.read(), angle: angle.read(), lever: own });
    say(title, W.adapterTitle);
    sayOrHide(exact, says);
    show(none, isBegun());
  };
  return { node, given, isHalf, wrong, leverOf, restore, update };
};
