// @ts-check
// The check-offs, one factory a kind: makeCheck({step, sheet, send}) -> {node, update(view)}. `send(part, value, who)`
// keeps an answer, takeBack(part, reason) takes it back. view: {step, seen, off, kept(part), legal, shared}; see step.js.

import { table } from '../../base/own.js';
import { isOneOf, person } from '../../journal/people.js';
import { W, answer, answeredSo, keptBy } from '../../words/words.js';
import { field } from '../common/form.js';
import { make, say, show } from '../common/nodes.js';
import { pressButton } from '../common/press.js';
import { leadsOf, qualifiedOf, qualifiedOthers, qualifiedRoles, tradeOf } from '../../journal/trade.js';
import { roleLabel, rolesSaid } from '../../words/trade.js';
import { otherPerson } from '../step/other_person.js';
import { measure } from './measure.js';
import { partsCheck } from './parts.js';
import { tighten } from './tighten.js';
import { wait } from './wait.js';

const answerOf = (seen, part = '') => seen.answers.find((one) => one.part === part);

const tick = ({ step, send, finish }) => {
  const { completion, check } = step;
  const button = pressButton({
    attrs: { 'data-check': 'tick', ...completion && { 'data-action': 'finish' } },
    hold: Boolean(check.hold_down),
    onPress: () => (completion ? finish() : send('', {})),
  });
  const node = make('div', {}, button.message, button.node);
  const update = ({ seen, off, kept }) => {
    const given = answerOf(seen);
    const label = completion ? W.finish : seen.state === 'recheck' ? W.again : W.done;
    button.update(kept('')
      ? { label: answeredSo(kept(''), completion ? W.finishedShort : W.done), sub: keptBy(given), kept: kept(''), off: true }
      : { label: check.hold_down ? `${W.hold}: ${label}` : label, off });
  };
  return { node, update };
};

const turn = ({ send }) => {
  const parts = partsCheck({ kind: 'turn', send });
  const update = ({ seen, off, kept }) => parts.update({
    off,
    parts: seen.of.map((id) => ({ id, label: W.turn(id, seen.of.length), kept: kept(id), pull: 'all', value: {} })),
  });
  return { node: parts.node, update };
};

const inspect = ({ step, send }) => {
  const buttons = step.check.outcomes.map(({ name, label, fails }) => ({
    name,
    label,
    button: pressButton({
      attrs: { 'data-check': 'inspect', 'data-outcome': name },
      look: fails ? 'outcome fails' : 'outcome',
      onPress: () => send('', { outcome: name }),
    }),
  }));
  const node = make('div', { class: 'controls' }, buttons.flatMap(({ button }) => [button.message, button.node]));
  const update = ({ seen, off, shared }) => {
    const standing = new Map(seen.answers.filter((one) => one.kind === 'check').map((one) => [one.value.outcome, one]));
    const fresh = seen.state !== 'recheck' && !seen.why.some(({ code }) => code === 'doubt');
    for (const { name, label, button } of buttons) {
      const given = fresh ? standing.get(name) : null;
      button.update(given
        ? { label: answeredSo(shared.saved.kept(given.id), label), sub: keptBy(given), kept: shared.saved.kept(given.id), off: true }
        : { label, off: off || seen.state === 'done' });
    }
  };
  return { node, update };
};

const photo = ({ step, send }) => {
  const box = field({ name: 'kept_at', label: W.keptAt });
  const button = pressButton({
    attrs: { 'data-check': 'photo' },
    onPress: () => (box.value() ? send('', { kept_at: box.value() }) : { kept: false, words: W.required(W.keptAt) }),
  });
  const node = make('div', {}, make('p', { class: 'ground' }, step.check.label), box.node, button.message, button.node);
  const update = ({ seen, off, kept, shared }) => {
    const given = answerOf(seen);
    box.update({ value: shared.journal.keptAt });
    show(box.node, !kept(''));
    button.update(kept('')
      ? { label: answeredSo(kept(''), answer(given)), sub: keptBy(given), kept: kept(''), off: true }
      : { label: W.photoTaken, off });
  };
  return { node, update };
};

// --- sign: another person, or oneself after a break -------------------------------------------------------------------

