"""Every known way the job fails, done on purpose: an honest tech meets it in time, a careless one walks past it.

    python -m tests.mistakes.sabotage.sabotage_harness            all of them
    python -m tests.mistakes.sabotage.sabotage_harness ROW ...    those of these failures
    python -m tests.mistakes.sabotage.sabotage_harness --keep     all, and the careless tech's list goes into the guide

The files beside this have a story of each row of failure_modes.yml: what is so at the car. It was written from the
failure's text alone. Beside it stands what somebody finds who knows the story and answers every step honestly, in the
order of the worksheet: an `answer`, a figure (`reads`, `unit`), or `leaves`, a step that cannot be ticked because it is
not true. It was written by somebody who had the steps and no row. Here the finds are played through the fold: the job
must take notice, by a step that fails or by anything else that a good answer would not change, and the first find that
does must stand before the row's latest place. The careless tech ticks everything, gives the first good-looking answer
and types the sheet's own figure, on each worksheet to its end. He gets past every row but those that somebody else
meets who signs a second look.

Where a row's stops are those of a question that prevents it, `until` is the step by which it can still be put right,
with the reason. The control plays the same answers on worksheets on which no answer fails and no result is judged: some
must go unnoticed there. Ends with 1 where a row is not met in time or has no story, where the guide's list is another
than the one found, or where the control notices as much. All of it is common practice, no source.
"""

from __future__ import annotations

import argparse
import copy
import html
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from generator.compile.failures import listed
from generator.model import FailureMode
from tests.mistakes.test_revealed import rows
from tests.sources.test_trade_rules import with_facts
from tests.support import demo, good_day
from tests.support.walker import START, NotOnAGoodDay, StandsStill, Walker, gone_to

STORIES = Path(__file__).parent
LIMITS = demo.ROOT / "docs/guide/limits.md"
LIST_BEGINS, LIST_ENDS = "<!-- careless: begin -->", "<!-- careless: end -->"
VARIANTS: dict[str, dict[str, str]] = {
    "keyless": {"crank_drive": "keyless", "proof_by": "tools"},
    "belts": {
        "injection_pump": "on-belt",
        "balance_belt": "fitted",
        "tensioner_bleed": "none",
        "cam_sprockets": "floating",
    },
}
"""Engines that the demo has not got: its inline four with other facts."""
CONTROL = 5  # one story in so many is played without a judge
NOT_DUE: dict[str, good_day.Figure] = {
    "last_change": ((START.date() - timedelta(days=100) - date(1970, 1, 1)).days, "date"),
    "last_odometer": (118000, "km"),
}
"""On a good day a belt is due. These are the figures of one that is not."""


@dataclass(frozen=True)
class Find:
    """What an honest tech would answer at a step other than on a good day."""

    step: str
    part: str = ""
    answer: str = ""
    reads: float | None = None
    unit: str = ""
    leaves: str = ""

    @property
    def value(self) -> dict[str, Any]:
        return {"outcome": self.answer} if self.answer else {"number": self.reads, "unit": self.unit}


@dataclass(frozen=True)
class Story:
    row: str
    engine: str
    story: str
    finds: tuple[Find, ...]
    until: str = ""
    why: str = ""


@cache
def stories() -> dict[str, Story]:
    """Return {row: story}. Raises TypeError for a key that no find has."""
    found = dict[str, Story]()
    for file in sorted(STORIES.glob("*.yml")):
        for one in yaml.safe_load(file.read_text()):
            story = Story(**{**one, "finds": tuple(Find(**find) for find in one["finds"])})
            assert story.row not in found and bool(story.until) == bool(story.why), story.row
            found[story.row] = story
    return found


@cache
def sheet_of(engine: str) -> dict[str, Any]:
    """Return the worksheet of a layout of the demo, or of a variant."""
    return with_facts("inline-four", **VARIANTS[engine]) if engine in VARIANTS else demo.sheet(engine)


# --- The honest tech -------------------------------------------------------------------------------------------------


def latest(row: FailureMode, sheet: Mapping[str, Any]) -> int:
    """Return the position of the step by which the failure must have been met: the first of the row's stops that this
    worksheet has, at its last place (a vee has one for each bank). Without one it is the end.

    A row that rests on a tick with a reason cannot be seen there: its step opens something, and the next gate waits.
    """
    places = [
        max(at for at, step in enumerate(sheet["steps"]) if of(step, name))
        for name in listed(row.before)
        if any(of(step, name) for step in sheet["steps"])
    ]
    end = min(places, default=len(sheet["steps"]))
    if not all(way.because for way in row.ways):
        return end
    return next((at for at, step in enumerate(sheet["steps"]) if step["gate"] and at >= end), len(sheet["steps"]))


