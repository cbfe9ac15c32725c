"""What is in view: the worksheet in use, what was taken back, values and counts as they were read.

The same table as site_overrides/phone/journal/view.js.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Literal, Required, TypedDict

from generator.canonical import canonical, in_order
from generator.journal.answers import is_reading, is_whole, value_state
from generator.journal.duty import duty_text, wording_text
from generator.journal.entries import (
    NO_SHEET,
    Entry,
    Gathered,
    Standing,
    after,
    homes_of,
    of_job,
    standing_in_job,
    standing_in_step,
    texts_of,
    undone_of,
)
from generator.journal.limits import is_credible
from generator.journal.second import Readings, critical_values, second_look
from generator.sheet_types import ItemJson, RoleJson, StepJson, TradeJson, WorksheetJson
from generator.table_names import BlockingCode, SectionName
from generator.tables import SECTIONS, qualified_roles, trade_of

WhyCode = (
    BlockingCode | Literal["value", "result", "disturbed", "again", "duty", "doubt", "permit", "signer", "not-needed"]
)


class Why(TypedDict, total=False):
    """Why a step does not go, or is looked at again: docs/format.md, "Reasons"."""

    code: Required[WhyCode]
    step: str
    items: list[str]
    list: str
    section: SectionName
    name: str


NOTHING = {"text": None, "number": None, "unit": None, "source": None, "missing": True, "filled": False}


@dataclass
class View:
    gathered: Gathered
    sheets: dict[str, WorksheetJson]
    undone: set[int]
    digest: str | None = None
    sheet: WorksheetJson | None = None
    homes: dict[str, list[str]] = field(default_factory=dict)
    leads: set[str] = field(default_factory=set)
    classes: dict[str, str] = field(default_factory=dict)
    values: dict[str, dict[str, Any]] = field(default_factory=dict)
    read_by: dict[str, Entry] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    items: dict[str, dict[str, Any]] = field(default_factory=dict)
    steps: dict[str, dict[str, Any]] = field(default_factory=dict)
    readings: dict[str, dict[str, Any] | None] = field(default_factory=dict)
    results: dict[str, dict[str, Any]] = field(default_factory=dict)
    taken_by: dict[str, Entry] = field(default_factory=dict)  # reading or step:<path> -> the newest answer
    took_off: dict[str, Entry] = field(default_factory=dict)
    was_kinds: dict[str, list[ItemJson]] = field(default_factory=dict)  # thing -> what it was where it was opened
    pulls: dict[str, list[tuple[str, Entry]]] = field(default_factory=dict)  # step -> the answers that count, by part
    start: Entry | None = None  # the start that stands, with its corrections
    start_disputed: bool = False
    corrected: dict[str, dict[str, Any]] = field(default_factory=dict)  # field of the start -> its correction
    inert: set[int] = field(default_factory=set)
    departures: set[int] = field(default_factory=set)
    known_steps: dict[str, dict[str, StepJson]] = field(default_factory=dict)
    texts: dict[tuple[str, str], tuple[str, str]] = field(default_factory=dict)  # (sheet, path) -> duty, wording

    @property
    def trade(self) -> TradeJson:
        """Return the words of the trade of the worksheet in use."""
        return trade_of(self.sheet)

    def in_job(self, name: str) -> Standing:
        return standing_in_job(self.gathered, self.undone, name)

    def in_step(self, paths: list[str], name: str) -> Standing:
        return standing_in_step(self.gathered, self.undone, paths, name)

    def paths(self, step: str) -> list[str]:
        return self.homes.get(step, [step])

    def alive(self, entry: Entry) -> bool:
        return id(entry) not in self.undone

    def backs_on(self, paths: list[str], answer: Entry) -> list[Entry]:
        """Return the go-backs that still ask whether this answer was disturbed. `paths` are those of its step."""
        found = [back for path in paths for back in self.gathered.found("rest", path)]
        return [back for back in found if self._asks(back, answer)]

    def _asks(self, back: Entry, answer: Entry) -> bool:
        words = self.gathered.found("not-disturbed", back["id"])
        settled = any(after(word, back) and self.alive(word) for word in words)
        return self.alive(back) and not settled and back["id"] not in answer["seen"]

    def set_aside(self, entries: Iterable[Entry]) -> None:
        self.inert.update(id(entry) for entry in entries)

    def step_as_answered(self, entry: Entry) -> StepJson | None:
        """Return the step as it was on the worksheet that the entry was made on."""
        if entry["sheet"] not in self.known_steps:
            sheet = self.sheets.get(entry["sheet"])
            self.known_steps[entry["sheet"]] = {step["path"]: step for step in sheet["steps"]} if sheet else {}
        return self.known_steps[entry["sheet"]].get(entry["step"])

    def asks(self, digest: str, step: StepJson) -> tuple[str, str]:
        """Return what a step of a worksheet asks, and its wording: each as the digest together with the content."""
        key = (digest, step["path"])
        if key not in self.texts:
            duty, wording = duty_text(self.sheets[digest], step), wording_text(step)
            self.texts[key] = (f"{step['duty']} {duty}", f"{step['wording']} {wording}")
        return self.texts[key]

    def asked_otherwise(self, entry: Entry, step: StepJson) -> tuple[bool, bool]:
        """Tell whether duty and wording were different when the entry was made. `step` is of the worksheet in use."""
        old = self.step_as_answered(entry)
        if old is None or old is step or self.digest is None:
            return (old is not step, old is not step)
        then, now = self.asks(entry["sheet"], old), self.asks(self.digest, step)
        return (then[0] != now[0], then[1] != now[1])


def look(gathered: Gathered, sheets: dict[str, WorksheetJson], digest: str | None = None) -> View:
    """Return the job in view of the worksheet in use, or of another one by its digest."""
    view = View(gathered, sheets, undone_of(gathered))
    view.digest = digest or _digest_in_use(view)
    view.sheet = sheets.get(view.digest or "")
    view.homes = homes_of(view.sheet)
    if view.sheet:
        view.leads = _people_of(view.sheet, [role for role in view.trade["roles"] if role["leads"]])
        view.classes = {name: value["class"] for name, value in view.sheet["values"].items()}
        view.items = {name: {**item, "open": 0} for name, item in view.sheet["items"].items()}
    return view


def _people_of(sheet: WorksheetJson, roles: list[RoleJson]) -> set[str]:
    """Return the initials of the people who have one of these roles."""
    names = {role["name"] for role in roles}
    return {person["initials"] for person in sheet["shop"]["people"] if person["role"] in names}


def qualified_of(sheet: WorksheetJson) -> set[str]:
    """Return the initials of the people who may give a second look that asks for somebody qualified."""
    return _people_of(sheet, qualified_roles(trade_of(sheet)))


def _digest_in_use(view: View) -> str | None:
    """Return the newest adopted worksheet at hand; else an older adopted one, that of the start, that of any entry."""
    adopts = [entry for entry in view.gathered.found("slot", "", "sheet") if view.alive(entry)]
    unsound = [entry for entry in adopts if entry["value"].get("sheet") != entry["sheet"]]
    view.set_aside(unsound)
    heads = [answer.entry for answer in view.in_job("sheet").answers]
    starts = [answer.entry for answer in view.in_job("job").answers]
    for entries in (heads, adopts, starts, view.gathered.entries):
        at_hand = [e["sheet"] for e in entries if e["sheet"] in view.sheets and id(e) not in view.inert]
        if at_hand:
            return str(at_hand[-1])
    return None


def read_values(view: View) -> None:
    sheet = view.sheet or NO_SHEET
    critical = critical_values(sheet) if sheet.get("second_reader") else set()
    for name, given in sheet["values"].items():
        reads = view.in_job(f"value:{name}")
        credible = partial(is_credible, sheet.get("units", {}), given)
        view.values[name], inert = value_state(given, reads, credible)
        view.set_aside(inert)
        heads = [answer.entry for answer in reads.answers]
        if name in critical and view.values[name]["filled"] and not view.values[name]["not_published"]:
            _ask_second_reader(view, name, heads, credible)
        elif view.values[name]["filled"]:
            view.read_by[name] = heads[0]
    for item in view.items:
        read_count(view, item)


def _ask_second_reader(view: View, name: str, heads: list[Entry], credible: Callable[[dict[str, Any]], bool]) -> None:
    """Treat a value as unknown until somebody has read it again."""
    sheet = view.sheet or NO_SHEET
    fastener = sheet["values"][name]["class"]
    told = Readings(
        every=of_job(view.gathered, f"value:{name}"),
        undone=view.undone,
        pause=sheet["second_reader"],
        counts=lambda entry: is_reading(entry["value"], fastener) and credible(entry["value"]),
        asked=lambda entry: bool(view.sheets.get(entry["sheet"], sheet).get("second_reader")),
    )
    entry, said = second_look(told, heads)
    if "waits" in said:
        rest = {key: of for key, of in view.values[name].items() if key not in ("margin", "sure")}
        view.values[name] = {**rest, **NOTHING, **said}
    else:
        view.values[name] |= said
        view.read_by[name] = entry


def read_count(view: View, item: str) -> None:
    heads = [answer.entry for answer in view.in_job(f"count:{item}").answers]
    sound = [entry for entry in heads if is_whole(entry["value"].get("count"), 1)]
    view.set_aside(entry for entry in heads if entry not in sound)
    if sound:
        view.counts[item] = max(int(entry["value"]["count"]) for entry in sound)


def preparation(view: View) -> dict[str, dict[str, Any]]:
    return {section: _section(view, section) for section in SECTIONS}


def _section(view: View, section: str) -> dict[str, Any]:
    """Return the state of one list of the preparation. A confirmation counts for what was asked then."""
    needs = view.sheet["needs"].get(section) if view.sheet else None
    told = view.in_job(f"confirm:{section}")
    heads = [answer.entry for answer in told.answers]
    sound = [e for e in heads if isinstance(e["value"].get("except"), list) and same_needs(view, e, section)]
    view.set_aside(entry for entry in heads if not isinstance(entry["value"].get("except"), list))
    exceptions = in_order({name for entry in sound for name in texts_of(entry["value"]["except"])})
    agreed = bool(sound) and len(sound) == len(heads) and not told.returned
    return {"confirmed": agreed or (view.sheet is not None and not needs), "except": exceptions}


def same_needs(view: View, entry: Entry, section: str) -> bool:
    """True if the worksheet in use asks the same in this list as the entry's worksheet did."""
    then, now = view.sheets.get(entry["sheet"]), view.sheet
    if then is None or now is None:
        return False
    return then is now or canonical(then["needs"].get(section)) == canonical(now["needs"].get(section))
