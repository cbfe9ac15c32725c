"""Type the same figures into the calculators page and into `handturn try`, and compare what both say.

    python -m tests.browser.screens.calculators_harness --inputs 2000 --seed 1

An input is a procedure, an engine sheet or none, and a figure for most of the boxes: inside the range that the reading
expects or a little beyond, or inside what the value can be, in any unit that the box offers, with as many digits as
people type. The page runs in Chromium. Each result must show the same figure, the same verdict, the same words and the
same lack of something on both, and both must ask about the same figures. Units and dates are read out on the page;
`as_read_out` writes that rule a second time.

The control gives the desk one figure that is a hundredth larger: it must differ somewhere. Ends with 1 if one result
differs, or if the control does not.
"""

from __future__ import annotations

import argparse
import datetime
import random
import re
import sys
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from generator import render
from generator.canonical import canonical
from generator.check import Library, check_all
from generator.compile.calculators import calculators, group_of
from generator.quantities.possible_ranges import FIELD_RANGES, LIMITS, PossibleRange
from generator.quantities.units import from_base, to_base
from generator.site import disk
from generator.terminal.trial import Odd, TrialResult, answers
from tests.browser.engines import chromium_version, launch_chromium
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support import demo

TODAY = datetime.date(2026, 11, 25)
NO_RANGE = (0.1, 1000.0)
FIELD_OF = {"odometer": "odometer", "shop_altitude": "altitude", "shop_coldest": "coldest"}
GAUGES = {"(vac)": " vacuum", "(g)": " gauge"}

# Writes each box as a person would, and reads what stands at each result once everything is drawn.
TYPE = """({ group, engine, boxes, findings }) => {
  const put = (box, text, event) => {
    if (!box) throw new Error('no box');
    box.value = text;
    if (box.value !== text) throw new Error(`the box does not take ${text}`);
    box.dispatchEvent(new Event(event, { bubbles: true }));
  };
  put(document.querySelector('[data-field=engine]'), engine, 'change');
  const root = document.querySelector(`[data-group="${group}"]`);
  for (const [step, outcome] of findings) put(root.querySelector(`select[data-field="${step}"]`), outcome, 'change');
  for (const { name, text, unit } of boxes) {
    const field = root.querySelector(`[data-field="${name}"]`);
    const choice = field.querySelector('[data-field=unit]');
    if (choice && unit !== 'date') put(choice, unit, 'change');
    const box = field.querySelector(unit === 'date' ? '[data-field=date]' : '[data-field=number]');
    put(box, text, 'input');
    put(box, text, 'change');
  }
  const fields = [...root.querySelectorAll('.reading[data-field]')];
  const asked = fields.filter((field) => field.querySelector('.message:not([hidden]):not(:empty)'));
  const said = (node) => (!node || node.hidden ? '' : node.textContent);
  const results = [...root.querySelectorAll('[data-result]')].map((node) => ({
    name: node.dataset.result,
    figure: said(node.querySelector('.figure')),
    verdict: node.dataset.verdict ?? '',
    bad: node.hasAttribute('data-bad'),
    says: [node.querySelector('.say'), node.querySelector('.to-do')].map(said).filter(Boolean).join(' '),
    known: !node.classList.contains('unknown'),
  }));
  return { results, asked: asked.map(({ dataset }) => dataset.field) };
}"""


@dataclass(frozen=True)
class Input:
    """One use of the page: figures as typed, findings by their outcome."""

    group: str
    engine: str
    boxes: tuple[tuple[str, str, str], ...]
    findings: tuple[tuple[str, str], ...]

    def typed(self, spoilt: Collection[str] = ()) -> dict[str, str]:
        """Return the same for the desk. The last figure of the names in `spoilt` is a hundredth larger."""
        texts = {name: text + ("" if unit == "date" else unit) for name, text, unit in self.boxes}
        for name, text, unit in reversed(self.boxes):
            if name in spoilt and unit != "date" and float(text.replace(",", ".")):
                spoilt = f"{float(text.replace(',', '.')) * 1.01:.9g}"
                # Three digits after the only mark may be thousands. A nought more says which.
                texts[name] = spoilt + ("0" if re.fullmatch(r"-?\d{1,3}\.\d{3}", spoilt) else "") + unit
                break
        return {**texts, **dict(self.findings)}


@dataclass
class Count:
    inputs: int = 0
    results: int = 0
    known: int = 0
    judged: int = 0
    differ: int = 0
    asked: int = 0
    control: int = 0


