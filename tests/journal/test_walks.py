"""Whole jobs and random walks over the real worksheets: what must never happen does not, whatever is tapped.

The rules are checked from outside the fold: open things are counted again here, from the worksheet and the states.
"""

from __future__ import annotations

from functools import cache
from random import Random
from typing import Any

import pytest

from generator.canonical import canonical
from generator.journal.fold import State, fold
from tests.support import demo
from tests.support.walker import SECTIONS, SOURCE, Walker

TAPS = 7
LAYOUTS = ("inline-three", "inline-four", "flat-four", "vee-six")


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_good_day_ends_complete_with_nothing_open(layout):
    walker = Walker(demo.sheet(layout))
    walker.go_on()
    assert walker.state["complete"], walker.state["next"]
    assert walker.state["open"] == 0 and walker.state["inert"] == []
    states = {seen["state"] for seen in walker.state["steps"].values()}
    assert states == {"done", "hidden"}


@cache
def halfway() -> list[Any]:
    """Return everything a phone held after each tap of a good day on the inline four. The walks begin there."""
    walker = Walker(demo.sheet("inline-four"))
    snapshots = []

    class Noting(Walker):
        def tap(self, kind: str, **fields: Any) -> None:
            super().tap(kind, **fields)
            snapshots.append((self.phone.view, self.now))

    noting = Noting(walker.sheet)
    noting.go_on()
    return snapshots


def walk_from(seed: int) -> Walker:
    rng = Random(seed)
    walker = Walker(demo.sheet("inline-four"), rng)
    walker.phone.view, walker.now = rng.choice(halfway())
    walker.state = walker.judged()
    return walker


def some_step(walker: Walker) -> str:
    """Return a step, mostly near where the work is, sometimes anywhere."""
    order, here = walker.state["order"], walker.state["next"]
    if here is None or walker.rng.random() < 0.25:
        return str(walker.rng.choice(order))
    at = order.index(here)
    return str(order[max(0, min(len(order) - 1, at + walker.rng.randint(-3, 6)))])


def tick(walker: Walker) -> None:
    """Do a check that the screen offers, or one it would not offer. The entry is written in both cases."""
    path = some_step(walker)
    step = walker.steps.get(path)
    part = walker.rng.choice(walker.state["steps"][path]["of"] or [""])
    value = walker.good(path, part)
    if step and step["check"]["kind"] == "inspect":
        value = {"outcome": walker.rng.choice([o["name"] for o in step["check"]["outcomes"]])}
    if walker.rng.random() < 0.1:
        value = {"outcome": "failed", "note": "does not look right"}
    walker.answer(path, part, value)


def go_straight_on(walker: Walker) -> None:
    path = walker.state["next"]
    if path is not None and walker.legal(path)["check"]:
        walker.close(path)


def leave_out(walker: Walker) -> None:
    path, kind = some_step(walker), walker.rng.choice(["skip", "not-fitted", "refuse"])
    value = {"reason": "no time", "instead": "nothing", "with": walker.rng.choice(["RT", "KS", ""])}
    value |= {"how": "by phone", "told_by": "KS", "price": ""} if kind == "refuse" else {}
    walker.tap(kind, step=path, value=value, seen=walker.phone.sees(path, ""))


def take_back(walker: Walker) -> None:
    entry = walker.rng.choice(walker.entries)
    walker.tap("take-back", step=entry["step"], part=entry["part"], value={"reason": "slip"}, seen=[entry["id"]])


def read_badly(walker: Walker) -> None:
    name = walker.rng.choice(sorted(walker.sheet["values"]))
    value = walker.rng.choice(
        [{"number": 9, "unit": "N.m"}, {"not_published": True}, {"text": "x", "source": SOURCE}, {}]
    )
    walker.tap("read", part=name, value=value, seen=walker.phone.sees("", f"value:{name}"))


def took_off(walker: Walker) -> None:
    kind = walker.rng.choice(["pin", "locking-tool", "rag", "connector", "bolt"])
    walker.tap("took-off", value={"label": "one more", "kind": kind, "count": 1}, seen=[])


