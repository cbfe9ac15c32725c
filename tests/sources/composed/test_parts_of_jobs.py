"""A sheet of another kind of work disturbs nothing: a part is judged where a job includes it, and what no job includes
is still judged by itself, without asking an engine sheet for anything."""

from __future__ import annotations

import pytest

from generator.canonical import canonical
from generator.faults import Fault
from generator.site import disk
from generator.site.build import Findings, check_texts
from tests.support import demo
from tests.support.harness import TRADE

# Facts that no belt engine has, and one the library has too, with a word that several of its parts rule out.
POWER = {
    "demo_jobs/power.yml": """\
trade: Power
facts:
  bypass: {hard: A switch beside the cabinet., none: There is none.}
  strings: {one: One string., two: Two in parallel.}
""",
    "demo_jobs/engines/quill-u8.yml": """\
engine: quill-u8
title: Quill U8 supply (invented)
revision: 1
facts: {bypass: hard, strings: two, FACT}
values:
  string_rest:
    voltage: 111 V
    source: {document: "Cabinet book CB-8", where: "page 4", read: 2026-02-11, by: KS, checked_by: RT}
""",
    "procedures/change-strings.yml": """\
procedure: change-strings
title: Change the battery strings
revision: 1
stands_alone: yes
fits: {bypass: [hard, none], strings: [one, two]}
stages:
  - {include: string, as: first}
  - stage: End
    steps:
      - {id: last, do: Close the cabinet., check: tick, completion: yes}
""",
    "procedures/string.yml": """\
procedure: string
title: One string
revision: 1
values:
  string_rest: {kind: voltage, label: String at rest}
stages:
  - stage: String
    steps:
      - {id: bypass-on, do: Turn the bypass on., check: tick, when: {engine: {bypass: hard}}}
      - {id: rest, do: "Compare with {string_rest}.", check: tick}
""",
}


def judged(more: dict[str, str]) -> Findings:
    texts = {**demo.texts(), **{path: text.encode() for path, text in more.items()}}
    return check_texts(texts, disk.read_pictures(demo.ROOT, "procedures"))


def told(found: tuple[Fault, ...]) -> list[str]:
    return [f"{fault.place} {fault.said}" for fault in found]


def power(fact: str = "") -> dict[str, str]:
    return {path: text.replace(", FACT", fact) for path, text in POWER.items()}


@pytest.mark.parametrize("fact", ["", ", pump: elsewhere", ", mount: stays, fan: steady", ", tensioner: eccentric"])
def test_a_power_supply_in_the_shop_changes_nothing_for_the_engines(fact: str) -> None:
    found = judged(power(fact))
    assert told(found.faults) == []
    ours = {sheet["worksheet"]: canonical(sheet) for sheet in demo.checked().sheets}
    now = {sheet["worksheet"]: canonical(sheet) for sheet in found.sheets}
    assert now.pop("change-strings--quill-u8") and now == ours
    assert [str(note.place) for note in found.notes] == [str(note.place) for note in demo.checked().notes]


def test_a_sheet_that_no_job_fits_is_told_and_is_asked_for_nothing() -> None:
    alone = power(", pump: elsewhere")
    del alone["procedures/change-strings.yml"]
    found = judged(alone)
    assert told(found.faults) == []
    (note,) = [note for note in found.notes if note.place.file.startswith("demo_jobs")]
    assert type(note).__name__ == "NoJobFits" and "timing-belt-service is for belts: one" in note.said


# --- A part that no job has -------------------------------------------------------------------------------------------

LEFT_OPEN = """\
procedure: fan-off
title: Take the fan off
revision: 1
stages:
  - stage: Fan
    steps:
      - id: fan-off
        do: Take the fan off.
        check: tick
        when: {engine: {WHEN}}
        opens: [{what: fan_screws, kind: cover}]
"""
FACTS = (
    "trade: T\nfacts:\n"
    "  layout: {inline: In a row., vee: In a vee.}\n"
    "  drive: {belt: By a belt., chain: By a chain., gears: By gears.}\n"
    "  cooler: {air: By air., water: By water.}\n"
)
SHEET = "engine: four\ntitle: Four\nrevision: 1\nfacts: {layout: inline}\nvalues: {}\n"
JOB = """\
procedure: whole
title: Whole
revision: 1
stands_alone: yes
stages:
  - {include: fan-off, as: fan, when: {engine: {layout: LAYOUT}}}
  - stage: End
    steps: [{id: last, do: End., check: tick, completion: yes}]
"""


def part(when: str, **more: str) -> list[str]:
    texts = {**TRADE, "procedures/facts.yml": FACTS, "shop/engines/four.yml": SHEET}
    texts |= {"procedures/fan-off.yml": LEFT_OPEN.replace("WHEN", when)}
    texts |= {f"procedures/{name}.yml": text for name, text in more.items()}
    found = check_texts({path: text.encode() for path, text in texts.items()}).faults
    return [f"{type(fault).__name__} {fault.place}" for fault in found]


