"""Sound sources to spoil: small sets that are quick to check, and the whole demo."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from generator.site import disk
from tests.support.harness import SHOP

HOME = Path(__file__).parents[2]
FOLDERS = ("procedures", "demo_jobs")
Texts = Mapping[str, str]


@dataclass(frozen=True)
class Base:
    """Sources that have no fault, and the pictures they show."""

    name: str
    texts: Texts
    pictures: frozenset[str]


# A whole job in two files: includes, items, gates, holds, findings, readings, results with limits, a torque, a wait.
JOB: Texts = {
    "procedures/trade.yml": SHOP["procedures/trade.yml"],
    "procedures/short-service.yml": """\
procedure: short-service
title: Change the cap
revision: 2
stands_alone: yes
fits: {layout: [inline, vee]}
needs:
  tools: {wrench: Torque wrench}
  parts: {cap: {label: Cap, one_time: yes}}
values:
  cap_bolts: {kind: torque, label: Bolts of the cap, fastener: ordinary}
  soak: {kind: time, label: How long it stands, critical: no}
readings:
  before: {label: Pressure before, unit: kPa(g), from: 0, to: 300}
  after_it: {label: Pressure after, unit: kPa(g)}
results:
  lost:
    formula: before - after_it
    unit: kPa
    to_nearest: 1 kPa
    limits:
      - {when: 'lost > "20 kPa"', verdict: it leaks, bad: yes, say: "{lost} is lost.", do: Look for the leak.}
      - {verdict: tight}
    hold: yes
stages:
  - stage: Take off
    order: any
    cautions: [{level: warning, hazard: Hot coolant., harm: It scalds., avoid: Let it cool.}]
    steps:
      - {id: cold, do: Feel that it is cold., check: {tick: press-and-hold}, gate: strip-down}
      - {id: look, do: Look at the *seat* of the cap., check: {inspect: {clean: Clean, scored: Scored}}}
      - id: bolts-out
        do: Take the bolts out.
        check: tick
        opens: [{what: cap_bolts, kind: bolt, count: from cap_bolts, list: covers}]
  - {include: cap-on, as: cap}
  - stage: Prove
    steps:
      - {id: first, do: Measure., check: {measure: before}}
      - {id: wait, do: "Wait {soak}.", check: {wait: soak}, after: [first]}
      - {id: second, do: Measure again., check: {measure: after_it}, shows: [lost], after: [wait]}
      - {id: dress, do: Dress the seat., check: tick, when: {found: {look: scored}}}
      - {id: start, do: Start it., check: {tick: press-and-hold}, gate: starter}
      - {id: signed, do: Sign it., check: {sign: another, of: [second], self_check_after: 15 min}, completion: yes}
""",
    "procedures/cap-on.yml": """\
procedure: cap-on
title: Fit the cap
revision: 1
takes_over: [cap_bolts]
values:
  cap_bolts: {kind: torque, label: Bolts of the cap, fastener: ordinary}
needs:
  tools: {wrench: Torque wrench}
  parts: {cap: {label: Cap, one_time: yes}}
stages:
  - stage: Put on
    order: absolute
    steps:
      - {id: set, do: Set the cap on., check: tick, takes: [cap]}
      - id: tight
        do: Tighten to {cap_bolts}.
        check: {tighten: cap_bolts}
        in_hand: [wrench]
        closes: [cap_bolts]
        if_failed: {when: A bolt turns on, back_to: set, say: Take it off again.}
""",
    "shop/engines/inline-four.yml": """\
engine: inline-four
title: Inline four, made up
revision: 1
facts: {layout: inline}
values:
  cap_bolts:
    torque: 10 N.m
    bolt: {thread: M6x1.0, class: "8.8"}
    fastener: ordinary
    count: 3
    order: [1, 3, 2]
    positions: [[0, 0], [10, 0], [5, 8]]
    reuse: yes
    source: {document: "Manual, 2nd edition", where: page 9, read: 2026-10-02, by: KS}
  soak: {time: 5 min, source: {document: "Manual, 2nd edition", where: page 9, read: 2026-10-02, by: KS}}
parts: {cap: "0450"}
""",
    "shop/shop.yml": SHOP["shop/shop.yml"],
}


def small() -> list[Base]:
    """Return every key once (`SHOP`), and a whole job with a job written for it."""
    job = "shop/jobs/2041.yml"
    parts = {path: text for path, text in SHOP.items() if path != job}
    whole = {**JOB, job: SHOP[job].replace("fit-pump", "short-service")}
    return [Base("every key", parts, frozenset({"face.svg"})), Base("a whole job", whole, frozenset())]


@functools.cache
def demo() -> Base:
    """Return the library and the invented shop as they are."""
    texts = {path: raw.decode() for path, raw in disk.read_sources(HOME, FOLDERS).items()}
    return Base("the demo", texts, frozenset(disk.read_pictures(HOME, "procedures")))


@functools.cache
def alone(path: str) -> Base:
    """Return one real file among the sources of a whole job. What it names elsewhere may be missing."""
    kept = {name: text for name, text in JOB.items() if "shop.yml" not in name or not path.endswith("shop.yml")}
    return Base("a real file", {**kept, path: demo().texts[path]}, demo().pictures)
