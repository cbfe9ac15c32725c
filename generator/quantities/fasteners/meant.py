"""What was meant by a thread or a class that looks like one of a standard and is none."""

from __future__ import annotations

import re

from generator.quantities.fasteners.preload import METRIC, Thread, thread_of
from generator.quantities.fasteners.standards import CLASSES, COARSE

_NEARLY = re.compile(r"[Mm] ?(?P<d>[0-9]{1,2}(?:[.,][0-9])?)(?P<rest>.*)|(?P<bare>[0-9]{1,2}) ?[x×X*] ?(?P<p>[0-9.,]+)")
_PITCH = re.compile(r"[ -]*[x×X*/-]? ?(?P<pitch>[0-9](?:[.,][0-9]{1,3})?)")
# Classes of nuts, ISO 898-2: what is tightened may be one, and then nothing here judges it. From memory.
NUT_CLASSES = ("04", "05", "5", "6", "8", "9", "10", "12")


def nearly_a_thread(text: str) -> bool:
    """True if a text looks like a metric thread and is none, so that it is a slip. Not of a size without figures here,
    and of one with more said of it (left-hand, a tolerance).

    >>> nearly_a_thread("M10-1.5"), nearly_a_thread("10x1.5"), nearly_a_thread("M8x12.5")
    (True, True, True)
    >>> nearly_a_thread("G 1/4"), nearly_a_thread("M9x1"), nearly_a_thread("M10x1.5 LH")
    (False, False, False)
    """
    near = None if thread_of(text) else _NEARLY.fullmatch(text.strip())
    begins = METRIC.match(text.strip())
    if near is None or begins is None:
        return near is not None
    more = text.strip()[begins.end() :]
    is_whole = begins["pitch"] is not None and (
        not more or re.fullmatch(r"[ -]+[0-9]{0,2}[A-Za-z].*", more) is not None
    )
    return not is_whole or (float(begins["d"]) in COARSE and thread_of(begins[0]) is None)


def meant_thread(text: str) -> Thread | None:
    """Return the thread that was surely meant by one of those: with the size and the pitch that are written.

    >>> [str(meant_thread(text)) for text in ("M10-1.5", "m8 x 1,25", "10x1.5", "M8x12.5")]
    ['M10x1.5', 'M8x1.25', 'M10x1.5', 'None']
    """
    near = _NEARLY.fullmatch(text.strip())
    pitch = _PITCH.fullmatch(near["rest"]) if near and near["rest"] else None
    if near is None or (near["rest"] and pitch is None):
        return None
    said = near["p"] if near["bare"] else pitch["pitch"] if pitch else ""
    return thread_of(f"M{near['bare'] or near['d']}{'x' + said if said else ''}".replace(",", "."))


def meant_class(text: str) -> str | None:
    """Return the property class whose figures a text has: 109 and 10,9 are 10.9. None for any other.

    >>> meant_class("109"), meant_class("8,8"), meant_class("A2-70")
    ('10.9', '8.8', None)
    """
    digits = re.sub("[., ]", "", text)
    return next((cls for cls in CLASSES if cls.replace(".", "") == digits), None)
