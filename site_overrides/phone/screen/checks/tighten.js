// Tightening: the big number is what to set on the wrench in the hand, bolt by bolt on a map, pull by pull. Above it,
// smaller, is the value as its source prints it.

import { isPull } from '../../journal/limits.js';
import { W, said } from '../../words/words.js';
import { field } from '../common/form.js';
import { make, sayOrHide, show } from '../common/nodes.js';
import { boltMap, boltPicture } from './bolt_map.js';
import { markAsk } from './mark.js';
import { partsCheck } from './parts.js';
import { hasWrenches, wrenchInHand } from './wrench.js';

const numberOf = (id) => id.split('.').slice(1).join('.');

/** The bolt of a part: its number if bolts are taken one by one, '' if all at once. */
const boltOf = ({ fastener }) => (id) => (fastener === 'critical' ? numberOf(id) : '');

const isOneByOne = ({ fastener, parts }) => fastener === 'critical' && new Set(parts.map(({ id }) => numberOf(id))).size > 1;

const fitting = (about, { parts }) => {
  const points = about?.points ?? [];
  return points.length > 1 && parts.every(({ id }) => Number(numberOf(id)) <= points.length) ? points : null;
};

// One-time bolts: before a bolt's first pull counts, somebody says that it is new, and again after it was loosened.
const newBolts = ({ check, onChange }) => {
  const of = boltOf(check);
  const all = [...new Set(check.parts.map(({ id }) => of(id)))];
  const box = field({ name: 'new', type: 'checkbox', label: W.newIn(all.length) });
  const told = new Map(); // bolt -> how often it had been loosened when this was said
  let lacking = [];
  let lost = () => 0;
  const note = make('p', { class: 'small' });
  const node = make('div', { class: 'new-bolts' }, note, box.node);
  box.box.addEventListener('change', () => {
    for (const bolt of lacking) {
      if (box.box.checked) told.set(bolt, lost(bolt));
      else told.delete(bolt);
    }
    onChange();
  });
  /** Whether the bolt at work waits for this: {asks, say}. `say`: its answer says that it is new. */
  const update = ({ big, seen, shared, path }) => {
    const answers = seen.answers.filter(({ kind }) => kind === 'check');
    const isNew = (bolt) => answers.some(({ part, value }) => value.new === true && of(part) === bolt);
    const entries = shared.journal.checksOf(path);
    lost = (bolt) => entries.filter(({ part }) => of(part) === bolt).length - answers.filter(({ part }) => of(part) === bolt).length;
    const isSaid = (bolt) => told.get(bolt) === lost(bolt) || (lost(bolt) === 0 && all.some(isNew));
    lacking = all.filter((bolt) => !isNew(bolt));
    const bolt = of(big.id);
    const needs = Boolean(check.asks_new) && !isNew(bolt);
    const again = needs && lost(bolt) > 0;
    show(node, needs && !(lost(bolt) === 0 && all.some(isNew)));
    box.update({ label: again ? W.newAgain(lacking.length) : W.newIn(all.length) });
    box.box.checked = isSaid(bolt);
    sayOrHide(note, again ? W.reuseAgain : '');
    return { asks: needs && !isSaid(bolt), say: needs };
  };
  return { node, update };
};

const pullOf = ({ fastener }, id) => (fastener === 'critical' ? id.split('.')[0] : 'all');

// True if the bolt at work waits for its angle, after a pull that was saved.
const isHalf = (check, plain, big) => {
  const of = boltOf(check);
  const own = plain.filter(({ id }) => of(id) === of(big.id));
  const before = own.slice(0, own.indexOf(big));
  return check.fastener === 'critical' && big.kind === 'angle' && !big.kept && before.some(({ kept }) => kept);
};

/** tighten({step, sheet, send, takeBack}) -> {node, update(view)}. */
export const tighten = ({ step, sheet, send, takeBack }) => {
  const { check } = step;
  const about = sheet.values[check.value];
  const of = boltOf(check);
  const points = fitting(about, check);
  const oneByOne = isOneByOne(check);
  let view = null;
  const redraw = () => draw();
  const wrench = hasWrenches(sheet) ? wrenchInHand({ sheet, about, onChange: redraw }) : null;
  const fresh = newBolts({ check, onChange: redraw });
  const mark = markAsk({ takeBack, onChange: redraw });
  const early = make('p', { class: 'warn', role: 'alert' });
  const picture = points && !oneByOne ? boltPicture({ points, order: about.order ?? [] }) : null;
  let refusal = null;
  let saysNew = false;
  const keep = (id, value) => {
    const cannotBe = value.set && !isPull(sheet, check, value) ? W.cannotSet(value.set) : null;
    const words = refusal ?? cannotBe;
    return words ? { kept: false, words } : send(id, saysNew ? { ...value, new: true } : value);
  };
  const parts = partsCheck({
    kind: 'tighten', send: keep, onChoose: redraw,
    above: [mark.node, ...wrench?.nodes ?? [], fresh.node, early], below: [picture].filter(Boolean),
    map: points && oneByOne ? boltMap({ points, kind: 'tighten' }) : null,
  });
  const draw = () => {
    const { seen, off, kept, shared } = view;
    const value = shared.state.values[check.value] ?? {};
    const plain = check.parts.map((part) => ({
      ...part, kept: kept(part.id), pull: pullOf(check, part.id), target: part.target ?? value.text ?? '',
    }));
    const big = parts.big(plain);
    const given = seen.answers.findLast(({ kind, value: one }) => kind === 'check' && one.set);
    const setting = wrench?.update({ pull: big, value, shared, given }) ?? null;
    const { asks, say } = fresh.update({ big, seen, shared, path: step.path });
    const first = plain.find(({ kept: id, pull }) => !id && pull === big.pull);
    const isEarly = oneByOne && about?.order?.length > 0 && !big.kept && first && first !== big;
    sayOrHide(early, isEarly ? W.outOfOrder(numberOf(first.id), numberOf(big.id)) : '');
    const waits = mark.update({
      big, half: isHalf(check, plain, big), back: shared.back, once: about?.reuse === 'no',
      parts: plain.filter(({ id, kept: one }) => one && of(id) === of(big.id)).map(({ id }) => id),
    });
    refusal = setting?.refusal ?? (asks ? W.newFirst : null);
    saysNew = say;
    parts.update({
      off: off || waits,
      parts: plain.map((part) => {
        const isSame = part.target === big.target && setting;
        const plainly = { figure: said(part.target), value: part.target ? { set: part.target } : {} };
        return { ...part, ...isSame ? { figure: setting.figure, value: setting.value } : plainly };
      }),
    });
  };
  const update = (next) => {
    view = next;
    draw();
  };
  return { node: parts.node, update };
};
