"""Spellings of a torque: those in use have one meaning, and any that could mean something else is refused."""

from __future__ import annotations

import subprocess
import sys
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.quantities.quantity import Quantity, written
from generator.quantities.spellings import torque_of, torque_unit, typed_as
from generator.quantities.units import KINDS, to_base

SIGNS = ".-*· "
LETTERS = "Nmftlbinkgc" + SIGNS
PIECES = ["N", "m", "mm", "cm", "ft", "in", "lb", "lbf", "lbs", "kg", "kgf", "g", "k", "t", "oz", "mN", "kN", *SIGNS]
# What a force and a length could be called, in newtons and metres. A weight is written by its mass. t is a tonne.
FORCES = {"N": 1.0, "mN": 1e-3, "cN": 1e-2, "kN": 1e3} | {
    name: times * to_base(1, "kgf.m")
    for name, times in {"kg": 1, "kgf": 1, "g": 1e-3, "gf": 1e-3, "mg": 1e-6, "cg": 1e-5, "t": 1e3, "tf": 1e3}.items()
}
FORCES |= dict.fromkeys(("lb", "lbf", "lbs"), to_base(1, "lbf.ft") / 0.3048)
LENGTHS = {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "nm": 1e-9, "ft": 0.3048, "in": 0.0254}
SAYS = {
    "N.m": ["N.m", "Nm", "N m", "N·m", "N-m", "N*m", "N · m", "newton metre", "newton-meters"],
    "lbf.ft": ["ft-lb", "ftlb", "ft.lbs", "lb-ft", "lbf.ft", "lbf ft", "ft·lbf", "lb.ft.", "ft. lb.", "FT-LBS", "Ft-Lb",
               "lbft", "lbfft", "ft.-lb.", "foot-pounds", "pound-feet", "foot pound"],
    "lbf.in": ["in-lb", "inlb", "in.lbs", "lb-in", "lbf.in", "in. lbs.", "IN-LB", "lbfin", "inch-pounds",
               "inch pounds"],
    "kgf.m": ["kgm", "kgf-m", "kgf.m", "kg-m", "kg.m", "kgf m", "kgfm", "kg·m"],
    "kgf.cm": ["kgf.cm", "kgcm", "kg-cm", "kgf cm", "kgfcm", "kg·cm"],
}  # fmt: skip
# Another size, another quantity, a division, letters that a library of units reads as something, and nonsense.
REFUSED = [
    "", "10", "10 ", "Nm",
    "10 Nmm", "10 mNm", "10 N.mm", "10 Ncm", "10 kNm", "10 cNm", "10 MNm", "10 nm", "10 NM", "10 N",
    "10 m", "10 m.N", "10 N/m", "10 Nm2", "10 fmlb", "10 oz-in", "10 lb/ft", "10 ft/lb", "10 lb", "10 ft", "10 in",
    "10 kg", "10 kg/m", "10 gcm", "10 g.m", "10 mkg", "10 Kgm", "10 kGm", "10 KGM", "10 kgfmm", "10 ftt-lb", "10 lb lb",
    "10 ft ft", "10 ft-lb-in", "10 lb..ft", "10 fT-lb", "10 in_lb", "10 inch_pound", "10 yd-lb", "10 t.m", "10 daN.m",
    "10-12 Nm", "10 ± 2 Nm", "10 Nm ± 10 %", "10/12 Nm", "7 1/2 ft-lb", "-5 Nm", "+5 Nm", "0 Nm", "0.0 Nm", "010 Nm",
    "1e3 Nm", ".5 Nm", "5. Nm", "1,000 in-lb", "1.000,5 Nm", "1 000 Nm", "１0 Nm", "10 Nm (7 ft-lb)", "ten Nm",
    "10 Nm.",
    "10\u00b5Nm", "1234567890 Nm", "10 lbm.ft", "10 deg", "10 kPa",
]  # fmt: skip


def meanings(text: str) -> set[float]:
    """Return everything that a text of these letters could mean as a force times a length, in N.m."""
    found = set()
    for at in range(1, len(text)):
        one, other = text[:at].strip(SIGNS), text[at:].strip(SIGNS)
        for force, length in ((one, other), (other, one)):
            if force in FORCES and length in LENGTHS:
                found.add(FORCES[force] * LENGTHS[length])
    return found


def only_one_meaning(text: str) -> bool:
    """True if the text is no unit here, or if everything it could mean has the size it has here."""
    unit = torque_unit(text)
    if unit is not None:
        assert sorted(meanings(text)) == pytest.approx([to_base(1, unit)]), text
    return unit is not None


