"""What closes a step: which answers count, by kind of check-off and by way of leaving a step out.

The same table as site_overrides/phone/journal/answers.js. Only a sign looks at other steps.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, assert_never

from generator.canonical import canonical, in_order
from generator.journal.entries import Answer, Entry, Standing
from generator.quantities.dates import phone_ms
from generator.quantities.people import is_one_of, person
from generator.quantities.quantity import plainly, turns
from generator.sheet_types import CheckJson, StepJson, ValueJson
from generator.table_names import ClosedState, EntryKind
from generator.tables import SECONDS, row
from generator.worksheet import CheckKind

Values = dict[str, dict[str, Any]]
Verdict = ClosedState | Literal["failed"] | None


def said(text: Any) -> bool:
    """True if it is a text that is not blank."""
    return isinstance(text, str) and text.strip(" \t\r\n\xa0") != ""


def is_number(number: Any) -> bool:
    return isinstance(number, int | float) and not isinstance(number, bool)


def is_whole(number: Any, least: int) -> bool:
    return is_number(number) and number == int(number) and least <= number <= 9999


def value_state(
    given: ValueJson, reads: Standing, credible: Callable[[dict[str, Any]], bool] = lambda value: True
) -> tuple[dict[str, Any], list[Entry]]:
    """Return the state of a value, and the readings that do not count. `credible`: true if a reading is possible."""
    state = {"text": given["text"], "number": None, "unit": None, "source": given["source"], "missing": False}
    state |= {"not_published": False, "filled": False, "disputed": False}
    entries = [answer.entry for answer in reads.answers]
    if given["text"] is not None and (isinstance(given["source"], dict) or given["class"] == "clip"):
        return state, entries
    state |= {"text": None, "source": None, "missing": True, "disputed": reads.disputed}
    sound = [is_reading(entry["value"], given["class"]) and credible(entry["value"]) for entry in entries]
    inert = [entry for entry, counts in zip(entries, sound, strict=True) if not counts]
    if reads.disputed or inert or not entries:
        return state, inert
    return state | _reading(entries[0]["value"]) | {"missing": False, "filled": True}, []


def is_reading(value: dict[str, Any], fastener: str) -> bool:
    if value.get("not_published") is True:
        return fastener != "critical"
    source = value.get("source")
    has_source = isinstance(source, dict) and said(source.get("document")) and said(source.get("where"))
    return has_source and (said(value.get("text")) or (is_number(value.get("number")) and said(value.get("unit"))))


def _reading(value: dict[str, Any]) -> dict[str, Any]:
    number, unit = value.get("number"), value.get("unit")
    both = is_number(number) and said(unit)
    text = value["text"] if said(value.get("text")) else f"{canonical(number)} {unit}" if both else None
    margin = value.get("margin")
    off = isinstance(margin, dict) and is_number(margin.get("number")) and isinstance(margin.get("unit"), str)
    return {
        **({"sure": True} if value.get("sure") is True else {}),
        **({"margin": {"number": margin["number"], "unit": margin["unit"]}} if off else {}),  # type: ignore[index]
        "text": text,
        "number": number if both else None,
        "unit": unit if both else None,
        "source": value.get("source") if value.get("not_published") is not True else None,
        "not_published": value.get("not_published") is True,
    }


def wait_seconds(check: CheckJson, values: Values) -> float | None:
    """Return how long a wait lasts: from the worksheet, or as it was read on the phone. None while unknown."""
    if check["seconds"] is not None:
        return float(check["seconds"])
    read = plainly(values.get(check["value"], {}).get("text") or "")
    seconds = row(SECONDS, read.unit) if read else None
    return read.figure * seconds if read and seconds else None


def turn_count(check: CheckJson, values: Values) -> int | None:
    if check["count"] is not None:
        return max(2, int(check["count"]))
    told = turns(values.get(check["value"], {}).get("text") or "")
    return None if told is None else max(2, told)


def parts_of(check: CheckJson, values: Values) -> list[str]:
    """Return the parts of a check-off, [""] if it is of one piece."""
    return rules_of(check["kind"]).parts(check, values)


def unmet_values(step: StepJson, classes: dict[str, str], values: Values, departs: set[str]) -> list[str]:
    """Return the values a step still lacks: critical ones that it uses, and what its check-off cannot do without."""
    check = step["check"]
    own = check.get("value", "")
    critical = {name for name in step["values"] if classes.get(name) == "critical"}
    if own and check.get("fastener") == "critical":
        critical.add(own)
    lacking = [name for name in critical if not _has_source(values.get(name))]
    if rules_of(check["kind"]).lacks(check, values, classes.get(own, ""), departs):
        lacking.append(own)
    return in_order(set(lacking))


def _has_source(state: dict[str, Any] | None) -> bool:
    return bool(state) and state["text"] is not None and state["source"] is not None  # type: ignore[index]


@dataclass(frozen=True)
class Ask:
    """What an answer to a step is judged against."""

    step: StepJson
    of: list[str]  # the parts of its check-off
    leads: set[str]
    unmet: list[str]
    held: list[str]  # results that stop it from being closed
    counts: Callable[[str, dict[str, Any]], bool] = lambda reading, value: True
    is_pull: Callable[[dict[str, Any]], bool] = lambda value: True  # true if a bolt can be set to it
    seconds: float | None = None
    looked_at: list[Entry] = field(default_factory=list)  # for a sign: the answers it signs
    starts: list[Entry] = field(default_factory=list)  # for the end of a wait
    elapsed: list[Entry] = field(default_factory=list)
    later: Callable[[Entry, Entry], bool] = lambda y, x: False
    despite: Callable[[Entry], bool] = lambda entry: True  # true if it says why it stands despite a bad figure
    is_new: Callable[[str, Entry], bool] = lambda part, entry: True  # true if the bolt of this part is said to be new
    permits: Callable[[Entry], bool] = lambda entry: False  # true if its writer can give the permit
    may_sign: Callable[[Entry], bool] = lambda entry: True  # true if its writer is one whom the signature asks for


def verdict(ask: Ask, answer: Answer, part: str) -> Verdict:
    """Return the state an answer gives its part: done, failed, skipped, refused, not-fitted. None: it has no effect."""
    rule = LEAVES.get(answer.kind)
    if answer.kind == "finish" and ask.held:
        return None
    if rule:
        return rule(ask, answer.entry["value"])
    if answer.kind != "check":
        return None
    if is_failure(ask.step["check"], answer.entry["value"]):
        return "failed"
    last = part == ask.of[-1]
    held = ask.unmet or (last and (ask.held or not ask.despite(answer.entry)))
    return "done" if not held and rules_of(ask.step["check"]["kind"]).counts(ask, answer.entry, part) else None


def is_failure(check: CheckJson, value: dict[str, Any]) -> bool:
    outcome = value.get("outcome")
    named = [o["fails"] for o in check.get("outcomes", []) if o["name"] == outcome]
    return bool(named[0]) if named else outcome == "failed"


def _measure(ask: Ask, entry: Entry, part: str) -> bool:
    return ask.counts(ask.step["check"].get("reading", ""), entry["value"])


def _inspect(ask: Ask, entry: Entry, part: str) -> bool:
    return any(outcome["name"] == entry["value"].get("outcome") for outcome in ask.step["check"]["outcomes"])


def _wait(ask: Ask, entry: Entry, part: str) -> bool:
    """An end counts if the start is on the same phone, or if somebody said how much time has passed."""
    taken = {at: reading for reading, at in _watched(ask.step["check"])}
    if taken and not ask.counts(taken.get(part, ""), entry["value"]):
        return False
    if part == "start":
        return True
    starts = [start for start in ask.starts if ask.later(entry, start)]
    if any(ask.later(word, start) and _long_enough(ask, word) for word in ask.elapsed for start in starts):
        return True
    return any(start["device"] == entry["device"] and _waited(ask, start, entry) for start in starts)


def _long_enough(ask: Ask, word: Entry) -> bool:
    seconds: Any = word["value"].get("seconds")
    return ask.seconds is not None and is_elapsed(word) and bool(seconds >= ask.seconds)


def is_elapsed(word: Entry) -> bool:
    return is_number(word["value"].get("seconds")) and said(word["value"].get("why"))


def _waited(ask: Ask, start: Entry, end: Entry) -> bool:
    began, ended = phone_ms(start["at"]), phone_ms(end["at"])
    return began is not None and ended is not None and ask.seconds is not None and ended - began >= ask.seconds * 1000


def _sign(ask: Ask, entry: Entry, part: str) -> bool:
    """True if the signer answered nothing of what is signed, or signs after a break, recorded as a self-check."""
    signer = person(entry["who"])
    if not isinstance(entry["value"].get("self"), bool) or not signer or not ask.may_sign(entry):
        return False
    if "permit" in ask.step["check"]:
        return ask.permits(entry)
    if not ask.looked_at:
        return False
    if all(person(answer["who"]) != signer for answer in ask.looked_at):
        return True
    signed, answered = phone_ms(entry["at"]), [phone_ms(answer["at"]) for answer in ask.looked_at]
    if not entry["value"]["self"] or signed is None:
        return False
    rest = ask.step["check"]["self_check_after"] * 1000
    return all(at is not None and signed - at >= rest for at in answered)


def asks_qualified(check: CheckJson) -> bool:
    """True for a signature that only somebody qualified gives. It is left out with the lead alone: nobody calls it not
    fitted, and no customer refuses it."""
    return check.get("qualified") is True


def _of_pull(check: CheckJson, values: Values, class_: str, departs: set[str]) -> bool:
    """True if a tightening lacks its figure. A clip needs none."""
    name = check["value"]
    known = _has_source(values.get(name)) or values.get(name, {}).get("not_published") or f"value:{name}" in departs
    return class_ != "clip" and not known


def _watched(check: CheckJson) -> list[tuple[str, str]]:
    watch = check.get("watch")
    return [(watch["start"], "start"), (watch["end"], "end")] if watch else []


def _whole(check: CheckJson, values: Values) -> list[str]:
    return [""]


def _nothing(check: CheckJson) -> list[tuple[str, str]]:
    return []


def _never(check: CheckJson, values: Values, class_: str, departs: set[str]) -> bool:
    return False


def _always(ask: Ask, entry: Entry, part: str) -> bool:
    return True


@dataclass(frozen=True)
class Rules:
    """How check-offs of one kind are judged. Every kind states all of it, so that nothing is forgotten."""

    parts: Callable[[CheckJson, Values], list[str]]  # its parts; [""] if it is of one piece
    in_turn: bool  # its parts are answered one after the other
    lacks: Callable[[CheckJson, Values, str, set[str]], bool]  # its own value is missing, so it can't be done
    takes: Callable[[CheckJson], list[tuple[str, str]]]  # its readings, each with the part that takes it
    counts: Callable[[Ask, Entry, str], bool]  # true if an answer closes its part


def _turns(check: CheckJson, values: Values) -> list[str]:
    return [str(turn) for turn in range(1, (turn_count(check, values) or 2) + 1)]


TICK = Rules(_whole, False, _never, _nothing, _always)
TIGHTEN = Rules(
    lambda check, values: [part["id"] for part in check["parts"]],
    False,
    _of_pull,
    _nothing,
    lambda ask, entry, part: ask.is_pull(entry["value"]) and ask.is_new(part, entry),
)
MEASURE = Rules(_whole, False, _never, lambda check: [(check["reading"], "")] if check.get("reading") else [], _measure)
INSPECT = Rules(_whole, False, _never, _nothing, _inspect)
WAIT = Rules(
    lambda check, values: ["start", "end"],
    True,
    lambda check, values, class_, departs: wait_seconds(check, values) is None,
    _watched,
    _wait,
)
TURN = Rules(_turns, True, lambda check, values, class_, departs: turn_count(check, values) is None, _nothing, _always)
PHOTO = Rules(_whole, False, _never, _nothing, lambda ask, entry, part: said(entry["value"].get("kept_at")))
SIGN = Rules(_whole, False, _never, _nothing, _sign)


def rules_of(kind: CheckKind) -> Rules:
    match kind:
        case "tick":
            return TICK
        case "tighten":
            return TIGHTEN
        case "measure":
            return MEASURE
        case "inspect":
            return INSPECT
        case "wait":
            return WAIT
        case "turn":
            return TURN
        case "photo":
            return PHOTO
        case "sign":
            return SIGN
        case _ as never:
            assert_never(never)


def _skip(ask: Ask, value: dict[str, Any]) -> Verdict:
    allowed = {"own": True, "lead": is_one_of(ask.leads, value.get("with"))}
    return "skipped" if said(value.get("reason")) and allowed.get(ask.step["leave"], False) else None


def _not_fitted(ask: Ask, value: dict[str, Any]) -> Verdict:
    may = ask.step["leave"] != "never" and not asks_qualified(ask.step["check"])
    return "not-fitted" if said(value.get("reason")) and may else None


def _refuse(ask: Ask, value: dict[str, Any]) -> Verdict:
    told = said(value.get("how")) and said(value.get("told_by"))
    may = ask.step["may_refuse"] and not asks_qualified(ask.step["check"])
    return "refused" if may and told else None


LEAVES: Mapping[EntryKind, Callable[[Ask, dict[str, Any]], Verdict]] = {
    "skip": _skip,
    "not-fitted": _not_fitted,
    "refuse": _refuse,
    "finish": lambda ask, value: "done" if ask.step["completion"] else None,
}
