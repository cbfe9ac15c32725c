"""Every way the words of the trade can be wrong: a kind, a list, a gate or a role that no trade file declares."""

from __future__ import annotations

import re
from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import did_you_mean, listing


@dataclass(frozen=True)
class NoTradeFile(Fault):
    """Kinds, lists, gates, roles and facts are declared once. Without that file a slip looks like any other word."""

    thing: str
    key: str
    word: str
    example: str

    said = "{thing} says {key}: {word:quoted}, but no file declares the words of the trade."
    write = "Write procedures/trade.yml:  {{trade: Our words, {example}}}"


@dataclass(frozen=True)
class OldFactsFile(Fault):
    """A file of facts alone, as it was written before there were trade files."""

    said = "a file of facts is now a part of a trade file."
    write = "Write above this line:  trade: Words of our shop"


@dataclass(frozen=True)
class TradeWordTwice(Fault):
    """One word has one meaning. A shop's own trade file adds words; it does not change those of the library."""

    section: str
    word: str
    first: str

    said = "{word:quoted} is declared twice under {section}; the first is in {first}."
    write = "Delete one of the two, or give this one a name of its own."


@dataclass(frozen=True)
class UnknownTradeWord(Fault):
    """A kind, list, gate or role that no trade file declares."""

    thing: str
    key: str
    word: str
    section: str
    known: tuple[str, ...]

    said = "{thing} says {key}: {word:quoted}, which no trade file declares under {section}."

    @property
    def write(self) -> str:
        near = did_you_mean(self.word, self.known)
        if not self.known:
            return f"Declare it under {self.section} in a trade file."
        return f"{near}Write one of: {listing(self.known)}. Or declare it under {self.section} in a trade file."


@dataclass(frozen=True)
class DrawnWordNowhere(Fault):
    """A drawing of a word that no step explains is on no page."""

    word: str
    known: tuple[str, ...]

    said = "{word:quoted} has a drawing, but no step explains a word of that name."

    @property
    def write(self) -> str:
        near = did_you_mean(self.word.casefold(), self.known)
        return f"{near}Write a word that a step has under words, or delete this line."


@dataclass(frozen=True)
class WordNotDrawn(Fault):
    """A reader of the page of words learns that each word has its drawing, and does not find this one's."""

    thing: str
    word: str
    drawn: tuple[str, ...]

    said = "{thing} explains {word:quoted}, but the trade files draw other words and not this one."

    @property
    def write(self) -> str:
        file = re.sub("[^a-z0-9]+", "-", self.word.casefold()).strip("-") or "word"
        near = did_you_mean(self.word.casefold(), self.drawn)
        added = f"Add under drawings in a trade file:  {self.word}: {{file: {file}.svg, alt: What the drawing shows.}}"
        return f"{near}{'If not, a' if near else 'A'}{added[1:]}"


@dataclass(frozen=True)
class MissingDrawing(Fault):
    """A word has a drawing whose file is not there."""

    word: str
    file: str

    said = "{word:quoted} is drawn in {file:quoted}, which does not exist."
    write = "Put the file in procedures/pictures/, or correct the name."


@dataclass(frozen=True)
class TradeWordIsAKey(Fault):
    """A noun or a box of the start form that has the name of something else there. One of the two would be lost."""

    section: str
    word: str
    taken: tuple[str, ...]

    said = "{word:quoted} under {section} already means something else there."
    write = "Choose another word. These are taken: {taken:listed}."


@dataclass(frozen=True)
class StartsWithoutWhat(Fault):
    """Every job says what it is done on, so that it is found again in a list of jobs."""

    word: str

    said = "the start form of {word:quoted} has no box  what,  for what the job is done on."
    write = "Write, for example:  start: {{what: Vehicle, as the shop writes it}}"


@dataclass(frozen=True)
class WhatMayBeEmpty(Fault):
    """A job that does not say what it is done on cannot be told from the next one."""

    word: str

    said = "the box  what  of {word:quoted} may be empty, but every job says what it is done on."
    write = "Delete  optional: yes  here."


@dataclass(frozen=True)
class NoRoleLeads(Fault):
    """While nobody leads, anybody at all can take back a failed check-off that stops a job."""

    roles: tuple[str, ...]

    said = "no role leads, so nobody could allow what others may not leave out alone."
    write = "Write at the role of whoever may:  {{label: What they are, leads: yes}}. There are: {roles:listed}."


@dataclass(frozen=True)
class LeadNotQualified(Fault):
    """A lead allows that a second look is left out. So a lead may give it as well."""

    role: str

    said = "role {role:quoted} leads, so whoever has it is qualified as well."
    write = "Delete  qualified: no  here, or  leads: yes."


@dataclass(frozen=True)
class TwoTradeWords(Fault):
    """What is worked on, said with two words in one place: only one of the two would count."""

    first: int

    said = "what is worked on is said twice here, with two words; the first is on line {first}."
    write = "Write both under one word, or delete one of the two."
