// The wrench in the hand: which of the shop's reach the torque, what is odd about the one that is chosen, and an adapter.

import { bestFirst, exactly, isOverdue, isUndated, pullOf, settingsFor, toleranceAt } from '../../quantities/torque.js';
import { W, dateText, said, unitSaid } from '../../words/words.js';
import { field } from '../common/form.js';
import { fold, make, say, sayOrHide, show } from '../common/nodes.js';
import { adapterBox } from './adapter.js';

/** The worksheet's arithmetic of wrenches; one made before there was any has none. */
export const hasWrenches = (sheet) => Boolean(sheet.torque && sheet.wrenches && sheet.units);

// As it was read on the phone; else as the worksheet gives it.
const toleranceOf = (target, about, { margin, number, unit }, sheet) => {
  const isRead = number !== null && number !== undefined;
  return toleranceAt(target, { margin: margin ?? about.margin, number: isRead ? { number, unit } : about.number }, sheet);
};

const labelOf = (sheet, { wrench, inside, number }, now) => {
  const one = sheet.wrenches[wrench];
  const odd = [
    isOverdue(one, now, sheet.shop.time_zone) && W.overdueShort, isUndated(one) && W.undatedShort, number !== null && !inside && W.noMarkShort,
  ].filter(Boolean);
  return odd.length ? `${one.label} (${odd.join(', ')})` : one.label;
};

// What is odd about the wrench that is chosen, or that there is none.
const oddOf = (settings, one, target, { sheet, now }) => {
  if (!settings.length) return Object.keys(sheet.wrenches).length ? W.noWrench(target) : W.noWrenches(target);
  const { label, due } = sheet.wrenches[one.wrench];
  return [
    isOverdue({ due }, now, sheet.shop.time_zone) && W.overdue(label, dateText(due)),
    isUndated({ due }) && W.undated(label),
    one.number !== null && !one.inside && W.noMark(label, target),
  ].filter(Boolean).join(' ');
};

const adapterSays = (one, torque, { sheet, adapter }) => {
  if (adapter.isHalf()) return adapter.wrong() ?? W.adapterHalf;
  if (!adapter.given()) return '';
  if (!one) return W.adapterBeyond;
  if (one.setting === null) return adapter.leverOf(one.wrench) === null ? W.adapterLever : W.adapterNoSetting;
  const { unit } = sheet.wrenches[one.wrench];
  return W.adapterGives(`${exactly(one.setting, unit, sheet)} ${unitSaid(unit)}`, `${torque.number} ${unitSaid(torque.unit)}`);
};

// What to set on it, as it is read and as an answer says it; or why that cannot be kept.
const answerOf = (one, torque, about) => {
  const { sheet, adapter } = about;
  const wrong = adapter.isHalf() || (adapter.given() && (!one || one.number === null));
  if (wrong) return { figure: W.notYet, value: {}, refusal: adapterSays(one, torque, about) };
  if (!one) return null;
  const { unit } = sheet.wrenches[one.wrench];
  const worn = adapter.given() && { adapter: { ...adapter.given(), lever: adapter.leverOf(one.wrench) } };
  return {
    figure: `${one.text} ${unitSaid(unit)}${said(torque.then)}`,
    value: { set: `${one.text} ${unit}${torque.then}`, wrench: one.wrench, ...worn },
    refusal: null,
  };
};

/**
 * wrenchInHand({sheet, about, onChange}) -> {nodes, update({pull, value, shared, given})}. pull: {target, kind} of
 * the part at work; value: its state, as it was read; given: the step's last answer. update gives {figure, value,
 * refusal}: what to set, as it is read; what an answer says; why it cannot be kept.
 */
export const wrenchInHand = ({ sheet, about, onChange }) => {
  const which = field({ name: 'wrench', label: W.wrench, type: 'select', options: [] });
  const odd = make('p', { class: 'warn', role: 'status' });
  const adapter = adapterBox({ sheet, onChange });
  const line = make('span');
  const box = fold({ class: 'wrench-box' }, line, make('div', { class: 'inside' }, which.node, adapter.node));
  let shared = null;
  which.box.addEventListener('change', () => {
    shared.hand.wrench = which.value();
    onChange();
  });

  const offered = (torque, value) => {
    const tolerance = toleranceOf(torque.base, about, value, sheet);
    const pull = { target: torque.base, tolerance, adapter: adapter.given(), leverOf: adapter.leverOf };
    return bestFirst(settingsFor(pull, sheet), { unit: torque.unit, sheet, now: shared.now });
  };
  // The one that was chosen stays in the hand while it reaches; else the best.
  const chosen = (settings) => settings.find(({ wrench }) => wrench === shared.hand.wrench) ?? settings[0] ?? null;

  const hide = () => {
    for (const node of [box, odd]) show(node, false);
    return null;
  };
  let isFresh = true;
  const update = ({ pull, value, shared: next, given }) => {
    shared = next;
    const torque = hasWrenches(sheet) && pull.kind !== 'angle' ? pullOf(pull.target, sheet.units) : null;
    if (!torque) return hide();
    if (isFresh && given?.value.adapter) adapter.restore(given.value.adapter, given.value.wrench);
    isFresh = false;
    const settings = offered(torque, value);
    const one = chosen(settings);
    which.update({ options: settings.map((each) => ({ value: each.wrench, label: labelOf(sheet, each, shared.now) })) });
    if (one) which.box.value = one.wrench;
    show(which.node, settings.length > 0);
    sayOrHide(odd, adapter.given() && !one ? '' : oddOf(settings, one, said(pull.target), { sheet, now: shared.now }));
    adapter.update({ wrench: one?.wrench ?? null, says: adapterSays(one, torque, { sheet, adapter }) });
    show(box, Object.keys(sheet.wrenches).length > 0);
    say(line, W.wrenchLine(one && sheet.wrenches[one.wrench].label, adapter.given()));
    return answerOf(one, torque, { sheet, adapter });
  };
  return { nodes: [box, odd], update };
};