@pytest.mark.parametrize(("unit", "text"), [(unit, text) for unit, texts in SAYS.items() for text in texts])
@pytest.mark.parametrize("between", ["", " ", "  "])
def test_a_spelling_in_use_is_understood(unit: str, text: str, between: str):
    assert torque_of(f" 2.5{between}{text} ") == Quantity("2.5", unit)


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_not_clear_is_nothing(text: str):
    assert torque_of(text) is None


def test_all_short_texts_of_the_letters_mean_one_thing_or_nothing():
    texts = ("".join(letters) for length in (1, 2, 3, 4) for letters in product(LETTERS, repeat=length))
    assert sum(map(only_one_meaning, texts)) > 20


def test_all_texts_of_a_few_pieces_mean_one_thing_or_nothing():
    texts = {"".join(pieces) for length in (2, 3, 4) for pieces in product(PIECES, repeat=length) if "b" in pieces[0]}
    assert sum(map(only_one_meaning, texts)) > 30


@settings(max_examples=500, deadline=None, derandomize=True)
@given(
    st.lists(st.sampled_from([*PIECES, *"fibc"]), min_size=2, max_size=6).map("".join) | st.text(LETTERS, max_size=8)
)
def test_no_spelling_is_accepted_with_another_meaning(text: str):
    only_one_meaning(text)


def test_the_search_for_meanings_sees_a_second_one():
    """mNm and Nmm are a thousandth of Nm; gcm is a weight times a length."""
    assert meanings("mNm") == {1e-3} and meanings("Nmm") == {1e-3} and meanings("lbft") == {meanings("ft-lb").pop()}
    assert list(meanings("gcm")) == pytest.approx([9.80665e-5]) and meanings("oz-in") == set()


@settings(max_examples=300, deadline=None, derandomize=True)
@given(
    st.integers(1, 10**9 - 1), st.integers(0, 999), st.sampled_from([text for texts in SAYS.values() for text in texts])
)
def test_what_is_understood_keeps_its_number_and_can_stand_in_a_source(whole: int, part: int, text: str):
    said = torque_of(f"{whole}.{part:03} {text}")
    assert said is not None and written(str(said)) == said == torque_of(str(said))
    assert said.number == f"{whole}.{part:03}" and said.unit in KINDS["torque"]


@pytest.mark.parametrize(
    ("text", "number"), [("2,5 Nm", "2.5"), ("0,125 kgm", "0.125"), ("12,50 Nm", "12.50"), ("1,2345 Nm", "1.2345")]
)
def test_a_comma_is_a_point_where_it_cannot_part_thousands(text: str, number: str):
    found = torque_of(text)
    assert found is not None and found.number == number


@pytest.mark.parametrize(("text", "found"), [
    ("300 mm", ["300 mm"]), ("300mm", ["300 mm"]), ("12 in", ["12 in"]), ("0,4 m", ["0.4 m"]), ("0 mm", ["0 mm"]),
    ("-3 mm", ["-3 mm"]), ("3,000 mm", ["3 mm", "3000 mm"]), ("1.234,5 mm", ["1234.5 mm"]),
    ("300", []), ("300 N.m", []), ("3 MM", []), ("3 to 4 mm", []), ("1e3 mm", []), ("NaN mm", []), ("mm", []), ("", []),
])  # fmt: skip
def test_a_length_has_its_unit_as_we_write_it(text: str, found: list[str]):
    assert [str(one) for one in typed_as(text, "length")] == found


@pytest.mark.parametrize(("text", "found"), [
    ("25 Nm", ["25 N.m"]), ("25,5 ft-lb", ["25.5 lbf.ft"]), ("18 ft lb", ["18 lbf.ft"]), ("0 Nm", ["0 N.m"]),
    ("-5 Nm", ["-5 N.m"]), ("1.234 Nm", ["1.2340 N.m", "1234 N.m"]), ("25", []), ("10-12 Nm", []), ("25 Nmm", []),
])  # fmt: skip
def test_a_torque_that_is_typed_may_be_spelled_as_people_do(text: str, found: list[str]):
    assert [str(one) for one in typed_as(text, "torque")] == found


def test_no_text_reaches_a_library_of_units():
    read = "from generator.quantities.spellings import torque_of; torque_of('5 ftlb')"
    look = f"{read}; import sys; print('pint' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True, timeout=60)
    assert told.stdout.strip() == "False"
