"""A tech who works through a worksheet by its own rules, in Python, for tests of whole jobs and random walks."""

from __future__ import annotations

import copy
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

from generator.journal.fold import State, judge, legal
from generator.journal.view import qualified_of
from tests.support import good_day
from tests.support.journals import Entry, Phone, digest_of

START = datetime(2026, 11, 2, 7, 30, tzinfo=UTC)
SECTIONS = ("parts", "tools", "consumables", "one_time", "values")
SOURCE = {"document": "Shop's copy of the maker's book", "where": "page 12"}


class StandsStill(AssertionError):
    """A good answer that does not close its step. `path` names the step."""

    def __init__(self, path: str, state: dict[str, Any]) -> None:
        super().__init__(f"{path} stands still: {state}")
        self.path = path


class NotOnAGoodDay(AssertionError):
    """A step that a good day does not come to."""


class Walker:
    """One job on one phone. `state` is what the screen shows after each tap."""

    def __init__(
        self, sheet: dict[str, Any], rng: Random | None = None, figures: dict[str, good_day.Figure] | None = None
    ) -> None:
        self.sheet, self.rng = sheet, rng or Random(1)
        self.figures = good_day.figures(sheet) if figures is None else figures
        self.steps = {step["path"]: step for step in sheet["steps"]}
        self.sheets = {digest_of(sheet): sheet}
        self.phone = Phone(self.rng, "phone-1", sheet)
        self.now = START
        self.tap("start", value={"number": "1", "vehicle": "x", "odometer": good_day.ODOMETER, "role": "tech"})

    def copy(self) -> Walker:
        """Return a copy of this job, to go on from here in another way. The worksheet is shared."""
        return copy.deepcopy(self, {id(one): one for one in (self.sheet, self.steps, self.sheets, self.figures)})

    @property
    def entries(self) -> list[Entry]:
        return self.phone.view.entries

    def judged(self) -> State:
        return judge(self.phone.view, self.sheets)

    def tap(self, kind: str, **fields: Any) -> None:
        self.now += timedelta(seconds=40)
        self.phone.write(kind, self.now, **fields)
        self.state = self.judged()

    def legal(self, path: str) -> dict[str, Any]:
        return legal(self.state, self.sheet, path)

    def person(self, who: str) -> None:
        self.phone.who = who

    def prepare(self) -> None:
        for section in SECTIONS:
            self.tap("confirm", part=section, value={"except": []}, seen=self.phone.sees("", f"confirm:{section}"))

    def fill(self, name: str) -> None:
        """Type a missing value with its source. A second person reads it again if the worksheet asks for that."""
        kind = self.sheet["values"][name]["kind"]
        numbers = {"torque": (21, "N.m"), "time": (2, "min"), "count": (2, "turns")}
        number, unit = numbers.get(kind, (None, None))
        said = {"text": "as the book says"} if number is None else {"number": number, "unit": unit}
        self.tap("read", part=name, value={**said, "source": SOURCE}, seen=self.phone.sees("", f"value:{name}"))
        if "waits" in self.state["values"][name]:
            again = {**said, "source": SOURCE, "second": {"self": False}}
            self.tap("read", part=name, value=again, seen=self.phone.sees("", f"value:{name}"), who="ZZ")

    def good(self, path: str, part: str = "") -> dict[str, Any]:
        """Return what a good day answers: the first outcome that does not fail, and figures that pass."""
        check = self.steps[path]["check"] if path in self.steps else {"kind": "tick"}
        fails_not = [outcome["name"] for outcome in check.get("outcomes", []) if not outcome["fails"]]
        answers: dict[str, dict[str, Any]] = {
            "tick": {},
            "inspect": {"outcome": fails_not[0]} if fails_not else {},
            "turn": {},
            "tighten": {"set": "as shown", **({"new": True} if check.get("asks_new") else {})},
            "measure": self._figure(check.get("reading")),
            "wait": self._figure((check.get("watch") or {}).get(part)),
            "photo": {"kept_at": "job folder"},
            "sign": {"self": False},
        }
        return answers[check["kind"]]

    def _figure(self, reading: str | None) -> dict[str, Any]:
        """Return what a reading shows, or nothing for a wait that is not watched."""
        if reading is None:
            return {}
        number, unit = self.figures[reading]
        return {"number": number, "unit": unit}

    def answer(self, path: str, part: str, value: dict[str, Any] | None = None) -> None:
        step = self.steps.get(path)
        if step and step["check"]["kind"] == "wait" and part == "end":
            self.now += timedelta(days=2)
        kind = "finish" if step and step["completion"] else "check"
        self.tap(kind, step=path, part=part, value=value or self.good(path, part), seen=self.phone.sees(path, part))

    def close(self, path: str) -> None:
        """Answer well everything that a step asks."""
        step = self.steps.get(path)
        for name in self.legal(path)["read"]:
            self.fill(name)
        who = self.phone.who
        if step and step["check"]["kind"] == "sign":
            self.person(self.signer(step))
        for part in list(self.state["steps"][path]["of"]) or [""]:
            self.answer(path, part)
        self.person(who)

    def signer(self, step: dict[str, Any]) -> str:
        """Return who signs: anybody else, or where it is asked for somebody who is qualified."""
        qualified = sorted(qualified_of(self.sheet) - {self.phone.who}) if step["check"].get("qualified") else []
        return qualified[0] if qualified else "ZZ"

    def take_off(self, kind: str) -> str:
        """Take off one thing more. Return the step that puts it right. It knows the gates passed so far."""
        gates = [path for path, step in self.steps.items() if step["gate"]]
        passed = [answer["id"] for path in gates for answer in self.state["steps"][path]["answers"]]
        self.tap("took-off", value={"label": "one more", "kind": kind, "count": 1}, seen=passed)
        return f"extra/{self.entries[-1]['id']}"

    def go_on(self, until: str | None = None) -> Walker:
        """Close one step after the other until the job is complete, or `until` is the step to do next.

        Raises StandsStill at a step that a good answer does not close.
        """
        while (path := self.state["next"]) is not None and path != until:
            if any(why["code"] == "ready" for why in self.state["steps"][path]["why"]):
                self.prepare()
                continue
            before = self.state["steps"][path]["state"]
            self.close(path)
            if self.state["steps"][path]["state"] == before:
                raise StandsStill(path, self.state["steps"][path])
        return self


_GONE: dict[str, dict[int, Walker]] = {}


def gone_to(sheet: dict[str, Any], until: str) -> Walker:
    """A good day up to a step, walked on from the furthest step walked before: a whole job takes seconds to walk.

    Raises NotOnAGoodDay for a step that a good day does not come to; the end of the job is never kept in its place.
    """
    gone = _GONE.setdefault(digest_of(sheet), {})
    at = [step["path"] for step in sheet["steps"]].index(until)
    before = max((one for one in gone if one <= at), default=None)
    if before != at:
        walker = (Walker(sheet) if before is None else gone[before].copy()).go_on(until)
        if walker.state["next"] != until:
            raise NotOnAGoodDay(f"a good day does not come to {until}")
        gone[at] = walker
    return gone[at].copy()