def go_back(walker: Walker) -> None:
    failed = [p for p, seen in walker.state["steps"].items() if seen["state"] == "failed" and walker.legal(p)["back"]]
    for path in failed[:1]:
        plan = walker.steps[path]["if_failed"]
        seen = [a["id"] for step in plan["disturbs"] for a in walker.state["steps"][step]["answers"]]
        value = {"to": plan["back_to"], "disturbs": plan["disturbs"], "rest": [], "reason": plan["when"]}
        walker.tap("back", step=path, value=value, seen=seen)


def count_again(walker: Walker) -> None:
    item = walker.rng.choice(sorted(walker.sheet["items"]))
    walker.tap(
        "count", part=item, value={"count": walker.rng.randint(0, 9)}, seen=walker.phone.sees("", f"count:{item}")
    )


def prepare_again(walker: Walker) -> None:
    section = walker.rng.choice(SECTIONS)
    walker.tap("confirm", part=section, value={"except": []}, seen=walker.phone.sees("", f"confirm:{section}"))


TAPPED = [tick] * 5 + [go_straight_on] * 3 + [leave_out, leave_out, take_back, read_badly, took_off, go_back]
TAPPED += [count_again, prepare_again]


def still_open_before(gate: dict[str, Any], sheet: dict[str, Any], state: State) -> list[str]:
    """Return what the gate asks for and earlier steps opened and did not close, counted without the fold's ledger."""
    left: dict[str, int] = {}
    for step in sheet["steps"]:
        if step["path"] == gate["path"]:
            break
        if state["steps"][step["path"]]["state"] == "done":
            for closing in step["closes"]:
                left[closing["what"]] = (
                    0 if closing["count"] is None else left.get(closing["what"], 0) - closing["count"]
                )
            for opening in step["opens"]:
                left[opening["what"]] = state["items"][opening["what"]]["count"]
    items, asked = sheet["items"], gate["gate"]
    held = {name for name, item in items.items() if item["kind"] in asked["kinds"] or item["list"] in asked["lists"]}
    return [name for name, count in left.items() if count > 0 and name in held]


def broken_rules(sheet: dict[str, Any], state: State) -> list[str]:
    wrong = []
    for step in sheet["steps"]:
        path, seen = step["path"], state["steps"][step["path"]]
        if step["gate"] and seen["state"] == "done" and still_open_before(step, sheet, state):
            wrong.append(f"gate {path} passed with {still_open_before(step, sheet, state)} open")
        if seen["state"] == "done" and step["check"].get("fastener") == "critical":
            value = state["values"][step["check"]["value"]]
            if not value["text"] or not value["source"]:
                wrong.append(f"critical {path} closed without value and source")
        if step["leave"] == "never" and seen["state"] in ("skipped", "not-fitted"):
            wrong.append(f"{path} left out, which nobody may")
    if state["complete"] and state["open"]:
        wrong.append("complete with something open")
    return wrong


def test_no_walk_passes_a_gate_with_something_open_or_a_critical_bolt_without_its_source(capsys, pytestconfig):
    passed = taps = 0
    walks = pytestconfig.getoption("walks")
    for seed in range(walks):
        walker = walk_from(seed)
        for _ in range(TAPS):
            walker.rng.choice(TAPPED)(walker)
            taps += 1
            assert broken_rules(walker.sheet, walker.state) == [], f"walk {seed}"
        passed += sum(
            bool(s["gate"]) and walker.state["steps"][s["path"]]["state"] == "done" for s in walker.sheet["steps"]
        )
        shuffled = list(walker.entries)
        walker.rng.shuffle(shuffled)
        assert canonical(fold(shuffled, walker.sheets)) == canonical(walker.state), f"walk {seed} reloads differently"
    with capsys.disabled():
        print(f"\n{walks} walks, {taps} turns, {passed} gates standing passed at their ends, no rule broken")
    assert passed > walks / 4, "walks that pass no gate prove nothing"


def test_the_walks_would_see_a_fold_that_passes_gates_too_early():
    """The same check from outside finds a gate that is wrongly done."""
    walker = Walker(demo.sheet("inline-four"))
    walker.go_on()
    state = {**walker.state, "steps": {p: dict(s) for p, s in walker.state["steps"].items()}}
    pin = next(s["path"] for s in walker.sheet["steps"] if any(c["what"] == "tensioner_pin" for c in s["closes"]))
    state["steps"][pin]["state"] = "skipped"
    assert any("tensioner_pin" in wrong for wrong in broken_rules(walker.sheet, state))