UNSAID = ["LeavesOpenUnsaid procedures/fan-off.yml:11:17"]


@pytest.mark.parametrize(
    "when", ["layout: inline", "drive: chain", "drive: [belt, gears], cooler: water", "layout: inline, drive: gears"]
)
def test_what_it_leaves_open_is_found_though_no_engine_says_its_facts(when: str) -> None:
    assert part(when) == UNSAID


def test_nothing_is_found_where_no_engine_can_have_the_step() -> None:
    assert part("layout: vee") == []


@pytest.mark.parametrize("layout", ["inline", "vee"])
def test_a_part_in_a_job_asks_the_engines_of_the_job_and_is_found_out_where_every_engine_leaves_it_out(
    layout: str,
) -> None:
    asked = ["UnsaidFact shop/engines/four.yml:4:8"]
    assert part("drive: chain", whole=JOB.replace("LAYOUT", layout)) == (asked if layout == "inline" else UNSAID)


def test_of_more_words_than_can_be_combined_each_is_tried() -> None:
    many = [f"fact_{at}" for at in range(8)]
    words = "".join(f"  {name}: {{a: A., b: B., c: C.}}\n" for name in many)
    steps = "".join(f"      - {{id: s-{n[5:]}, do: Do., check: tick, when: {{engine: {{{n}: b}}}}}}\n" for n in many)
    text = LEFT_OPEN.replace("{WHEN}", "{fact_7: c}").replace("    steps:\n", f"    steps:\n{steps}")
    texts = {
        **TRADE,
        "procedures/facts.yml": FACTS + words,
        "shop/engines/four.yml": SHEET,
        "procedures/fan-off.yml": text,
    }
    found = check_texts({path: text.encode() for path, text in texts.items()}).faults
    assert [type(fault).__name__ for fault in found] == ["LeavesOpenUnsaid"]


def test_words_that_a_part_inside_is_not_made_for_are_not_tried() -> None:
    chain = "procedure: chain\ntitle: Chain\nrevision: 1\nfits: {drive: chain}\n"
    chain += "stages:\n  - stage: Chain\n    steps: [{id: chain, do: Look., check: tick}]\n"
    outer = LEFT_OPEN.replace("WHEN", "drive: WORD") + "  - {include: chain, as: chain}\n"
    for word, expected in (("chain", UNSAID), ("belt", [])):
        assert part("", chain=chain, **{"fan-off": outer.replace("WORD", word)}) == expected


def test_a_part_is_not_judged_with_an_engine_whose_jobs_do_not_have_it() -> None:
    chain = "procedure: chain\ntitle: Chain\nrevision: 1\nfits: {drive: chain}\n"
    chain += "stages:\n  - stage: Chain\n    steps: [{id: chain, do: Look., check: tick}]\n"
    outer = "procedure: outer\ntitle: Outer\nrevision: 1\nstages:\n  - {include: chain, as: chain}\n"
    whole = JOB.replace("fan-off, as: fan, when: {engine: {layout: LAYOUT}}", "outer, as: outer")
    sheets = {
        name: SHEET.replace("four", name).replace("inline", f"inline, drive: {name}") for name in ("chain", "belt")
    }
    texts = {**TRADE, "procedures/facts.yml": FACTS, "procedures/chain.yml": chain, "procedures/outer.yml": outer}
    texts |= {f"shop/engines/{name}.yml": sheet for name, sheet in sheets.items()}

    def told(fits: str) -> list[str]:
        job = whole.replace("stages:", f"{fits}stages:", 1)
        found = check_texts({path: text.encode() for path, text in {**texts, "procedures/whole.yml": job}.items()})
        return [f"{type(fault).__name__} {fault.place.file}" for fault in found.faults]

    assert told("fits: {drive: chain}\n") == []
    assert told("") == ["DoesNotFit procedures/outer.yml"]


ONE_BY_ONE = """\
procedure: tools-out
title: Tools out one by one
revision: 1
takes_over: [locking_tools]
stages:
  - stage: Out
    steps:
      - {id: first-out, do: Take the first tool out., check: tick, closes: [{what: locking_tools, count: 1}]}
      - {id: second-out, do: Take the second tool out., check: tick, closes: [{what: locking_tools, count: 1}]}
      - {id: rest-out, do: Take the rest out., check: {tick: press-and-hold}, closes: [LAST]}
"""


@pytest.mark.parametrize(("last", "faults"), [("locking_tools", []), ("locking_pins", ["rest-out"])])
def test_a_part_may_close_one_by_one_what_it_takes_over_because_only_the_job_knows_how_many(
    last: str, faults: list[str]
) -> None:
    found = judged({"procedures/tools-out.yml": ONE_BY_ONE.replace("LAST", last)})
    assert [fault.step for fault in found.faults if hasattr(fault, "step")] == faults
