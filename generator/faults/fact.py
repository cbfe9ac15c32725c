"""Every way the facts of engines can be wrong: an unknown word or fact, a condition that is never true."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import did_you_mean, listing

Words = tuple[tuple[str, str], ...]  # each word of a fact with its sentence


def with_sentences(words: Words) -> str:
    """`comes-off (It comes off.), stays (It stays.)`"""
    return listing(f"{word} ({sentence})" for word, sentence in words)


@dataclass(frozen=True)
class FactWithoutWords(Fault):
    """A fact is declared with the words it may have. Without words it can never say anything."""

    fact: str

    said = "fact {fact:quoted} is declared without words."
    write = "Write, for example:  {fact}: {{yes: It has one., no: It has none.}}"


@dataclass(frozen=True)
class FactTwice(Fault):
    """One fact has one list of words. A shop's own trade file adds facts; it does not change those of the library."""

    fact: str
    first: str

    said = "fact {fact:quoted} is declared twice; the first is in {first}."
    write = "Delete one of the two, or give this fact a name of its own."


@dataclass(frozen=True)
class UndeclaredFact(Fault):
    """A fact that no trade file declares is usually a slip. A condition on it would leave steps out in silence."""

    thing: str
    fact: str
    word: str
    known: tuple[str, ...]

    said = "{thing} says {fact}, but no trade file declares that fact."

    @property
    def write(self) -> str:
        near = did_you_mean(self.fact, self.known)
        words = f"{{{self.fact}: {{{self.word}: What it means.}}}}"
        declare = f"declare it in a file that begins with  trade:  as  facts: {words}"
        return f"{near}If not, {declare}" if near else f"{declare[:1].upper()}{declare[1:]}"


@dataclass(frozen=True)
class UnknownFactWord(Fault):
    """A misspelt word makes a condition false, and its steps are gone with their cautions."""

    thing: str
    fact: str
    word: str
    words: Words

    said = "{thing} says {fact}: {word:quoted}, which is not one of the words of {fact}."

    @property
    def write(self) -> str:
        near = did_you_mean(self.word, tuple(word for word, _ in self.words))
        return f"{near}The words of {self.fact}: {with_sentences(self.words)}"


@dataclass(frozen=True)
class NeverTrue(Fault):
    """A condition that contradicts what its procedure fits leaves its steps out on every engine, in silence."""

    thing: str
    fact: str
    asked: tuple[str, ...]
    procedure: str
    fits: tuple[str, ...]

    @property
    def said(self) -> str:
        return (
            f"{self.thing} asks {self.fact}: {listing(self.asked) or 'nothing'}, "
            f'but procedure "{self.procedure}" fits only {self.fact}: {listing(self.fits) or "nothing"}. '
            "It can never be true."
        )

    write = "Delete what is never reached, or make the condition and  fits:  agree."
