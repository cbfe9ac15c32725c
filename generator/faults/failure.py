"""Every way a failure mode can say wrongly what would reveal it, and every step that would not."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.wording import counted, listing

WAYS = {
    "answer": "an answer",
    "reading": "a reading",
    "count": "a count",
    "value": "a value",
    "photo": "a photo",
    "signature": "a signature",
    "waits_for": "a gate",
    "prevented_by": "nothing, because something prevents it",
    "because": "a tick with its reason",
}
"""What a sentence calls each way in which a failure is revealed."""

EXAMPLES = {
    "tick": '{because: "why no stronger check is possible"}',
    "press-and-hold": '{because: "why no stronger check is possible"}',
    "permit": '{because: "why no stronger check is possible"}',
    "inspect": "{answer: wet}",
    "measure": "{reading: play}",
    "tighten": "{value: pump_bolts}",
    "wait": "{value: cure_time}",
    "turn": "{value: proof_turns}",
    "photo": "{photo: yes}",
    "sign": "{signature: pump-on}",
}
"""What to write after `revealed_by` for each check-off."""


# --- The row by itself -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class RevealDisagrees(Fault):
    """A row is revealed by something that no check-off of its `caught_by` has."""

    row: str
    way: str
    caught_by: tuple[str, ...]
    wanted: tuple[str, ...]

    @property
    def said(self) -> str:
        caught = listing(self.caught_by)
        return f'failure "{self.row}" is revealed by {WAYS[self.way]}, but is caught by {caught}, which has none.'

    write = "Write  caught_by: [{wanted:or}]  or name something else after revealed_by."


@dataclass(frozen=True)
class CatchRevealsNothing(Fault):
    """A row may be caught by a check-off for which nothing says what it would reveal."""

    row: str
    kind: str

    said = 'failure "{row}" may be caught by {kind}, but nothing after revealed_by is seen at such a step.'

    @property
    def write(self) -> str:
        return f"Add to revealed_by, for example:  {EXAMPLES[self.kind]}  or delete {self.kind} after caught_by."


@dataclass(frozen=True)
class TickWithoutReason(Fault):
    """A tick is the same whether the work is good or bad. Where nothing stronger is possible, the row says why."""

    row: str
    kind: str

    said = 'failure "{row}" may be caught by {kind}, which proves nothing by itself, and gives no reason for that.'

    @property
    def write(self) -> str:
        return f"Add to revealed_by:  {EXAMPLES[self.kind]}  or delete {self.kind} after caught_by."


@dataclass(frozen=True)
class NothingPrevents(Fault):
    """A caution or the order of the steps is to prevent a failure, and the row asks for none, so `check` looks for
    none."""

    row: str
    by: str

    said = 'failure "{row}" is to be prevented by the {by}, but the row asks for none.'

    @property
    def write(self) -> str:
        example = {"caution": "caution: warning", "order": "after: a-landmark"}[self.by]
        return f"Add to the row, for example:  {example}"


@dataclass(frozen=True)
class ReasonNotNeeded(Fault):
    """A row gives a reason why a tick must do, but every step that catches it shows more than a tick does."""

    row: str
    example: str

    said = 'failure "{row}" says why a tick must do, but no step that catches it needs that.'

    @property
    def write(self) -> str:
        instead = (
            f"  and name what would reveal it, for example  {self.example}" if self.example else "  from revealed_by."
        )
        return f"Delete  because:{instead}"


@dataclass(frozen=True)
class ReasonUsedTooOften(Fault):
    """A reason that fits many failures was thought of for none of them."""

    row: str
    rows: tuple[str, ...]
    most: int

    @property
    def said(self) -> str:
        rows, first = counted(len(self.rows), "row"), listing(self.rows[: self.most])
        return (
            f'the reason of failure "{self.row}" is the same in {rows}, and at most {self.most} may share it: {first}.'
        )

    write = "Say for this failure alone why nothing stronger than a tick is possible, or give it a stronger check."


@dataclass(frozen=True)
class RevealedNowhere(Fault):
    """A row names several ways, and one of them is at no step that catches it."""

    row: str
    way: str
    names: tuple[str, ...]

    @property
    def said(self) -> str:
        named = f" ({listing(self.names)})" if self.names else ""
        return f'failure "{self.row}" is revealed by {WAYS[self.way]}{named} at none of the steps that catch it.'

    write = "Delete it from revealed_by, or correct its name."


# --- The row and the step that catches it -----------------------------------------------------------------------------


@dataclass(frozen=True)
class NoSuchAnswer(UndeclaredName):
    """A failure is revealed by an answer that the step which catches it does not have."""

    step: str
    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure "{row}" is revealed by answer "{name}", but step "{step}" has no such answer.'
    otherwise = "add the answer to the step"


@dataclass(frozen=True)
class AnswerChangesNothing(Fault):
    """An answer is to reveal a failure, and the job goes on after it as after any other."""

    step: str
    row: str
    answer: str

    said = 'answer "{answer}" of step "{step}" is to reveal "{row}", but the job goes on after it as if all were well.'
    write = "Write  outcomes: [{answer}]  below if_failed, or ask for it in a later step or a result."


@dataclass(frozen=True)
class ReadingNotThere(UndeclaredName):
    """A failure is revealed by a reading that the step which catches it does not take."""

    step: str
    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure "{row}" is revealed by reading "{name}", but step "{step}" does not take it.'
    otherwise = "take the reading in this step"


@dataclass(frozen=True)
class ReadingNotJudged(Fault):
    """A reading is to reveal a failure, and no figure of it is called wrong or used for anything."""

    step: str
    row: str
    reading: str

    said = 'reading "{reading}" of step "{step}" is to reveal "{row}", but nothing judges it or uses it.'
    write = "Write  from:  and  to:  at the reading, or show a result of it that has a limit with  bad: yes."


@dataclass(frozen=True)
class CountNotThere(UndeclaredName):
    """A failure is revealed by a count of things that the step which catches it neither opens nor closes."""

    step: str
    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure "{row}" is revealed by the count of "{name}", but step "{step}" neither opens nor closes it.'
    otherwise = "open or close it in this step"


@dataclass(frozen=True)
class NothingToCount(Fault):
    """A count is to reveal a failure, and there is one thing of the kind: that is no more than a tick."""

    step: str
    row: str
    item: str

    said = 'step "{step}" is to reveal "{row}" by the count of "{item}", but there is only one.'
    write = "Write where it is opened how many there are:  count: from {item}  or give a reason:  because:"


@dataclass(frozen=True)
class ValueNotThere(UndeclaredName):
    """A failure is revealed by a value that the step which catches it neither tightens to, waits for nor turns."""

    step: str
    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure "{row}" is revealed by value "{name}", but step "{step}" does not tighten, wait or turn by it.'
    otherwise = "put it in the check-off of this step"


@dataclass(frozen=True)
class SignatureNotThere(UndeclaredName):
    """A failure is revealed by a second look at a step, and the signature is of other steps."""

    step: str
    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure "{row}" is revealed by a second look at "{name}", but step "{step}" does not sign for it.'
    otherwise = "add it after  of:  in this step"


@dataclass(frozen=True)
class GateDoesNotWait(UndeclaredName):
    """A failure is revealed by a gate that waits for something, and this one does not."""

    step: str
    row: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        why = "does not wait for that" if self.known else "has no gate"
        return f'failure "{self.row}" is revealed by a gate that waits for "{self.name}", but step "{self.step}" {why}.'

    otherwise = "write a gate in this step that waits for it"
