"""Sources for tests, and the faults they must get: `assert_faults({path: text}, UnknownKey, MissingKey)`."""

from __future__ import annotations

import datetime
import importlib
import inspect
import os
import pkgutil
import re
import sys
import tempfile
import textwrap
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from generator import faults
from generator.check import Checked, check_all
from generator.faults import Fault
from generator.model import Procedure
from generator.site import disk
from generator.site.build import check_pages, check_texts
from generator.site.earlier import Earlier, compare
from generator.terminal import report

# Today in the stories, so that their words are the same on any day.
DAY = datetime.date(2026, 11, 29)
STORIES_AT = Path(__file__).parents[1] / "faults"

_READ = 'document: "Manual, 2nd edition", where: page 118, read: 2026-10-02, by: KS'
SOURCE = f"{{{_READ}, checked_by: RT, checked: 2026-10-03}}"
# A small shop that says everything a source can say once, without a fault.
SHOP = {
    "procedures/fit-pump.yml": """\
procedure: fit-pump
title: Fit the pump
revision: 3
stands_alone: no
why: A pump that weeps wets the belt.
fits: {pump: on-belt, cylinders: 4, long_block: no}
needs:
  tools: {press: Press or clamp, torque_wrench: Torque wrench}
  parts:
    pump: {label: Water pump, one_time: yes, count: 1}
    joint: Joint of the pump
  consumables: {rag: Clean rag}
values:
  pump_bolts: {kind: torque, label: Pump bolts, fastener: ordinary}
  crank_angle: {kind: angle, label: Final angle of the crank bolt}
  cure_time: {kind: time, label: How long the sealer cures, at_least: small_pause}
  small_pause: {kind: time, label: Pause between two looks, critical: no, at_most: cure_time}
  weather: {kind: pressure, label: Barometer here, critical: no, of_the_day: yes}
  proof_turns: {kind: count, label: Turns by hand}
  pump_way: {kind: direction, label: Which way the pump turns}
  belt_span: {kind: frequency, label: Note of the belt}
  bench: {kind: temperature, label: How warm the parts are}
  joint_gap: {kind: length, label: Gap at the joint}
  test: {kind: pressure, label: Pressure of the test}
  fill: {kind: volume, label: How much goes in}
  rating: {kind: gauge, label: Rating of the cap, from: 20 kPa(g), to: 250 kPa(g)}
  pull: {kind: vacuum, label: Vacuum to pull}
  interval: {kind: distance, label: Interval by distance}
  interval_age: {kind: age, label: Interval by age}
  mix: {kind: share, label: Mix wanted}
  teeth: {kind: number, label: Teeth of the belt}
  mass: {kind: belt-mass, label: Mass of the belt}
  line: {kind: line-mass, label: Mass of its length}
  pull_wanted: {kind: force, label: Tension of the span}
  filled: {kind: mass, label: Mass of the filling}
  rest_voltage: {kind: voltage, label: Voltage at rest}
  drain: {kind: current, label: Current at rest}
  coil: {kind: resistance, label: Resistance of the coil}
  heater: {kind: power, label: Power of the heater}
  through: {kind: flow, label: Flow through the heater}
  additive: {kind: concentration, label: Additive in the coolant}
readings:
  play: {label: Play at the shaft, unit: mm, from: 0, to: 0.5}
  at_start: {label: Vacuum at the start, unit: kPa(vac), division: 2 kPa(vac)}
  at_end: {label: Vacuum at the end, unit: kPa(vac)}
  last: {label: Last change, unit: date}
results:
  lost: at_start - at_end
  due_on: {formula: "add(last, interval_age)", label: Due on}
  due_at: {formula: "odometer + interval * mix * teeth", unit: km, to_nearest: 100 km}
  weight: mass / line * "10 mm" * pull_wanted / pull_wanted * electric * poured
  electric: (rest_voltage * drain / heater) * (drain * coil / rest_voltage)
  poured: additive * through * "1 min" / filled
  pressure:
    label: Pressure in the cap
    formula: absolute(rating, interp(air, shop_altitude)) - absolute(pull, interp(air, shop_altitude))
    unit: kPa
    to_nearest: 1 kPa
    safe: up
    why: What the cap holds.
    limits:
      - {when: 'pressure > "900 kPa"', verdict: too much, bad: yes, say: "{pressure} is too much.", do: Look again.}
      - {verdict: fine}
    hold: yes
    fills: test
  pull_to: {formula: '"90 %" * at_start', set_on: at_start}
  one_side: play / 2
  other_side: play - one_side
adds_up: {play: [one_side, other_side]}
calculator: Pump
takes_over: [old_pump]
leaves_open: [cover]
retired: [pump-in]
stages:
  - stage: Fit
    order: kept
    why: The shaft turns {pump_way}.
    cautions:
      - {level: notice, hazard: A thin flange., harm: It cracks., avoid: Tighten in the order of the sheet.}
    steps:
      - id: look
        do: "Look at the face. *Dry*, `clean`, no old joint."
        check: {inspect: {yes: Clean and flat, no: Scored}}
        if_failed: {when: It is scored, outcomes: [no], say: Ask the lead.}
        words: {face: Where the joint sits}
        opens: [{what: rag, kind: rag, label: Rag in the port}]
        picture: {file: face.svg, alt: The face of the pump}
      - id: pump-on
        do: Fit the pump with its new joint.
        why: Loose, it weeps.
        cautions:
          - level: warning
            hazard: The edge of the housing is sharp.
            harm: It cuts.
            avoid: Wear gloves.
        check: {tighten: pump_bolts}
        in_hand: [torque_wrench]
        takes: [pump, joint, rag]
        closes: [old_pump, {what: rag, count: 1}]
        opens: [{what: pump_bolts, kind: bolt, count: from pump_bolts, list: covers}]
        catches: [pump-bolt-loose]
        after: [look]
        leave: lead
        was: pump-fitted
        if_failed: {when: It weeps, back_to: look, disturbs: [look], say: Off again.}
      - id: play
        do: "Measure the play. Then {belt_span}, {bench}, {joint_gap}, {test}, {fill}, {weather}."
        check: {measure: play, against: cure_time}
        shows: [due_on, due_at]
        when: {engine: {pump: [on-belt, on-chain]}, found: {look: yes}}
      - id: cured
        do: Let it cure.
        check:
          wait: cure_time
          every: small_pause
          watch: {start: at_start, end: at_end}
          say: Look at the joint.
        shows: [lost, pressure]
        hold: yes
        if_failed: {when: It fell, say: The job ends here., stop: yes}
      - id: crank
        do: Turn the crank bolt on.
        check: {tighten: crank_angle}
        landmark: crank-tight
        may_refuse: no
      - id: turns
        do: Turn twice.
        check: {turn: proof_turns}
        gate: {for: hand-turn, kinds: [rag], lists: [covers]}
      - {id: photo, do: Take a photo., sheet_says: [belt_span], check: {photo: The pump in place}, gate: hand-turn}
      - {id: held, do: Hold it., check: {tick: press-and-hold}}
      - id: signed
        do: Have it looked at.
        check: {sign: another, of: [pump-on], permit: Dead and locked, qualified: yes, self_check_after: 15 min}
        completion: yes
  - {include: cover, as: left, known_as: {cover: cover_left}, label: left bank, when: {engine: {bank: left}}}
  - {include: wipe, each: {front: front bank, rear: rear bank}, shared: [cloth]}
""",
    "procedures/cover.yml": """\
procedure: cover
title: Fit the cover
revision: 1
results: {lost: {of: fit-pump}}
stages:
  - stage: Cover
    steps:
      - {id: cover-on, do: "Fit the cover, {lost}.", check: tick, landmark: cover}
""",
    "procedures/wipe.yml": """\
procedure: wipe
title: Wipe the bank
revision: 1
stages:
  - stage: Wipe
    steps:
      - {id: cloth-on, do: Lay the cloth on., check: tick, opens: [{what: cloth, kind: rag}]}
      - {id: cloth-off, do: Take it off., check: tick, closes: [cloth]}
    questions: [{ask: "Why two cloths?", answer: One is wet.}]
""",
    "procedures/tables/air.yml": """\
table: air
title: Pressure of the air
source: A handbook of the air
edition: 2nd
got: from memory
x: {label: Altitude, unit: m}
y: {label: Pressure, unit: kPa}
rows: [[0, 101.3], ["1000", "89.9"]]
""",
    "procedures/failure_modes.yml": """\
failure_modes:
  - row: pump-bolt-loose
    failure: A pump bolt is left finger-tight.
    where: [fit-pump]
    caught_by: [tighten]
    hold: no
    stop: no
    caution: notice
    gate: starter
    after: crank-tight
    before: [crank-tight]
    times: 1
    engine: {pump: on-belt}
    source: common practice, no source
    revealed_by: {value: pump_bolts}
  - row: pump-weeps
    failure: The pump weeps.
    where: [fit-pump]
    caught_by: [inspect, measure, photo, sign, tick, wait]
    revealed_by:
      - {answer: no}
      - {reading: play}
      - {count: rag}
      - {value: cure_time}
      - {photo: yes}
      - {signature: pump-on}
      - {waits_for: rag}
      - {because: Nobody sees behind it.}
      - {prevented_by: order}
    before: [crank-tight]
""",
    "shop/shop.yml": """\
shop: quay
title: Quay workshop
people:
  - {initials: KS, name: Kim S., role: lead}
  - {initials: "NO", name: Nora O., role: apprentice, left: no}
  - {initials: RT, name: Robin T., role: tech}
altitude: 320 m
coldest: -22 degC
second_reader: 15 min
time_zone: Europe/Lisbon
odometer: km
units: {volume: L, vacuum: inHg(vac)}
wrenches:
  - wrench: small
    label: Click wrench
    from: 5 Nm
    to: 25 N.m
    step: 0.5 N.m
    class: II A
    lever: 250 mm
    due: 2027-03-01
adapters:
  - {adapter: crowfoot-13, label: Crowfoot 13, length: 40 mm, angle: 90 deg}
facts: {vacuum_filler: yes}
""",
    "procedures/trade.yml": """\
trade: Cars
works_on:
  engine:
    sheet: engine sheet
    whole: car
    start: {what: Vehicle, odometer: Odometer, vin: {label: VIN, optional: yes}}
roles: {tech: {label: technician, qualified: yes}, apprentice: apprentice, lead: {label: lead, leads: yes}}
kinds:
  bolt: {label: Bolt, stands: loose, closed_by: tighten}
  rag: {label: Rag, stands: in}
  cover: {label: Cover, stands: off}
  proof: {label: Proof, stands: due, said: not proved, closed_by: inspect, after: turn}
lists:
  covers: {title: Under the covers, before: before close-up}
gates:
  strip-down: {title: Before the work, preparation: yes, before_opening: [bolt], fixed: no}
  hand-turn: {title: Before it is turned, kinds: [rag], before_check: [turn]}
  starter: {title: Before it starts, lists: [covers], all_kinds_but: [cover], after_opening: [rag]}
divisions: {kPa(vac): 2}
facts:
  pump:
    on-chain: The timing chain drives the pump.
    on-belt: A belt drives the pump.
  bank: {left: Seen from the seat., right: Seen from the seat.}
  cylinders: {4: Four., 6: Six.}
  layout: {inline: All in a row., vee: In two rows.}
  long_block: {yes: It is long., no: It is short.}
  vacuum_filler: {yes: The shop has one., no: The shop has none.}
""",
    "shop/engines/inline-four.yml": """\
engine: inline-four
title: Inline four, made up
revision: 2
facts: {pump: on-chain, cylinders: 4, long_block: no}
documents:
  manual: {document: "Manual, 2nd edition", read: 2026-10-02, by: KS, checked_by: RT, checked: 2026-10-03}
values:
  pump_bolts:
    torque: 10 N.m
    tolerance: 10 %
    bolt: {thread: M6x1.0, class: "8.8", into: aluminium, engaged: 12 mm, head: flange, grip: 30 mm}
    condition: oiled
    friction: {from: 0.10, to: 0.14}
    pattern: circle
    positions: [[0, 0], [10, 0], [20, 0], [20, 10], [10, 10], [0, 10]]
    fastener: ordinary
    count: 6
    order: [1, 4, 2, 5, 3, 6]
    passes: [6 N.m, 10 N.m]
    then: [90 deg]
    reuse: yes
    source: SOURCE
  belt_span: {frequency: 120 Hz, source: SOURCE}
  bench: {temperature: 20 degC, source: SOURCE}
  joint_gap: {length: 0.2 mm, source: SOURCE}
  test: {pressure: 1.2 bar, source: SOURCE}
  fill: {volume: 6.5 L, source: SOURCE}
  rating: {pressure: 1.1 bar, tolerance: 0.1 bar, source: SOURCE}
  pull: {pressure: 85 kPa, source: SOURCE}
  interval: {distance: 90000 km, source: SOURCE}
  interval_age: {age: 60 month, source: SOURCE}
  mix: {share: 50 %, at: {manual: page 119}}
  teeth: {number: 173, at: {manual: {where: page 120, read: 2026-10-02, by: RT, checked_by: KS, checked: 2026-10-04}}}
  mass: {belt_mass: 6.4 g/(m.mm), source: SOURCE}
  line: {line_mass: 0.1 kg/m, source: SOURCE}
  pull_wanted: {force: 250 N, source: SOURCE}
  filled: {mass: 430 g, source: SOURCE}
  rest_voltage: {voltage: 12.6 V, source: SOURCE}
  drain: {current: 35 mA, source: SOURCE}
  coil: {resistance: 2.4 ohm, source: SOURCE}
  heater: {power: 1.2 kW, source: SOURCE}
  through: {flow: 6 L/min, source: SOURCE}
  additive: {concentration: 5 g/L, source: SOURCE}
  crank_angle: {angle: 90 deg, count: 1, source: SOURCE}
  cure_time: {time: 30 min, source: SOURCE}
  small_pause: {missing: not in the manual}
  proof_turns: {count: 2, source: SOURCE}
  pump_way: {text: clockwise seen from the front, source: SOURCE}
parts: {pump: {number: "0450", count: 1}, joint: "0451"}
invented: yes
""".replace("SOURCE", SOURCE),
    "shop/jobs/2041.yml": """\
job: "2041"
procedure: fit-pump
engine: inline-four
vehicle: Blue van
odometer: 84210 km
agreed: The pump with its joint, without the thermostat
""",
}