def _range(dice: random.Random, box: Mapping[str, Any], unit: str) -> tuple[float, float]:
    """Return what a reading expects in one of its units, a tenth wider on both sides; of a value, what it can be."""
    low, high = box.get("from"), box.get("to")
    if limit := box.get("limit"):
        low, high = (from_base(to_base(end, limit.unit), unit) for end in (limit.low, limit.high))
        return low, low + (high - low) * 10 ** -dice.uniform(0.1, 3)
    if low is None or high is None:
        return NO_RANGE
    ends = [from_base(to_base(end, box["unit"]), unit) for end in (low, high)]
    wider = (max(ends) - min(ends)) / 10
    return min(ends) - (wider if low < 0 else 0), max(ends) + wider


def _text(dice: random.Random, low: float, high: float) -> str:
    """Return a number as typed. Never three digits behind the point: both sides ask back which number that is."""
    number = f"{dice.uniform(low, high):.{dice.choice((0, 0, 1, 1, 2, 4))}f}"
    return number.replace(".", ",") if dice.random() < 0.2 else number


def _box(dice: random.Random, name: str, about: Mapping[str, Any]) -> tuple[str, str, str]:
    unit = dice.choice(about["units"])
    if unit == "date":
        day = TODAY - datetime.timedelta(days=dice.randrange(6000))
        return name, day.isoformat(), unit
    low, high = _range(dice, about, unit)
    limit = about.get("limit")
    if limit and limit.whole:
        return name, str(dice.randrange(int(low) + 1, int(high) + 2)), unit
    text = _text(dice, low, high)
    while limit and about.get("narrow") and not low <= float(text.replace(",", ".")) <= high:
        text = _text(dice, low, high)
    return name, "1" if limit and limit.above and not float(text.replace(",", ".")) else text, unit


