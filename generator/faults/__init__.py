"""Every way a source can be wrong, one class each: what is wrong, and what to write instead.

`base` says what a fault is. Each other module has the faults of one subject, in the order in which it is looked at. The
docstring of each class says why it is wrong.
"""

from generator.faults.base import Fault, in_order
from generator.faults.wording import LISTED, counted, did_you_mean, excerpt, in_quotes, listing, nearest, part

__all__ = [
    "LISTED",
    "Fault",
    "counted",
    "did_you_mean",
    "excerpt",
    "in_order",
    "in_quotes",
    "listing",
    "nearest",
    "part",
]
