"""What may have been meant by a figure that is not what was expected. The same as `meantBy` on the phone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from generator.canonical import canonical
from generator.quantities.quantity import Quantity
from generator.quantities.trees import BELOW_ZERO, MOST_MEANT, SLIPS, figure
from generator.quantities.units import NOISE


def meant_by(given: Quantity, kind: str, units: Sequence[str], fits: Callable[[Quantity], bool]) -> list[Quantity]:
    """Return the figures that fit had the minus been left out, the point slipped by one place or another of the units
    been read, in this order. `kind` is that of the reading.

    >>> [str(one) for one in meant_by(Quantity("26", "L"), "volume", ["L", "qt"], lambda one: one.base < 0.025)]
    ['2.6 L', '26 qt']
    """
    return [one for one in _candidates(given, kind, units) if fits(one)][:MOST_MEANT]


def _candidates(given: Quantity, kind: str, units: Sequence[str]) -> Iterator[Quantity]:
    number = given.figure
    if number > 0 and kind in BELOW_ZERO:
        yield Quantity(canonical(-number), given.unit)
    for tree in SLIPS.values():
        slipped = figure(tree, number=number)
        if slipped is not None:
            # 55 * 0.1 is 5.5 and not 5.500000000000001.
            yield Quantity(canonical(float(f"{slipped:.{NOISE}g}")), given.unit)
    for unit in units:
        if unit != given.unit:
            yield Quantity(canonical(number), unit)