def _boxes_of(group: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """Return every box of a group that takes a figure, by its name, with the units that the page offers for it."""
    used = {name for result in group["results"] for name in result["inputs"]}
    same_kind = lambda kind: [unit for unit in group["units"] if group["units"][unit]["kind"] == kind]  # noqa: E731
    values = {
        name: {"units": value["units"], "limit": _expected(value), "narrow": "from" in value}
        for name, value in group["values"].items()
        if value["units"]
    }
    givens = {
        name: {"units": same_kind(one["kind"]), "limit": FIELD_RANGES[FIELD_OF[name]]}
        for name, one in group["givens"].items()
        if name != "today"
    }
    every = {**givens, **values, **group["readings"]}
    return {name: about for name, about in every.items() if name in used and about["units"]}


def _expected(value: Mapping[str, Any]) -> PossibleRange | None:
    """Return what a value can be, and of that only what the procedure expects."""
    limit = LIMITS.get(value["kind"])
    if limit is None or "from" not in value:
        return limit
    ends = {"low": value["from"], "high": value["to"]}
    said = {key: from_base(to_base(end, value["unit"]), limit.unit) for key, end in ends.items() if end is not None}
    return replace(limit, **said)


def inputs(data: Mapping[str, Any], count: int, seed: int) -> Iterator[Input]:
    """Yield `count` inputs that depend on nothing but the seed. Each group comes equally often."""
    dice = random.Random(seed)
    for at in range(count):
        group = data["groups"][at % len(data["groups"])]
        engine = dice.choice(["", *(one["id"] for one in data["engines"])])
        boxes = [_box(dice, name, about) for name, about in _boxes_of(group).items() if dice.random() < 0.85]
        findings = [(one["step"], dice.choice(one["outcomes"])["name"]) for one in group["findings"]]
        yield Input(group["id"], engine, tuple(boxes), tuple(one for one in findings if dice.random() < 0.9))


def as_read_out(text: str) -> str:
    """Return a text of the desk as the page reads it out: degrees, gauges, plurals and dates."""
    out = re.sub(r"\bdeg([CF])\b", r"°\1", text)
    out = re.sub(r"(?<=\w)\((?:vac|g)\)", lambda found: GAUGES[found.group()], out)
    out = re.sub(r"\b([\d.]+) (day|week|month|year)\b", lambda f: f"{f[1]} {f[2]}{'' if f[1] == '1' else 's'}", out)
    return re.sub(r"\b\d{4}-\d\d-\d\d\b", lambda f: _day(datetime.date.fromisoformat(f.group())), out)


def _day(day: datetime.date) -> str:
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sept", "Oct", "Nov", "Dec"]
    return f"{day.day} {months[day.month - 1]} {day.year}"


def _bare(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip()


def said_by_desk(one: TrialResult) -> tuple[str, str, bool, str, bool]:
    """Return what the desk says of a result in the page's form: figure, verdict, bad, words, known."""
    figure = _bare(as_read_out(one.text or "")).replace(" ", "")
    return figure, one.verdict or "", one.bad, _bare(as_read_out(one.says)), not one.needs and not one.because


def said_by_page(one: Mapping[str, Any]) -> tuple[str, str, bool, str, bool]:
    figure = _bare(one["figure"]).replace(" ", "") if re.search(r"\d|^(yes|no)$", one["figure"]) else ""
    return figure, one["verdict"], one["bad"], _bare(one["says"]), one["known"]


@contextmanager
def opened(browser: Browser, data: Mapping[str, Any]) -> Iterator[Page]:
    """Open the calculators page of this data, on the day TODAY."""
    code = disk.read_overrides()
    templates = {path.removeprefix("templates/"): text.decode() for path, text in code.items() if "templates/" in path}
    files = {path: text for path, text in code.items() if path != "sw.js" and "templates/" not in path}
    page = render.calculators_page(render.Site.of("demo", "Quayside Garage", templates))
    files |= {"calculators/index.html": page.encode(), "calculators/data.json": canonical(dict(data)).encode()}
    with Server({"/": files}) as server:
        tab = browser.new_page(viewport={"width": 360, "height": 740}, has_touch=True)
        tab.clock.set_fixed_time(datetime.datetime.combine(TODAY, datetime.time(12)))
        tab.goto(server.url("/calculators/"))
        tab.wait_for_selector("[data-group]")
        yield tab
        tab.close()


def compare(page: Page, library: Library, data: Mapping[str, Any], given: Input, count: Count) -> list[str]:
    """Type one input on both sides. Return a line for each result that differs."""
    told = {"group": given.group, "engine": given.engine, "findings": given.findings}
    boxes = [{"name": name, "text": text, "unit": unit} for name, text, unit in given.boxes]
    tap(page.get_by_role("button", name="Empty all boxes"))
    shown = page.evaluate(TYPE, {**told, "boxes": boxes})
    drawn = {one["name"]: said_by_page(one) for one in shown["results"]}
    engine = library.engines[given.engine] if given.engine else None
    group = group_of(library, library.procedures[given.group], engine)
    desk = {one.name: said_by_desk(one) for one in answers(group, given.typed(), TODAY, sure=True)}
    spoilt = {one.name: said_by_desk(one) for one in answers(group, given.typed(group["readings"]), TODAY, sure=True)}
    count.inputs += 1
    count.control += any(desk[name] != spoilt[name] for name in desk)
    lines = []
    for name, said in desk.items():
        count.results += 1
        count.known += bool(said[0])
        count.judged += bool(said[1])
        if drawn.get(name) != said:
            lines.append(f"{given}\n  {name}: desk {said}\n  {' ' * len(name)}  page {drawn.get(name)}")
    asked = asked_by_desk(group, given)
    count.asked += len(asked)
    if asked != set(shown["asked"]):
        lines.append(f"{given}\n  asked about: desk {sorted(asked)}, page {sorted(shown['asked'])}")
    count.differ += len(lines)
    return lines


def asked_by_desk(group: Mapping[str, Any], given: Input) -> set[str]:
    """Return the names of the figures that the desk asks about before it works with them."""
    try:
        answers(dict(group), given.typed(), TODAY)
    except Odd as odd:
        return {line.partition(":")[0] for line in str(odd).splitlines()}
    return set()


def run(browser: Browser, number: int, seed: int) -> tuple[Count, list[str]]:
    """Compare `number` inputs. Return the counts, and a line for each result that differs."""
    library, faults = check_all(demo.texts())
    assert not faults
    data, count, lines = calculators(library), Count(), []
    with opened(browser, data) as page:
        for given in inputs(data, number, seed):
            lines += compare(page, library, data, given, count)
    return count, lines


def main(argv: list[str]) -> int:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--inputs", type=int, default=2000)
    words.add_argument("--seed", type=int, default=1)
    given = words.parse_args(argv)
    with sync_playwright() as engine:
        browser = launch_chromium(engine)
        count, lines = run(browser, given.inputs, given.seed)
        browser.close()
    for line in lines[:20]:
        print(line)
    print(f"{chromium_version()}, seed {given.seed}")
    heads = ("inputs", "results compared", "with a figure", "with a verdict", "figures asked about", "differ")
    print(f"| {' | '.join(heads)} | inputs that differ in the control |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    counts = (count.inputs, count.results, count.known, count.judged, count.asked, count.differ, count.control)
    print(f"| {' | '.join(map(str, counts))} |")
    return 1 if count.differ or not count.control else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