def of(step: Mapping[str, Any], landmark: str) -> bool:
    """True if this step is the landmark, of the only belt or of either bank."""
    return step["landmark"] in (landmark, f"{landmark}-left")


@dataclass(frozen=True)
class Met:
    """How a story went: where it was met first, and why not, in words."""

    story: Story
    at: int | None = None
    before: int = 0
    wrong: str = ""


def played(story: Story, row: FailureMode, sheet: dict[str, Any]) -> Met:
    """Answer the story's steps on its worksheet, in their order, until the job takes notice."""
    order = {step["path"]: at for at, step in enumerate(sheet["steps"])}
    unknown = [find.step for find in story.finds if find.step not in order]
    if unknown:
        return Met(story, wrong=f"no step {', '.join(unknown)}")
    end, walker = order[story.until] if story.until else latest(row, sheet), None
    for find in sorted(story.finds, key=lambda find: order[find.step]):
        try:
            walker = there(walker, sheet, find.step)
        except StandsStill as still:
            return met(story, order[still.path], end)
        if walker is None:
            return Met(story, wrong=f"{find.step} is not asked after what was found before it")
        at = find.step if find.leaves else noticed(walker, find)
        if at:
            return met(story, order[at], end)
        walker.answer(find.step, find.part, find.value)
    if not story.finds and all(way.prevented_by for way in row.ways):
        return Met(story)  # a caution read before the step, or the order of the steps, is all there is
    return Met(story, wrong="nobody finds it" if not story.finds else "the job takes no notice")


def met(story: Story, at: int, end: int) -> Met:
    return Met(story, at, end, "" if at < end else "met after its latest place")


def there(walker: Walker | None, sheet: dict[str, Any], path: str) -> Walker | None:
    """Return a job that stands before this step, or None if it does not come to it. Raises StandsStill where an earlier
    find holds the job up."""
    if walker is None:
        try:
            return gone_to(sheet, path)
        except NotOnAGoodDay:
            return None
    return walker if walker.go_on(path).state["next"] == path else None


def noticed(walker: Walker, find: Find) -> str | None:
    """Return the step at which the job stands otherwise than after a good answer: this one, or the next that shows a
    result of its figure. None if there is none."""
    found, good = walker.copy(), walker.copy()
    for one in (found, good):
        one.figures = {**one.figures, **NOT_DUE}
    found.answer(find.step, find.part, find.value)
    good.answer(find.step, find.part)
    if stand(found) != stand(good):
        return find.step
    told = told_at(walker.sheet, find.step)
    if told is None:
        return None
    try:
        for one in (found, good):
            one.go_on(told)
            one.close(told)
    except StandsStill as still:
        return still.path
    return told if stand(found) != stand(good) else None


def told_at(sheet: Mapping[str, Any], path: str) -> str | None:
    """Return the next step that shows a result of what is read at this one, if there is any."""
    at = next(at for at, step in enumerate(sheet["steps"]) if step["path"] == path)
    of = {sheet["steps"][at]["check"].get("reading")}
    for _ in sheet["results"]:  # a result of a result as well
        of |= {result["name"] for result in sheet["results"] if of & {*result["inputs"]}}
    return next((step["path"] for step in sheet["steps"][at + 1 :] if of & {*step["shows"]}), None)


def stand(walker: Walker) -> Any:
    """Return how a job stands, without what was answered: step by step, result by result, item by item."""
    state = walker.state
    steps = {path: (seen["state"], [why["code"] for why in seen["why"]]) for path, seen in state["steps"].items()}
    results = {name: result.get("verdict") for name, result in state["results"].items()}
    return steps, results, {name: item["open"] for name, item in state["items"].items()}, state["open"]


# --- The control ------------------------------------------------------------------------------------------------------


@cache
def blunt(engine: str) -> dict[str, Any]:
    """Return the worksheet without what judges: no answer fails or is asked for, no result has limits."""
    sheet = copy.deepcopy(sheet_of(engine))
    for step in sheet["steps"]:
        step.update(if_failed=None, stop=False)
        for outcome in step["check"].get("outcomes", []):
            outcome["fails"] = False
    for result in sheet["results"]:
        result["limits"] = []
    return sheet