# One step that needs a value of the engine file.
SWEEP = """procedure: sweep
title: Sweep
revision: 1
stands_alone: yes
values: {bolts: {kind: torque, label: Bolts}}
stages:
  - stage: Sweep
    steps: [{id: end, do: "Sweep, {bolts}.", check: tick, completion: yes}]
"""

# The words of the trade for small sources: those of the library without its facts, and a fact of their own.
_WORDS = (Path(__file__).parents[2] / "procedures/trade.yml").read_text(encoding="utf-8").partition("\nfacts:")[0]
TRADE = {"procedures/trade.yml": _WORDS + "\n"}
FACTS = {
    **TRADE,
    "procedures/facts.yml": "trade: Facts\nfacts:\n  layout: {inline: All in a row., vee: In two rows.}\n",
}


def with_trade(texts: Mapping[str, Any]) -> dict[str, Any]:
    """Return these sources with the words of the trade, unless they bring their own."""
    return {**texts} if "procedures/trade.yml" in texts else {**TRADE, **texts}


def procedure(steps: str, header: str = "", id: str = "fit-pump") -> dict[str, str]:
    """Return a procedure with one stage of these steps, in its file."""
    body = textwrap.indent(textwrap.dedent(steps).strip("\n"), " " * 6)
    head = textwrap.dedent(header)
    text = f"procedure: {id}\ntitle: Fit the pump\nrevision: 1\n{head}stages:\n  - stage: Fit\n    steps:\n{body}\n"
    return {f"procedures/{id}.yml": text}


