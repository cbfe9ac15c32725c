"""A figure is told on its safe side, never into its limit, and so that parts add up: alike in both languages."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.quantities.nearness import side
from generator.quantities.told import ground, told
from generator.quantities.units import KINDS, table_json
from tests.published.worked import work
from tests.support.node import Phone

UNITS = table_json(["volume", "temperature", "gauge", "length", "share"])
ASK = """async (several) => {
  const { ground, told } = await import('/phone/quantities/told.js');
  return several.map(({ sheet, states, typed, name, unit }) => (
    told(name, unit, ground(sheet, states, (one) => typed[one] ?? null))
  ));
}"""


@pytest.fixture(scope="module")
def phone() -> Any:
    one = Phone()
    yield one
    one.close()


def result(name: str, unit: str, **more: Any) -> dict[str, Any]:
    kind = UNITS[unit]["kind"]
    return {"name": name, "kind": kind, "unit": unit, "units": list(KINDS[kind]), "step": None, **more}


def case(
    base: float, unit: str, shown_in: str = "", typed: Any = None, beside: Any = (), **more: Any
) -> dict[str, Any]:
    """One figure with what it is compared with (`worths`) and the other parts of its whole."""
    worths = more.pop("worths", [])
    if worths:
        more["against"] = [0] * len(worths)
    one = result("one", unit, **more)
    states = {"one": {"base": base, "against": worths}, **{of["name"]: {"base": of.pop("base")} for of in beside}}
    sheet = {"results": [one, *beside], "readings": {}, "units": UNITS}
    return {"sheet": sheet, "states": states, "typed": typed or {}, "name": "one", "unit": shown_in or unit}


def here(one: dict[str, Any]) -> str | None:
    typed = {name: (of["number"], of["unit"]) for name, of in one["typed"].items()}
    return told(one["name"], one["unit"], ground(one["sheet"], one["states"], typed.get))


def base_of(number: float, unit: str) -> float:
    return (number + UNITS[unit]["offset"]) * UNITS[unit]["scale"]


def read(text: str, unit: str) -> float:
    return base_of(float(text), unit)


@pytest.mark.parametrize(
    ("number", "unit", "step", "safe", "worths", "said"),
    [
        (-15.72, "degC", 1, "up", [], "-15"),
        (-15.72, "degC", 0.1, "up", [], "-15.7"),
        (-15.0, "degC", 1, "up", [], "-15"),
        (-21.7, "degC", 1, "up", [-22], "-21"),
        (-22.0, "degC", 1, "up", [-22], "-22"),
        (-22.3, "degC", 1, "up", [-22.3], "-22.3"),
        (-21.7, "degC", 1, None, [-22], "-21.7"),
        (-22.04, "degC", 1, None, [-22], "-22.04"),
        (89.63, "kPa(g)", 1, "down", [], "89"),
        (90, "kPa(g)", 1, "down", [], "90"),
        (90, "kPa(g)", 1, "up", [], "90"),
        (0.9, "bar(g)", 0.1, "down", [], "0.9"),
        (0.3, "L", 0.1, "down", [], "0.3"),
        (-0.04, "L", 0.1, None, [0], "-0.04"),
        (0, "L", 0.1, None, [0], "0.0"),
        (48.75, "%", 1, "down", [50], "48"),
        (49.6, "%", 1, None, [50], "49.6"),
        (6.5432, "L", None, "down", [], "6.543"),
        (6.5432, "L", None, "up", [], "6.544"),
        (118350.4, "L", None, "up", [], "118351"),
        (2.4996, "mm", 0.5, None, [2.5], "2.4996"),
    ],
)  # fmt: skip
def test_a_figure_is_told_so(
    phone: Any, number: float, unit: str, step: Any, safe: Any, worths: Any, said: str
) -> None:
    more = {"safe": safe} if safe else {}
    one = case(base_of(number, unit), unit, step=step, worths=[base_of(worth, unit) for worth in worths], **more)
    assert here(one) == said and phone.evaluate(ASK, [one]) == [said]


def parts(base: float, whole: Any, *others: tuple[float, str | None], step: float = 0.1, **more: Any) -> dict[str, Any]:
    names = [f"other{at}" for at in range(len(others))]
    group = {"whole": "all", "parts": [*names, "one"]}
    beside = [
        result(name, "L", step=step, base=other / 1000, part_of=group, **({"safe": safe} if safe else {}))
        for name, (other, safe) in zip(names, others, strict=True)
    ]
    return case(base / 1000, "L", typed={"all": whole}, beside=beside, step=step, part_of=group, **more)


def L(number: float) -> dict[str, Any]:
    return {"number": number, "unit": "L"}


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (parts(3.25, L(6.5), (3.25, "up")), "3.2"),
        (parts(3.25, L(6.5), (3.25, "down")), "3.3"),
        (parts(3.25, L(6.5), (3.25, None)), "3.2"),
        (parts(3.275, L(6.55), (3.275, "up")), "3.25"),
        (parts(3.25, L(6.5), (3.25, "up"), safe="up"), "3.25"),
        (parts(3.2, L(6.5), (3.3, "up"), safe="up"), "3.2"),
        (parts(1 / 3, L(1), (2 / 3, "up"), safe="up"), "0.34"),
        (parts(3.25, L(6.6), (3.25, "up")), "3.3"),
        (parts(1.04, L(3.12), (1.04, "up"), (1.04, "up")), "0.92"),
        (parts(0, L(3.25), (3.25, "up")), "0.0"),
        (parts(3, L(6), (3, None)), "3.0"),
        (parts(0, L(3), (3, None)), "0.0"),
        (parts(-0.04, L(6.5), (6.54, "up"), worths=[0.0]), "-0.1"),
        (parts(-0.04, L(6.5), (6.54, "down"), worths=[0.0]), "-0.04"),
        (parts(3.25, {"number": 6500, "unit": "mL"}, (3.25, "up")), "3.2"),
    ],
)
def test_parts_are_told_so_that_they_make_their_whole(phone: Any, one: dict[str, Any], said: str) -> None:
    assert here(one) == said and phone.evaluate(ASK, [one]) == [said]


steps = st.sampled_from([None, 1, 0.1, 0.01, 0.5, 5, 0.25, 2])
bases = st.one_of(
    st.integers(-4000, 4000).map(lambda n: n / 40),
    st.floats(-1e4, 1e4),
    st.integers(-400, 400).map(lambda n: n / 10 + 1e-13),
)
PAIRS = [("L", "qt"), ("degC", "degF"), ("kPa(g)", "psi(g)"), ("mm", "in"), ("%", "%"), ("degC", "degC")]


@st.composite
def figures(draw: Any) -> tuple[dict[str, Any], float, list[float]]:
    unit, other = draw(st.sampled_from(PAIRS))
    base = base_of(draw(bases), unit)
    near = st.sampled_from([0.0, 1e-4, -1e-4, 0.01, -0.01, 0.4, -0.4, 1.0, -1.0]).map(
        lambda off: base + off * UNITS[unit]["scale"]
    )
    worths = draw(st.lists(near, max_size=2))
    safe = draw(st.sampled_from(["down", "up", None]))
    more = {"safe": safe} if safe else {}
    return case(base, unit, draw(st.sampled_from([unit, other])), step=draw(steps), worths=worths, **more), base, worths


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=30)
@given(several=st.lists(figures(), min_size=20, max_size=20))
def test_no_figure_is_told_beyond_its_safe_side_or_across_its_limit(phone: Any, several: Any) -> None:
    texts = phone.evaluate(ASK, [one for one, _, _ in several])
    for (one, base, worths), text in zip(several, texts, strict=True):
        assert text == here(one), one
        safe, shown_as = one["sheet"]["results"][0].get("safe"), read(text, one["unit"])
        allowed = {"down": (-1, 0), "up": (0, 1), None: (-1, 0, 1)}[safe]
        assert side(shown_as, base) in allowed, (one, text)
        for worth in worths:
            where = side(base, worth)
            assert where == 0 or side(shown_as, worth) == where, (one, text)


@st.composite
def wholes(draw: Any) -> list[dict[str, Any]]:
    """Every part of one whole, asked for in turn."""
    tenths = draw(st.lists(st.integers(1, 4000), min_size=2, max_size=4))
    split = draw(st.sampled_from([100, 1000]))
    litres = [n / split for n in tenths]
    sides = draw(st.lists(st.sampled_from(["up", "down", None]), min_size=len(litres), max_size=len(litres)))
    names = [f"part{at}" for at in range(len(litres))]
    group = {"whole": "all", "parts": names}
    results = [
        result(name, "L", step=0.1, part_of=group, **({"safe": safe} if safe else {}))
        for name, safe in zip(names, sides, strict=True)
    ]
    states = {name: {"base": one / 1000} for name, one in zip(names, litres, strict=True)}
    typed = {"all": L(float(sum(map(Fraction, map(str, litres)))))}
    sheet = {"results": results, "readings": {}, "units": UNITS}
    return [{"sheet": sheet, "states": states, "typed": typed, "name": name, "unit": "L"} for name in names]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=30)
@given(several=st.lists(wholes(), min_size=10, max_size=10))
def test_parts_beside_their_whole_add_up(phone: Any, several: Any) -> None:
    texts = phone.evaluate(ASK, [one for group in several for one in group])
    assert texts == [here(one) for group in several for one in group]
    for group in several:
        said, texts = texts[: len(group)], texts[len(group) :]
        sides = [one.get("safe") for one in group[0]["sheet"]["results"]]
        whole = Fraction(str(group[0]["typed"]["all"]["number"]))
        for text, safe, one in zip(said, sides, group, strict=True):
            if safe:
                allowed = (-1, 0) if safe == "down" else (0, 1)
                assert side(read(text, "L"), one["states"][one["name"]]["base"]) in allowed
        if None in sides:
            assert sum(map(Fraction, said)) == whole or _rest_is_negative(group, said, whole), (said, group)


def _rest_is_negative(group: list[dict[str, Any]], said: list[str], whole: Fraction) -> bool:
    """True where the safe sides of the others take more than there is: then the last is told by itself."""
    last = [
        one["name"]
        for one in group
        if not next(r for r in one["sheet"]["results"] if r["name"] == one["name"]).get("safe")
    ][-1]
    others = sum(Fraction(text) for text, one in zip(said, group, strict=True) if one["name"] != last)
    return others > whole


# --- through the library ----------------------------------------------------------------------------------------------


def test_protection_is_never_told_colder_than_it_is() -> None:
    for tenths in range(200, 570, 3):
        for how in ("flushed", "propylene_flushed"):
            worked = work(
                "cold-re-check",
                mix_in_car=f"{tenths / 10}%",
                coolant_kind=how.replace("_", "-"),
                shop_coldest="-22degC",
            )
            one = worked["protects_now"]
            assert one.text is not None and float(one.text.split()[0]) >= one.value - 1e-6
            shown_bad = side(read(one.text.split()[0], "degC"), base_of(-22, "degC")) > 0
            assert shown_bad == one.bad, one


def test_a_drain_a_little_beyond_the_book_leaves_nothing_and_one_far_beyond_is_bad() -> None:
    """A book rounds: up to a twentieth over it, 6.825 L of 6.5, nothing stayed inside, and never less than that."""
    little, most, far = (
        work("coolant-choice", drained=out, coolant_capacity="6.5L")["left_inside"]
        for out in ("6.54L", "6.825L", "6.83L")
    )
    assert [one.bad for one in (little, most, far)] == [False, False, True]
    assert [float((one.text or "").split()[0]) for one in (little, most, far)] == [0, 0, 0]


def test_half_of_what_was_drained_and_half_of_it_are_what_was_drained() -> None:
    worked = work(
        "coolant-choice",
        drained="6.5L",
        coolant_capacity="6.5L",
        mix_wanted="50%",
        freeze_now="0degC",
        coolant_kind="flushed",
    )
    assert [worked[name].text for name in ("concentrate", "water")] == ["3.3 L", "3.2 L"]
