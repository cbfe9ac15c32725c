"""Every way the names and files of a project can disagree with each other."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.shape import spelled


@dataclass(frozen=True)
class FileNameNotId(Fault):
    """A procedure or sheet is found by its file name, so the name is its id."""

    kind: str
    id: str
    stem: str
    key: str  # the first key of the file
    taken: str | None  # the file that has this id and its name already: this one is a copy

    said = '{kind} "{id}" is in a file named "{stem}".'

    @property
    def write(self) -> str:
        if self.taken:
            other = spelled(self.stem, "-") or "another-name"
            return f"{self.taken} has that name already. If this is a copy, write here  {self.key}: {other}"
        or_write = f", or write  {self.key}: {self.stem}" if self.stem == spelled(self.stem, "-") else "."
        return f'Rename the file to "{self.id}.yml"{or_write}'


@dataclass(frozen=True)
class SameIdTwice(Fault):
    """Two files with the same id: nobody could say which one is meant."""

    kind: str
    id: str
    first: str

    said = '{kind} "{id}" is already in {first}.'
    write = "Give one of the two another id, or delete one."


@dataclass(frozen=True)
class OneOnly(Fault):
    """A shop has one shop file, and its procedures one list of failure modes."""

    kind: str
    first: str

    said = "this is a second {kind} file; the first is {first}."
    write = "Keep one of the two."


@dataclass(frozen=True)
class UnknownProcedure(UndeclaredName):
    """A job or a failure mode names a procedure that no file holds."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} names procedure {name:quoted}, which does not exist."
    otherwise = "write procedures/{name}.yml"


@dataclass(frozen=True)
class TimesElsewhere(UndeclaredName):
    """`times` counts a failure mode for a procedure that its `where` does not list: nobody would look at the number."""

    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure mode "{row}" says times for {name:quoted}, which is not in its list "where".'
    otherwise = "add it to where"


@dataclass(frozen=True)
class UnknownEngine(UndeclaredName):
    """A job names a sheet that no file holds."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} names sheet {name:quoted}, which does not exist."
    otherwise = "write a sheet {name}"


@dataclass(frozen=True)
class SameInitialsTwice(Fault):
    """Entries name a person by initials. Two people with the same ones could not be told apart."""

    initials: str
    first: int

    said = 'the initials "{initials}" are used twice; the first is on line {first}.'
    write = "Add a letter to one of them."


@dataclass(frozen=True)
class SameRowTwice(Fault):
    """Two failure modes with the same name."""

    row: str
    first: int

    said = 'failure mode "{row}" is written twice; the first is on line {first}.'
    write = "Give one of the two another name, or make them one row."


@dataclass(frozen=True)
class UnknownFailureMode(UndeclaredName):
    """`catches` names a row that is not in failure_modes.yml."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} catches {name:quoted}, which is not in the list of failure modes."
    otherwise = "add it to procedures/failure_modes.yml"