def cpu_seconds(run: Callable[[], object]) -> float:
    """Return the least of three tries. What else runs on the machine makes a try slower, never faster."""
    tries = []
    for _ in range(3):
        start = time.process_time()
        run()
        tries.append(time.process_time() - start)
    return min(tries)


def full_file(steps: int, header: str) -> dict[str, str]:
    """Return a procedure of so many steps that each use a tool, which `header` names or leaves out."""
    step = "- {{id: step-{at}, do: Fit number {at} dry., check: tick, in_hand: [press]}}"
    return procedure("\n".join(step.format(at=at) for at in range(steps)), header)


def engine(values: str, asked: str = "") -> dict[str, str]:
    """Return an engine sheet with these values, and a procedure for another engine that declares what is `asked`."""
    out = {
        **FACTS,
        "engines/inline-four.yml": "engine: inline-four\ntitle: Inline four\nrevision: 1\nfacts: {layout: inline}\n"
        f"values:\n{textwrap.indent(textwrap.dedent(values), '  ')}\n",
    }
    if asked:
        names = ", ".join(f"{{{line.split(':')[0]}}}" for line in textwrap.dedent(asked).strip().splitlines())
        header = "fits: {layout: vee}\nvalues:\n" + textwrap.indent(textwrap.dedent(asked).strip(), "  ") + "\n"
        out |= procedure(f'- {{id: look, do: "Look up {names}.", check: tick}}', header)
    return out


