"""What the things of a job are called: its steps, values, items, people and phones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, tzinfo
from typing import Any

from generator.history.words import day, figure, initials, quoted, text_of, units_said, when
from generator.journal.entries import NO_SHEET, Entry
from generator.journal.figures import typed_in
from generator.journal.fold import State
from generator.journal.record import Record
from generator.quantities.dates import zone_of
from generator.quantities.people import person
from generator.quantities.told import ground, told
from generator.richtext import which_of
from generator.tables import trade_of


@dataclass
class Book:
    """Names for one job. Steps are numbered as on the phone, entries from 1 in the order of the journal."""

    record: Record
    state: State
    numbers: dict[str, int] = field(default_factory=dict)  # id -> number of the entry; if two have one id, of the first
    phones: dict[str, int] = field(default_factory=dict)  # device -> its number here
    zone: tzinfo = UTC
    clocks: str = "UTC"  # which clocks show the times

    def __post_init__(self) -> None:
        for number, entry in enumerate(self.record.entries, 1):
            self.numbers.setdefault(entry["id"], number)
            self.phones.setdefault(entry["device"], len(self.phones) + 1)
        self.sheet = self.record.sheets.get(self.state["sheet"] or "", NO_SHEET)
        self.trade = trade_of(self.sheet)
        self.steps = {step["path"]: step for step in self.sheet["steps"]}
        self._at = {path: str(at) for at, path in enumerate(self.steps, 1)}
        self._at |= {path: f"+{at}" for at, path in enumerate(self.state["extras"], 1)}
        self._older = {
            mark: {step["path"]: step for step in sheet["steps"]} for mark, sheet in self.record.sheets.items()
        }
        self.readings = self.sheet["readings"] if "results" in self.sheet else {}
        stated = self.sheet["shop"].get("time_zone") or ((self.state["job"] or {}).get("local") or {}).get("time_zone")
        zone = zone_of(stated)
        if zone is not None:
            self.zone, self.clocks = zone, f"the time zone {stated}"
        elif stated:
            self.clocks = f"UTC, because the time zone {quoted(stated)} is not known here"
        self.people = {person(one["initials"]): one for one in self.sheet["shop"]["people"]}

    def when(self, at: Any) -> str:
        """Return a phone's time as the shop's clocks show it. Where nobody says which these are, it is in UTC."""
        return when(at, self.zone)

    def home(self, path: str) -> str:
        """Return where a step stands in the worksheet in use. It may have moved."""
        if path in self.state["steps"]:
            return path
        return next((step["path"] for step in self.sheet["steps"] if path in step["was"]), path)

    def step(self, path: Any) -> str:
        """Return `step 12 (tensioner/pin)`, to mention a step."""
        where = self.home(path) if isinstance(path, str) else ""
        return f"step {self._at[where]}" if where in self._at else f"step {quoted(path)}"

    def title(self, path: str) -> str:
        """Return `12 Pull the pin.`, the heading above what was done to a step."""
        return f"{self._at.get(path, '-')} {self.do(path)}"

    def spans(self, paths: Iterable[str]) -> str:
        """Return `steps 64 to 70, 72`: the numbers of steps that are in the order of work."""
        spans: list[list[str]] = []
        for number in (self._at.get(path, path) for path in paths):
            follows = spans and number.isdigit() and spans[-1][-1].isdigit() and int(number) == int(spans[-1][-1]) + 1
            if follows:
                spans[-1].append(number)
            else:
                spans.append([number])
        said = [f"{span[0]} to {span[-1]}" if len(span) > 2 else ", ".join(span) for span in spans]
        return f"step{'s' if len(spans) > 1 or len(spans[0]) > 1 else ''} {', '.join(said)}"

    def do(self, path: str) -> str:
        """Return what the step says to do, or the label of an extra."""
        extra = self.state["extras"].get(path)
        if extra:
            took_off = extra["kind"] == "took-off"
            return f"{'Taken off besides' if took_off else 'Extra work'}: {quoted(extra['value'].get('label'))}"
        step = self.steps.get(path) or next((older[path] for older in self._older.values() if path in older), None)
        said = which_of(step.get("which")) + self._rich(step.get("do"), 0) if step else ""
        return " ".join(text_of(units_said(said)).split()) or text_of(path)

    def _rich(self, tree: Any, depth: int) -> str:
        if isinstance(tree, str):
            return tree
        if isinstance(tree, list) and depth < 20:
            return "".join(self._rich(node, depth + 1) for node in tree)
        if isinstance(tree, dict) and isinstance(tree.get("v"), str):
            return self._known(tree["v"])
        return self._rich(tree.get("c"), depth + 1) if isinstance(tree, dict) else ""

    def _known(self, name: str) -> str:
        """Return what a name stands for now, or its label in brackets."""
        value, reading = self.state["values"].get(name), self.state["readings"].get(name)
        if value and not value["missing"]:
            return figure(value["number"], value["unit"]) if value["text"] is None else text_of(value["text"])
        if reading:
            return figure(reading["number"], reading["unit"])
        return self.result(name) or f"[{self.label(name)}]"

    def label(self, name: Any) -> str:
        """Return the label of a value, a reading or a result."""
        if isinstance(name, str):
            results = {one["name"]: one for one in self.sheet.get("results", [])}
            for named in (self.sheet["values"], self.readings, results, self.sheet.get("givens", {})):
                if name in named:
                    return text_of(named[name].get("label")) or name
        return quoted(name)

    def item(self, name: Any) -> str:
        items = self.state["items"]
        return text_of(items[name].get("label")) or name if isinstance(name, str) and name in items else quoted(name)

    def need(self, section: str, name: Any) -> str:
        """Return the label of something in the preparation. For a value, its own label."""
        listed = self.sheet["needs"].get(section)
        if isinstance(listed, dict) and isinstance(name, str) and isinstance(listed.get(name), dict):
            return text_of(listed[name].get("label")) or name
        return self.label(name) if section == "values" else quoted(name)

    def result(self, name: str) -> str | None:
        """Return a result in the worksheet's unit. None while it is not known."""
        given = next((one for one in self.sheet.get("results", []) if one["name"] == name), None)
        now = self.state["results"].get(name)
        if given is None or now is None or now["base"] is None:
            return None
        base, unit = now["base"], self.sheet["units"].get(given["unit"])
        if given["kind"] == "date":
            return day(round(base))
        if unit is None and not isinstance(base, bool):
            return text_of(base)
        typed = typed_in(self.sheet, self.state["readings"], self.state["values"])
        said = told(name, given["unit"], ground(self.sheet, self.state["results"], typed)) or ""
        return said if isinstance(base, bool) else figure(said, given["unit"])

    def outcome(self, step: str, name: str) -> str:
        outcomes = self.check(step, "inspect").get("outcomes", [])
        return next((text_of(one.get("label")) for one in outcomes if one["name"] == name), name) or name

    def part(self, step: str, part: str) -> str:
        parts = self.check(step, "tighten").get("parts", [])
        return next((text_of(one.get("label")) for one in parts if one["id"] == part), "") or text_of(part)

    def check(self, path: str, kind: str) -> Mapping[str, Any]:
        """Return the check-off of a step, or nothing if it is of another kind."""
        step = self.steps.get(self.home(path))
        return step["check"] if step and step["check"]["kind"] == kind else {}

    def target(self, step: str, part: str) -> str:
        """Return the torque that the worksheet asks of a pull, or ""."""
        parts = self.check(step, "tighten").get("parts", [])
        return next((units_said(text_of(one.get("target"))) for one in parts if one["id"] == part), "")

    def expected(self, step: str, part: str) -> str:
        """Return the band in which the worksheet expects a figure of this step, or ""."""
        check = self.check(step, "wait" if part else "measure")
        watched = check.get("watch") or {}
        reading = self.readings.get(watched.get(part, "") if part else check.get("reading", ""))
        if not reading or (reading.get("from") is None and reading.get("to") is None):
            return ""
        low, high, unit = reading.get("from"), reading.get("to"), reading["unit"]
        if low is None or high is None:
            return f"from {figure(low, unit)}" if high is None else f"up to {figure(high, unit)}"
        return f"{day(low) if unit == 'date' else text_of(low)} to {figure(high, unit)}"

    def wrench(self, name: Any) -> str:
        """Return `Click wrench 20 to 100, calibration due 2026-09-30`."""
        wrench = self.sheet.get("wrenches", {}).get(name) if isinstance(name, str) else None
        if not wrench:
            return f"wrench {quoted(name)}"
        due = wrench.get("due", "")
        said = f", calibration due {due}" if due else ", no calibration date" if due is None else ""
        return f"{text_of(wrench['label'])}{said}"

    def number(self, id_: Any) -> str:
        """Return the number of an entry as `#12`, or its id if it is not in the file."""
        return f"#{self.numbers[id_]}" if isinstance(id_, str) and id_ in self.numbers else f"{quoted(id_)} (not here)"

    def by(self, entry: Entry) -> str:
        """Return who made an entry, and on which phone if there are several."""
        phone = f" phone {self.phones[entry['device']]}" if len(self.phones) > 1 else ""
        return f"{initials(entry['who'])}{phone}"
