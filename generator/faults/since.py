"""What changed since the last build in a way that phones would not notice, and what a lead should look at again."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault

CHANGED = "Changed since the last build"
MEANT = "Look at it again. If it should be so, there is nothing to write."


@dataclass(frozen=True)
class SameRevision(Fault):
    """Two phones that show the same revision must show the same words and values. So what was built once under a number
    is never built otherwise under it."""

    thing: str
    revision: int
    built: int
    changes: tuple[str, ...]

    @property
    def said(self) -> str:
        changes = f"changed since: {', '.join(self.changes[:6])}{', and more' if len(self.changes) > 6 else ''}"
        if self.revision < self.built:
            return f"{self.thing} is revision {self.revision}, but revision {self.built} was built already; {changes}."
        return f"{self.thing} was built as revision {self.built} already, and has {changes}."

    @property
    def write(self) -> str:
        return f"Write  revision: {self.built + 1}"


@dataclass(frozen=True)
class StepGone(Fault):
    """A phone in the middle of a job knows a step by its id. If the id is gone without a word, what was done under it
    counts for no step."""

    procedure: str
    id: str
    like: str

    said = 'procedure "{procedure}" had a step "{id}" in the last build, and has none now.'

    @property
    def write(self) -> str:
        if self.like:
            return f'If "{self.like}" is that step, write there  was: {self.id}  If not, write  retired: [{self.id}]'
        return f"Write  retired: [{self.id}]  at the top, or  was: {self.id}  at the step that is the same work."


@dataclass(frozen=True)
class IncludeGone(Fault):
    """The alias of an include begins the name of each of its steps. Under another alias none of them is known."""

    procedure: str
    alias: str

    said = 'procedure "{procedure}" had an include  as: {alias}  in the last build, and has none now.'
    write = "If it was renamed, write  as: {alias}  again. If its steps are no longer done, write  retired: [{alias}]"


@dataclass(frozen=True)
class CautionChanged(Fault):
    """Somebody decided once that a caution was needed. Whoever takes it out should know that they did."""

    where: str
    level: str
    hazard: str
    now: str

    heading = CHANGED

    said = "{where}: the {level} {hazard:quoted} is {now}."
    write = MEANT


@dataclass(frozen=True)
class StopGone(Fault):
    """A step that held back what follows, or took a press that is held, lets it go now. That may be meant, and
    somebody should know."""

    where: str
    what: str

    heading = CHANGED

    said = "{where} was {what} in the last build, and is not now."
    write = MEANT


@dataclass(frozen=True)
class GateAsksLess(Fault):
    """A gate lets through what it held back. That may be meant, and somebody should know."""

    gate: str
    gone: tuple[str, ...]

    heading = CHANGED

    said = "gate {gate:quoted} no longer waits for {gone:listed}."
    write = MEANT


@dataclass(frozen=True)
class WorksheetGone(Fault):
    """A worksheet of the last build has no successor, so nothing can be compared. Its engine or its job may have been
    renamed."""

    worksheet: str

    heading = CHANGED

    said = 'worksheet "{worksheet}" of the last build is not built any more, so nothing of it was compared.'
    write = "If its procedure or its sheet was renamed, name it as before. A phone with the old one keeps it."


@dataclass(frozen=True)
class NotCompared(Fault):
    """Nothing can be said of changes, and why."""

    why: str

    heading = "Not compared with the last build"

    said = "{why}."
    write = "Name the folder of the built site, if there is one, with --site."