def faults_of(texts: Mapping[str, str | bytes]) -> list[Fault]:
    return check_all(with_trade(texts))[1]


def names_of(found: list[Fault]) -> list[str]:
    return [type(fault).__name__ for fault in found]


def assert_faults(texts: Mapping[str, str | bytes], *expected: type[Fault]) -> list[Fault]:
    """Check that these sources get faults of these classes, in this order, and no others. Return the faults."""
    found = faults_of(texts)
    wanted = [kind.__name__ for kind in expected]
    sources = "\n".join(f"--- {path}\n{text!s:.2000}" for path, text in texts.items())
    assert names_of(found) == wanted, f"{report.text(found, {})}\n{sources}"
    return found


def the_procedure(texts: Mapping[str, str | bytes], id: str = "fit-pump") -> Checked[Procedure]:
    return check_all(with_trade(texts))[0].procedures[id]


@dataclass(frozen=True)
class Story:
    """One file of tests/faults: faulty sources, and the exact words of their faults."""

    name: str
    texts: Mapping[str, bytes]
    pictures: Mapping[str, bytes] | frozenset[str]
    expect: str
    guide: Mapping[str, bytes]
    notes: bool
    """Pages of the guide as a browser gets them, by the name of the source they were made from."""
    before: Mapping[str, str | None] | None = None
    """What was otherwise in the sources of the last build: a text, or None for no such file."""
    unread: Mapping[str, str] = field(default_factory=dict)

    def told(self) -> tuple[list[str], str]:
        """Return the classes of the faults found, and their words."""
        sources = {path: (path, page.decode()) for path, page in self.guide.items()}
        checked = check_texts(self.texts, self.pictures, DAY)
        since = compare(self._earlier(), checked)
        noted = since.notes if self.unread or self.before else checked.notes
        of_sources = noted if self.notes else [*checked.faults, *since.faults]
        found = [*of_sources, *check_pages(self.guide, sources)]
        words = report.text(found, {}).rpartition("\n")[0]
        return names_of(found), words + "\n"

    def _earlier(self) -> Earlier:
        """Return the worksheets of the last build, if the story has one."""
        unread = tuple(self.unread.items())
        if self.before is None:
            return Earlier("site", unread=unread)
        changed = {path: text.encode() for path, text in self.before.items() if text is not None}
        kept = {path: text for path, text in self.texts.items() if path not in self.before}
        past = check_texts({**kept, **changed}, self.pictures, DAY)
        assert past.sheets, names_of([*past.faults])
        return Earlier("site", {sheet["worksheet"]: sheet for sheet in past.sheets}, unread)


