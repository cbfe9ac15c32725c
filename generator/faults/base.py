"""What every fault is: a place, facts, and two sentences that are filled in from the facts."""

from __future__ import annotations

import functools
import itertools
import string
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from generator.faults.wording import excerpt, listing, one_of, part
from generator.place import Place

ONE: Mapping[str, Callable[[str], str]] = {"quoted": excerpt, "part": part}
"""How a sentence may show one text: `{name:quoted}`."""

SEVERAL: Mapping[str, Callable[[Iterable[str]], str]] = {
    "listed": listing,
    "all": ", ".join,
    "or": " or ".join,
    "chain": " > ".join,
}
"""How a sentence may show several texts: `{units:or}`."""

SENTENCES = ("said", "write", "otherwise")


class _Filler(string.Formatter):
    def format_field(self, value: Any, format_spec: str) -> str:
        form = ONE.get(format_spec) or SEVERAL.get(format_spec)
        return form(value) if form else format(value, format_spec)


@dataclass(frozen=True)
class Fault(ABC):
    """One mistake in one place. `said` says what is wrong, `write` what to write instead; each is one line.

    A class gives a sentence as plain text with its fields in braces: `said = "step {step:quoted} is not there."`. What
    a field holds is never read as a template. A sentence that depends on something is a property instead.
    """

    place: Place

    heading: ClassVar[str] = "Not in any worksheet"
    """What it is reported under where it is a note and not a fault."""

    templates: ClassVar[Mapping[str, str]] = {}
    """The sentences of this class that are plain text, as they were written."""

    @property
    @abstractmethod
    def said(self) -> str: ...

    @property
    @abstractmethod
    def write(self) -> str: ...

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        cls.templates = {name: cls.__dict__[name] for name in SENTENCES if isinstance(cls.__dict__.get(name), str)}
        for name in cls.templates:
            setattr(cls, name, property(functools.partial(_filled, cls.templates[name])))


def _filled(template: str, fault: Fault) -> str:
    return _Filler().vformat(template, (), vars(fault))


class UndeclaredName(Fault):
    """A name that nobody declares. `otherwise` says what to do if no known name was meant, without its full stop."""

    name: str
    known: tuple[str, ...]
    otherwise: ClassVar[str]

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, self.otherwise)


def in_order(faults: Iterable[Fault]) -> list[Fault]:
    """Faults by file, line and column; of two in one place the one found first stays first. Each is there once."""
    by_place = sorted(faults, key=_position)
    out: list[Fault] = []
    for _, there in itertools.groupby(by_place, key=_position):
        once = list(there)
        out.extend(once if len(once) == 1 else {(type(fault), fault.said): fault for fault in once}.values())
    return out


def _position(fault: Fault) -> tuple[str, int, int]:
    return fault.place.file, fault.place.line, fault.place.column
