"""Turn every safe side that the library declares, one at a time, and see who notices.

`python -m tests.quantities.safe_sides_harness` prints one line for each: whether `check` has a fault for it, and
whether the law does. The law: over a grid of figures in every unit, on desk and phone, a figure is never told on the
side that `SIDES` rules out. `SIDES` is written by hand from what each figure is used for, not from the procedures.
Ends with 1 if a turned side is noticed by nobody, or if the sides as declared have a fault.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from generator.check.result_formulas import Bench
from generator.compile.calculators import group_of
from generator.faults import Fault
from generator.faults.result import SafeSideTurned
from generator.model import Borrowed, Procedure
from generator.quantities.nearness import side
from generator.quantities.told import ground, told
from tests.proofs.edges_harness import float_base
from tests.support import demo
from tests.support.node import Phone

# What a figure is used for, and where it must never be told. common practice, no source
SIDES: Mapping[tuple[str, str], tuple[str, str]] = {
    ("agree-the-work", "interval_distance"): ("never above", "the belt is made for no more"),
    ("agree-the-work", "distance_left"): ("never above", "nobody drives a distance that is not left"),
    ("agree-the-work", "next_due_odometer"): ("never above", "the next belt is not later than due"),
    ("coolant-sums", "label_by_volume"): ("never above", "a label promises no more antifreeze than it has"),
    ("coolant-sums", "label_freezes"): ("never below", "the mix protects to no colder than that"),
    ("cold-enough", "engine_over"): ("never below", "an engine is never colder than it is"),
    ("cold-re-check", "hose_over_again"): ("never below", "a hose is never colder than it is"),
    ("cold-re-check", "mix_off"): ("never above", "a mix is never richer than it is"),
    ("cold-re-check", "protects_now"): ("never below", "protection is never colder than it is"),
    ("coolant-choice", "concentrate"): ("never below", "less makes the mix too thin"),
    ("coolant-choice", "premix"): ("never below", "less makes the mix too thin"),
    ("coolant-choice", "best_mix"): ("never above", "no richer mix can be reached"),
    ("coolant-choice", "mix_expected"): ("never above", "a mix is never richer than it is"),
    ("coolant-choice", "protects_to"): ("never below", "protection is never colder than it is"),
    ("cap-off", "hose_over"): ("never below", "a hose is never colder than it is"),
    ("heat-test", "air_at_cap"): ("never above", "less air boils sooner"),
    ("heat-test", "boils_at"): ("never above", "boiling is never higher than it is"),
    ("heat-test", "boiling_margin"): ("never above", "no more is left before it boils"),
    ("offset-check", "offset_moved"): ("never below", "a cam never moved less than it did"),
    ("offset-check", "offset_moved_keyless"): ("never below", "a cam never moved less than it did"),
    ("pressure-test", "pump_to"): ("never above", "the cap holds no more"),
    ("pressure-test", "test_at"): ("never above", "the cap holds no more"),
    ("pressure-test-full", "pump_to"): ("never above", "the cap holds no more"),
    ("pressure-test-full", "test_at"): ("never above", "the cap holds no more"),
    ("refill-vacuum", "air_by_altitude"): ("never above", "a vacuum is never deeper than the air"),
    ("refill-vacuum", "air_outside"): ("never above", "a vacuum is never deeper than the air"),
    ("refill-vacuum", "vacuum_greatest"): ("never above", "no gauge shows more"),
    ("refill-vacuum", "coolant_vapour"): ("never below", "it boils below this"),
    ("refill-vacuum", "vacuum_boils"): ("never above", "it boils at this"),
    ("refill-vacuum", "vacuum_share"): ("never above", "no gauge shows more"),
    ("refill-vacuum", "vacuum_limit"): ("never above", "it boils a little above this"),
    ("refill-vacuum", "vacuum_wanted"): ("never below", "it is compared with what is possible"),
    ("refill-vacuum", "vacuum_pull"): ("never above", "it boils a little above this"),
    ("refill-vacuum", "air_left"): ("never below", "air inside is never less than it is"),
    ("timing-look-again", "block_over_again"): ("never below", "an engine is never colder than it is"),
    ("torque-adapter", "adapter_reach"): ("never above", "a lever is never longer than it is"),
}
WRONG = {"never above": 1, "never below": -1}
OTHER = {"up": "down", "down": "up"}
FIGURES = [number / 100 for number in range(-4000, 16000, 637)]


class Side(NamedTuple):
    procedure: str
    result: str
    safe: str


def declared() -> list[Side]:
    return [
        Side(name, result, said.safe)
        for name, procedure in sorted(demo.library().procedures.items())
        for result, said in procedure.noun.results.items()
        if not isinstance(said, str | Borrowed) and said.safe
    ]


def faults_when(one: Side, safe: str) -> list[Fault]:
    """Return what `check` says of a procedure whose result has this side."""
    library = demo.library()
    source = library.procedures[one.procedure]
    said = source.noun.results[one.result].model_copy(update={"safe": safe})  # type: ignore[union-attr]
    noun: Procedure = source.noun.model_copy(update={"results": {**source.noun.results, one.result: said}})
    turned = type(source)(noun, source.node, source.file)
    bench = Bench({**library.procedures, one.procedure: turned}, library.tables, library.trade.divisions)
    bench.work(one.procedure)
    return bench.faults


def asked(one: Side, safe: str) -> tuple[dict[str, Any], list[tuple[str, float]]]:
    """Return the arithmetic of a procedure with this side, and the figures of the law: (unit, base)."""
    library = demo.library()
    group = group_of(library, library.procedures[one.procedure])
    results = [{**of, "safe": safe} if of["name"] == one.result else of for of in group["results"]]
    result = next(of for of in results if of["name"] == one.result)
    units = [unit for unit in result["units"] if unit in group["units"]]
    figures = [(unit, float_base(group, repr(figure), unit)) for unit in units for figure in FIGURES]
    return {"results": results, "readings": group["readings"], "units": group["units"]}, figures


PHONE = """async ({ group, figures, name }) => {
  const { ground, told } = await import('/phone/quantities/told.js');
  return figures.map(([unit, base]) => told(name, unit, ground(group, { [name]: { base } }, () => null)));
}"""


def beyond(one: Side, safe: str, phone: Phone) -> Iterator[tuple[str, str, float]]:
    """Yield every figure that desk or phone tells on the side that is ruled out: (unit, text, base)."""
    group, figures = asked(one, safe)
    wrong = WRONG[SIDES[one.procedure, one.result][0]]
    there = phone.evaluate(PHONE, {"group": group, "figures": figures, "name": one.result})
    for (unit, base), phone in zip(figures, there, strict=True):
        here = told(one.result, unit, ground(group, {one.result: {"base": base}}, lambda name: None))
        assert here is not None and here == phone, (one, unit, base, here, phone)
        if side(float_base(group, here, unit), base) == wrong:
            yield unit, here, base


def has_fault(one: Side, safe: str) -> bool:
    """True if `check` tells that this side is wrong."""
    return any(isinstance(fault, SafeSideTurned) for fault in faults_when(one, safe))


def main() -> int:
    print("| procedure | result | safe | turned: check | turned: law |\n| --- | --- | --- | --- | --- |")
    phone, seen, unseen, wrong = Phone(), [0, 0], 0, 0
    for one in declared():
        wrong += bool(faults_when(one, one.safe)) + any(beyond(one, one.safe, phone))
        check, law = has_fault(one, OTHER[one.safe]), len(list(beyond(one, OTHER[one.safe], phone)))
        seen, unseen = [seen[0] + check, seen[1] + bool(law)], unseen + (not check and not law)
        print(f"| {one.procedure} | {one.result} | {one.safe} | {'a fault' if check else '-'} | {law} figures |")
    phone.close()
    count = f"{len(declared())} sides turned: {seen[0]} noticed by check, {seen[1]} by the law, {unseen} by nobody"
    print(f"\n{count}; {wrong} wrong as declared.")
    return 1 if unseen or wrong or {(one.procedure, one.result) for one in declared()} != set(SIDES) else 0


if __name__ == "__main__":
    sys.exit(main())