def stories() -> list[Story]:
    shared = yaml.safe_load((STORIES_AT / "shared.yml").read_text(encoding="utf-8"))
    return [_story(path, shared) for path in sorted(STORIES_AT.glob("*/*.yml"), key=lambda path: path.stem)]


def _story(path: Path, shared: Mapping[str, Mapping[str, str]]) -> Story:
    told = yaml.safe_load(path.read_text(encoding="utf-8"))
    encoding, times = told.get("encoding", "utf-8"), told.get("times", 1)
    given = {name: text for of in told.get("shared", ()) for name, text in shared[of].items()}
    texts = {name: (text * times).encode(encoding) for name, text in {**given, **told["files"]}.items()}
    on_disk = bool(told.keys() & {"folders", "links"})
    if not told.get("bare") and (not on_disk or any(name.startswith("procedures/") for name in texts)):
        texts = {**{name: text.encode() for name, text in TRADE.items()}, **texts}
    guide = {path: page.encode() for path, page in told.get("guide", {}).items()}
    read = _on_disk(texts, told) if told.keys() & {"folders", "links"} else texts
    past = told.get("before"), told.get("unread", {})
    return Story(path.stem, read, _pictures(told), told.get("expect", ""), guide, told.get("notes", False), *past)


def _pictures(told: Mapping[str, Any]) -> Mapping[str, bytes] | frozenset[str]:
    """Return a list of names, or the content of each: a letter for each byte, `picture_times` over."""
    given, times = told.get("pictures", []), told.get("picture_times", 1)
    if isinstance(given, list):
        return frozenset(given)
    return {name: (text * times).encode("latin-1") for name, text in given.items()}