def unnoticed(found: Iterable[Met], by_row: Mapping[str, FailureMode]) -> tuple[int, int]:
    """Return how many stories are met at an answer or a figure, of a share of all, and how many of these are not met
    where nothing judges."""
    sharp, lost = 0, 0
    for one in [*found][::CONTROL]:
        finds = tuple(find for find in one.story.finds if not find.leaves)[:1]
        story = replace(one.story, finds=finds)
        if finds and played(story, by_row[story.row], sheet_of(story.engine)).at is not None:
            sharp += 1
            lost += played(story, by_row[story.row], blunt(story.engine)).at is None
    return sharp, lost


# --- The careless tech -----------------------------------------------------------------------------------------------


def careless() -> Iterator[tuple[str, bool]]:
    """Yield (engine, whether his job comes to its end) of each engine that has a story."""
    for engine in sorted({story.engine for story in stories().values()}):
        yield engine, Walker(sheet_of(engine)).go_on().state["complete"]


def past(story: Story, row: FailureMode) -> bool:
    """True if a careless tech gets past it: nobody else meets it who signs a second look in time."""
    sheet = sheet_of(story.engine)
    signed = {step["path"]: at for at, step in enumerate(sheet["steps"]) if step["check"]["kind"] == "sign"}
    return not any(find.step in signed and signed[find.step] < latest(row, sheet) for find in story.finds)


def told(got_past: Sequence[FailureMode], all_rows: int) -> str:
    """Return the guide's list of what the careless tech gets past, as Markdown."""
    head = f"**{len(got_past)} of the {all_rows} known failures get past a person who is careless at every step:**"
    listed_rows = [f"<li>{html.escape(row.failure)}</li>" for row in got_past]
    fold = [
        "<details><summary>all of them, in the order of the job</summary>",
        "<ul>",
        *listed_rows,
        "</ul>",
        "</details>",
    ]
    return "\n".join([LIST_BEGINS, "", head, "", *fold, "", LIST_ENDS])


def kept() -> str:
    """Return the list as the guide has it now."""
    text = LIMITS.read_text()
    return text[text.index(LIST_BEGINS) : text.index(LIST_ENDS)] + LIST_ENDS


def keep(new: str) -> None:
    LIMITS.write_text(LIMITS.read_text().replace(kept(), new))


# --- The table -------------------------------------------------------------------------------------------------------


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("row", nargs="*", help="the failures to play; all without a name")
    parser.add_argument("--keep", action="store_true", help="write the careless tech's list into the guide")
    options = parser.parse_args()
    by_row = {row.row: row for row in rows()}
    wanted = options.row or list(by_row)
    untold = [name for name in wanted if name not in stories()]
    chosen = [stories()[name] for name in wanted if name not in untold]
    found = [played(story, by_row[story.row], sheet_of(story.engine)) for story in chosen]
    for one in found:
        where = sheet_of(one.story.engine)["steps"][one.at]["path"] if one.at is not None else "nowhere"
        early = f"{one.before - one.at} steps in time" if one.at is not None else "a caution or the order prevents it"
        print(f"{one.story.row:45} {one.story.engine:13} {where:35} {one.wrong or early}")
    bad = [one for one in found if one.wrong]
    ends = dict(careless())
    through = [by_row[one.story.row] for one in found if past(one.story, by_row[one.story.row])]
    new = told(through, len(by_row))
    if options.keep:
        keep(new)
    differs = not options.row and new != kept()
    shut = sum(one.at is None and not one.wrong for one in found)
    good = len(found) - len(bad) - shut
    print(
        f"{len(found)} stories: {good} met in time, {shut} prevented, {len(bad)} not; {len(untold)} rows without one."
    )
    print(f"The careless tech: {sum(ends.values())} of {len(ends)} jobs to their end, past {len(through)} rows.")
    print("The guide has another list: run with --keep." if differs else "The guide has this list.")
    sharp, lost = unnoticed(found, by_row)
    print(f"Control, worksheets that judge nothing: {lost} of {sharp} go unnoticed.")
    return int(bool(bad or untold or differs or not lost or not all(ends.values())))


if __name__ == "__main__":
    sys.exit(main())
