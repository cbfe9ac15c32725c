"""Span tension from its frequency: a stretched string, T = 4 m L^2 f^2, with m the mass for each length.

The formula is on many pages about belts, none of them with a worked example. Figures worked out by hand.
"""

from __future__ import annotations

import pytest

from tests.published.worked import work

# g/(m mm), mm of width, mm of span, Hz: N. The makers' form, 4 M W S^2 f^2 / 10^9, is from memory.
MAKERS = [(6.4, 25, 180, 120, 298.6)]
# kg/m, m, Hz: N. The same as a belt of 20 mm with so many g/(m mm).
STRINGS = [(0.1, 0.25, 100, 250), (0.12, 0.18, 150, 349.9)]


def span(mass: float, width: float, length: float, **typed: str):
    return work(
        "span-tension",
        belt_mass=f"{mass}g/(m.mm)",
        belt_width=f"{width}mm",
        span_length=f"{round(length, 6)}mm",
        **typed,
    )


@pytest.mark.parametrize(("mass", "width", "length", "frequency", "newtons"), MAKERS)
def test_the_makers_form_comes_out(mass, width, length, frequency, newtons):
    tension = span(mass, width, length, belt_frequency=f"{frequency}Hz")["span_tension"].value
    assert tension == pytest.approx(newtons, abs=0.05)
    assert tension == pytest.approx(4 * mass * width * length**2 * frequency**2 / 1e9)


@pytest.mark.parametrize(("mass", "length", "frequency", "newtons"), STRINGS)
def test_a_string_of_so_many_kilograms_a_metre_is_as_tight(mass, length, frequency, newtons):
    worked = span(mass * 1000 / 20, 20, length * 1000, belt_frequency=f"{frequency}Hz")
    assert worked["span_tension"].value == pytest.approx(newtons, abs=0.05)


def test_the_wanted_tension_sounds_at():
    """250 N, 0.12 kg/m, 0.2 m: 114.1 Hz."""
    worked = span(6, 20, 200, span_force="250N")
    assert worked["frequency_wanted"].value == pytest.approx(114.1, abs=0.05)


def test_twice_the_tone_is_four_times_the_tension():
    low, high = (span(6.4, 25, 180, belt_frequency=f"{hertz}Hz")["span_tension"].value for hertz in (60, 120))
    assert high == pytest.approx(4 * low)