def _on_disk(texts: Mapping[str, bytes], told: Mapping[str, Any]) -> Mapping[str, bytes]:
    """Write the texts to two folders, with links ({path: target}), pipes, empty folders. Read them from there."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        disk.write_files(texts, root)
        for path in [*told.get("links", ()), *told.get("pipes", ()), *told.get("empty", ())]:
            (root / path).parent.mkdir(parents=True, exist_ok=True)
        for path, target in told.get("links", {}).items():
            (root / path).symlink_to(target)
        for path in told.get("pipes", ()):
            os.mkfifo(root / path)
        for path in told.get("empty", ()):
            (root / path).mkdir()
        return disk.read_sources(root, tuple(told.get("folders", ("procedures", "shop"))))


def fault_kinds(parent: type[Fault] = Fault) -> list[type[Fault]]:
    """Return every class of fault that can be reported, module by module."""
    for module in pkgutil.iter_modules(faults.__path__, "generator.faults."):
        importlib.import_module(module.name)
    children = parent.__subclasses__()
    return [
        kind
        for child in children
        if child.__module__.startswith("generator.faults.")
        for kind in ([] if inspect.isabstract(child) else [child]) + fault_kinds(child)
    ]


def in_kebab(name: str) -> str:
    """`UnknownKey` -> `unknown-key`: the name of a fault's story."""
    return re.sub(r"(?<!^)(?=[A-Z])", "-", name).lower()


def main(names: list[str]) -> int:
    """Print the words that each story gets now, as they stand in its file. Return 2 if there is no such story."""
    known = {story.name: story for story in stories()}
    for name in names:
        if name not in known:
            print(
                f"tests/faults has no story {name}.yml; put it into the folder named after the module of its fault.",
                file=sys.stderr,
            )
            return 2
        print("expect: |\n" + textwrap.indent(known[name].told()[1], "  "), end="")
    return 0


if __name__ == "__main__":  # python -m tests.support.harness unknown-key
    sys.exit(main(sys.argv[1:]))