const lookedAt = ({ step, shared }) => step.check.of
  .flatMap((path) => shared.state.steps[path]?.answers ?? [])
  .filter(({ kind }) => kind === 'check' || kind === 'settle');

const SECOND_LOOK = { by: W.signBy, who: W.signWho, needs: W.signNeeds, same: W.signOther, as: W.signAs, note: () => W.notBy };

// A permit: whoever has the job, or works under it, cannot give it.
const PERMIT = {
  by: W.permitBy, who: W.permitWho, needs: W.permitNeeds, same: W.permitOther, as: W.permitAs,
  note: ({ alone }) => [W.permitNotBy, ...alone ? [W.permitAlone] : []].join(' '),
};

const barredFrom = (view) => {
  const { check } = view.step;
  if (check.permit === undefined) return { did: lookedAt(view) };
  const did = view.seen.not_by ?? [];
  const works = new Set(did.filter(({ work }) => work).map(({ who }) => person(who)));
  return { did, selves: check.alone ? did.filter(({ who }) => !works.has(person(who))) : [] };
};

// Who may sign where somebody qualified is asked for. Whoever did it signs only where nobody else on the list may.
const qualifiedFrom = (view) => {
  const { step: { check }, legal, shared: { sheet } } = view;
  const { did, selves = did } = barredFrom(view);
  const has = check.permit === undefined ? did : did.filter(({ work }) => !work);
  const may = qualifiedOthers(sheet, did);
  const alone = qualifiedOthers(sheet, has).length ? [] : selves.filter(({ who }) => isOneOf(qualifiedOf(sheet), who));
  const listed = sheet.shop.people.map(({ initials }) => initials);
  const about = { may, alone: [...new Set(alone.map(({ who }) => who))], canLeaveOut: legal.skip === 'lead' };
  const refused = (who, isBarred) => W.signRefused({ ...about, who, isBarred, isListed: isOneOf(listed, who) });
  const suffix = ({ role }) => ` (${roleLabel(role, tradeOf(sheet))})`;
  return { did, selves: alone, timed: selves, only: { may, suffix, refused }, said: W.qualifiedSay(about) };
};

const sign = ({ step, send }) => {
  const { permit } = step.check;
  const words = permit === undefined ? SECOND_LOOK : PERMIT;
  const other = otherPerson({ label: words.who, needs: words.needs, same: words.same, onChange: () => update(view) });
  const button = pressButton({
    attrs: { 'data-check': 'sign' },
    onPress: () => {
      const { words: lacking, who, self } = other.chosen();
      return lacking ? { kept: false, words: lacking } : send('', { self, ...permit !== undefined && { permit } }, who);
    },
  });
  const note = make('p', { class: 'small' }, words.note(step.check));
  const asked = make('strong');
  const by = make('p', {}, asked);
  const node = make('div', {}, permit === undefined ? null : make('p', {}, make('strong', {}, permit)), by, note, other.nodes, button.message, button.node);
  let view = null;
  const update = (next) => {
    view = next;
    const { seen, off, kept, shared } = view;
    const given = answerOf(seen);
    const isGiven = Boolean(kept(''));
    const { sheet, now } = shared;
    const isLimited = step.check.qualified === true;
    const { said, ...who } = isLimited ? qualifiedFrom(view) : { ...barredFrom(view), said: null };
    other.update({ ...who, after: step.check.self_check_after, people: sheet.shop.people, leads: leadsOf(sheet), now, gone: isGiven });
    show(by, isLimited && !isGiven);
    if (isLimited) say(asked, words.by(rolesSaid(qualifiedRoles(tradeOf(sheet)))));
    if (isLimited) say(note, said);
    show(note, !isGiven);
    button.update(isGiven
      ? { label: answeredSo(kept(''), permit === undefined ? answer(given) : W.permitGiven), sub: keptBy(given), kept: kept(''), off: true }
      : { label: words.as(other.name() || '…'), off });
  };
  return { node, update };
};

/** @type {Record<CheckKind, Function>} */
const CONTROLS = { tick, tighten, turn, measure, inspect, photo, wait, sign };
const KINDS = table(CONTROLS);

export const makeCheck = (about) => KINDS[about.step.check.kind](about);
