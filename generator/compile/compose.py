"""A composed job as one flat list of steps: includes unfolded, names mapped, engine conditions settled."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from generator.check import Checked, Library
from generator.check.asked import Use, uses_of
from generator.check.checked import Loc
from generator.check.trade_words import DeclaredTrade
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import Engine, Include, Procedure, Stage, Step, When
from generator.place import Place

KnownFacts = Mapping[str, str]


@dataclass(frozen=True)
class ProcedureUse:
    """One use of a procedure: the prefix of its steps, and what its names are called in the job."""

    prefix: str
    procedure: Checked[Procedure]
    uses: tuple[Use, ...] = ()  # what each include calls it, the innermost first
    repeated: bool = False  # true below an include that is there once for each

    def name(self, inner: str) -> str:
        """Return what a value, reading, result, tool or part of this procedure is called in the composed job."""
        for use in self.uses:
            inner = use.figure(inner)
        return inner

    def thing(self, inner: str) -> str:
        """Return what an item or a landmark of this procedure is called in the composed job."""
        for use in self.uses:
            inner = use.thing(inner)
        return inner

    def label(self, inner: str, label: str) -> str:
        """Return a label with the labels of the includes that renamed the thing: `Retaining pin, left bank`."""
        for use in self.uses:
            label = f"{label}, {use.label}" if inner in use.figures and use.label else label
            inner = use.figure(inner)
        return label

    def label_of_thing(self, inner: str, label: str) -> str:
        for use in self.uses:
            label = f"{label}, {use.label}" if inner in use.things and use.label else label
            inner = use.thing(inner)
        return label

    def title(self, stage: str) -> str:
        return ", ".join([stage, *([self.which] if self.which else [])])

    def landmark(self, inner: str) -> str:
        return self.thing(inner.replace("-", "_")).replace("_", "-")

    def place(self, *loc: str | int) -> Place:
        return self.procedure.place(*loc)

    @property
    def which(self) -> str:
        """Return what tells the steps of this use from those of another, "" if there is nothing to tell."""
        return ", ".join(use.label for use in self.uses if use.label)

    def inside(self, use: Use, procedure: Checked[Procedure], repeated: bool = False) -> ProcedureUse:
        return ProcedureUse(f"{self.prefix}{use.alias}/", procedure, (use, *self.uses), repeated or self.repeated)


@dataclass(frozen=True)
class FoundCondition:
    """A `found:` condition as written: which step, which outcome, and where it says so."""

    scope: ProcedureUse
    step: str
    outcome: str
    place: Place


@dataclass(frozen=True)
class StageUse:
    scope: ProcedureUse
    stage: Stage
    loc: Loc


@dataclass(frozen=True)
class Placed:
    """A step in the composed job. `present` is false if an engine fact leaves it out."""

    path: str
    step: Step
    scope: ProcedureUse
    loc: Loc
    stage: StageUse
    present: bool
    asked: tuple[FoundCondition, ...]

    def place(self, *loc: str | int) -> Place:
        return self.scope.place(*self.loc, *loc)


@dataclass(frozen=True)
class Included:
    """An include that was followed, with the scopes outside and inside it."""

    include: Include
    outer: ProcedureUse
    inner: ProcedureUse
    loc: Loc


@dataclass
class Composed:
    """All steps of one procedure for one engine, in order, with the faults found on the way."""

    procedure: Checked[Procedure]
    engine: Checked[Engine]
    trade: DeclaredTrade = field(default_factory=DeclaredTrade)
    word: str = ""  # what the sheet begins with: what is worked on
    steps: list[Placed] = field(default_factory=list)
    includes: list[Included] = field(default_factory=list)
    scopes: list[tuple[ProcedureUse, bool]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unsaid: list[str] = field(default_factory=list)  # facts asked of the engine that its sheet does not say
    whole: bool = True  # false if an include cannot be followed or a fact is unsaid: then some steps are not known

    @cached_property
    def opened_kinds(self) -> frozenset[str]:
        """Return the kinds of all that the steps of this job open."""
        return frozenset(item.kind for placed in self.present for item in placed.step.opens)

    @property
    def sheet_name(self) -> str:
        """Return what the trade calls such a sheet."""
        word = self.trade.works_on.get(self.word)
        return word.means.sheet if word else "sheet"

    @property
    def home(self) -> str:
        """Return the trade file that declares what is worked on."""
        word = self.trade.works_on.get(self.word)
        return word.file if word else ""

    @property
    def present(self) -> list[Placed]:
        return [placed for placed in self.steps if placed.present]


def facts_for(library: Library, engine: Engine) -> KnownFacts:
    """Return the facts that settle conditions: the shop's, overruled by the engine's."""
    shop = library.shop.noun.facts if library.shop else {}
    return {**shop, **engine.facts}


def fits(procedure: Procedure, facts: KnownFacts) -> bool:
    return not misfits(procedure, facts)


def misfits(procedure: Procedure, facts: KnownFacts) -> list[str]:
    """Return the facts that the procedure is made for and that these facts contradict or do not state."""
    return [name for name, wanted in procedure.fits.items() if facts.get(name) not in choices(wanted)]


def compose(library: Library, procedure: Checked[Procedure], engine: Checked[Engine]) -> Composed:
    """Unfold `procedure` for `engine`. Faults are in the result. A faulty include is left out of the steps."""
    composed = Composed(procedure, engine, library.trade, library.sheet_words.get(engine.noun.engine, ""))
    unfolding = _Unfolding(library, facts_for(library, engine.noun), engine, composed)
    unfolding.procedure(ProcedureUse("", procedure), True, (), (procedure.noun.procedure,))
    return composed


def can_both_be(one: Placed, other: Placed, composed: Composed) -> bool:
    """True unless the conditions of two steps, and of the includes that bring them, ask for different words of a fact:
    then no engine has both."""
    asked = dict(_asked_facts(one, composed))
    return all(not words.isdisjoint(asked.get(fact, words)) for fact, words in _asked_facts(other, composed))


def _asked_facts(placed: Placed, composed: Composed) -> list[tuple[str, frozenset[str]]]:
    around = [one.include.when for one in composed.includes if placed.path.startswith(one.inner.prefix)]
    asked: dict[str, frozenset[str]] = {}
    for when in filter(None, (*around, placed.step.when)):
        for fact, wanted in when.engine.items():
            asked[fact] = asked.get(fact, frozenset(choices(wanted))) & frozenset(choices(wanted))
    return list(asked.items())


def nouns_of(library: Library) -> dict[str, Procedure]:
    return {name: checked.noun for name, checked in library.procedures.items()}


def choices(wanted: str | list[str]) -> list[str]:
    """Return the words a condition names: one word or several."""
    return [wanted] if isinstance(wanted, str) else wanted


@dataclass
class _Unfolding:
    library: Library
    facts: KnownFacts
    engine: Checked[Engine]
    out: Composed

    def procedure(
        self, scope: ProcedureUse, present: bool, asked: tuple[FoundCondition, ...], trail: tuple[str, ...]
    ) -> None:
        self.out.scopes.append((scope, present))
        for index, part in enumerate(scope.procedure.noun.stages):
            loc: Loc = ("stages", index)
            if isinstance(part, Stage):
                self._stage(StageUse(scope, part, loc), present, asked)
            else:
                self._include(part, scope, loc, present, asked, trail)

    def _stage(self, use: StageUse, present: bool, asked: tuple[FoundCondition, ...]) -> None:
        for index, step in enumerate(use.stage.steps):
            loc = (*use.loc, "steps", index)
            here = present and self._engine_says_yes(step.when)
            own = (*asked, *_asked(step.when, use.scope, (*loc, "when")))
            self.out.steps.append(Placed(use.scope.prefix + step.id, step, use.scope, loc, use, here, own))

    def _include(
        self,
        include: Include,
        scope: ProcedureUse,
        loc: Loc,
        present: bool,
        asked: tuple[FoundCondition, ...],
        trail: tuple[str, ...],
    ) -> None:
        inner = self.library.procedures.get(include.include)
        if inner is None or include.include in trail:
            self.out.whole = False
            return
        here = present and self._engine_says_yes(include.when)
        unsaid = [name for name in inner.noun.fits if name not in self.facts] if here else []
        self._unsaid(unsaid)
        if here and not unsaid and not fits(inner.noun, self.facts):
            self.out.faults.append(self._misfit(include, scope, loc, inner.noun))
        own = (*asked, *_asked(include.when, scope, (*loc, "when")))
        for use in uses_of(include, nouns_of(self.library)):
            inner_scope = scope.inside(use, inner, repeated=bool(include.each))
            self.procedure(inner_scope, here, own, (*trail, include.include))
            self.out.includes.append(Included(include, scope, inner_scope, loc))

    def _misfit(self, include: Include, scope: ProcedureUse, loc: Loc, inner: Procedure) -> Fault:
        name = misfits(inner, self.facts)[0]
        return faults.DoesNotFit(
            scope.place(*loc, "include"),
            include.include,
            self.engine.noun.engine,
            name,
            self.facts.get(name),
            tuple(choices(inner.fits[name])),
        )

    def _engine_says_yes(self, when: When | None) -> bool:
        """True unless the engine says no. An unsaid fact may mean yes, so the steps behind it are checked in the
        same run."""
        asked = when.engine if when else {}
        self._unsaid(name for name in asked if name not in self.facts)
        return all(self.facts.get(name, wanted) in (wanted, *choices(wanted)) for name, wanted in asked.items())

    def _unsaid(self, names: Iterable[str]) -> None:
        for name in names:
            self.out.whole = False
            if name not in self.out.unsaid:
                self.out.unsaid.append(name)


def _asked(when: When | None, scope: ProcedureUse, loc: Loc) -> Iterator[FoundCondition]:
    for step, outcome in (when.found if when else {}).items():
        yield FoundCondition(scope, step, outcome, scope.place(*loc, "found", step))
