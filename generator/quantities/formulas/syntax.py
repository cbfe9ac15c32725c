"""The text of a formula -> Python's tree of it, or the faults with the character each stands at.

Python's own parser judges last. Before it the words and their order are looked at here, because its complaints are
about a program, and because a formula must never be an odd corner of one: no escapes, no texts in a row.
"""

from __future__ import annotations

import ast
import keyword
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from generator.faults import Fault, excerpt, part
from generator.faults.formula import FormulaSyntax, FormulaTooLong, FormulaWord
from generator.place import Place
from generator.quantities.units import UNITS

LONGEST = 600
DEEPEST = 40
PARTS = "Write names, numbers, quantities in quotes, + - * / % **, comparisons, and, or, not, if .. else, functions."
_OPERAND = "a name, a number or a quantity is missing"
_WORD = re.compile(
    r"(?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
    r"|(?P<name>[A-Za-z_][A-Za-z0-9_]*)"
    r"|(?P<text>\"[^\"]*\"|'[^']*')"
    r"|(?P<sign>\*\*|//|<=|>=|==|!=|[-+*/%<>(),])"
)
_WORDS = {"and", "or", "not", "if", "else"}
_INSTEAD = {
    "×": "Write *", "·": "Write *", "⋅": "Write *", "÷": "Write /", "−": "Write -", "–": "Write -", "—": "Write -",
    "^": "Write ** for a power.", "²": "Write **2", "³": "Write **3", "√": "Write sqrt(x)",
    "≤": "Write <=", "≥": "Write >=", "≠": 'Write "!="', "=": "Write == to compare.", "&": "Write and", "|": "Write or",
    "!": "Write not", "~": "Write not", "?": "Write  a if c else b", ":": "Write  a if c else b",
    **dict.fromkeys("[]{}", "Write round brackets."), **dict.fromkeys("“”„‘’", 'Write plain quotes: "'),
    "°": 'Write a quantity in quotes, for example  "5 degC"', ";": "Write , between arguments.",
    ".": 'Write a unit with its number in quotes, for example  "25 N.m". A name has no points.',
    "#": "Delete it. Write a comment outside the quotes of the text.",
}  # fmt: skip
_WORD_INSTEAD = {
    "True": "Write yes", "False": "Write no", "None": "Delete it. A figure that is not known needs no word.",
    "is": "Write == to compare.", "in": "Write comparisons joined by or.",
    "elif": "Write  a if c else b if d else e",
}  # fmt: skip


class Token(NamedTuple):
    """A word of a formula: what it is (number, name, text, sign, end) and where in the text it starts."""

    what: str
    text: str
    start: int

    @property
    def end(self) -> int:
        return self.start + len(self.text)


@dataclass(frozen=True)
class FormulaText:
    """A formula's text and the place of its first character."""

    text: str
    place: Place

    def at(self, offset: int) -> Place:
        """Return the place of a character as if the text were one line. The caller knows how it was written and
        corrects that."""
        return Place(self.place.file, self.place.line, self.place.column + offset)

    def of(self, node: ast.expr) -> str:
        """Return the text of a node. Only ASCII is parsed, so Python's bytes are characters."""
        return self.text[node.col_offset : node.end_col_offset]


def parse(source: FormulaText) -> tuple[ast.expr | None, list[Fault]]:
    """Return Python's tree, or the faults of the text. Never raises, whatever the text."""
    if len(source.text) > LONGEST:
        return None, [FormulaTooLong(source.at(LONGEST), "characters", LONGEST)]
    words, wrong = _words(source)
    wrong = wrong or _Order(source, words).wrong()
    if wrong:
        return None, [wrong]
    try:
        tree = ast.parse(_masked(words), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        # The order of words is right, so no known text comes here. A later Python may judge differently.
        return None, [FormulaSyntax(source.at(0), "its start", "it is not a whole formula", PARTS)]
    deep = _too_deep(tree)
    return (None, [FormulaTooLong(source.at(deep), "levels", DEEPEST)]) if deep is not None else (tree, [])


def _masked(words: list[Token]) -> str:
    """Return the words at their places, with plain letters for everything in quotes."""
    out = ""
    for word in words:
        out = out.ljust(word.start)
        out += word.text[0] + "x" * (len(word.text) - 2) + word.text[0] if word.what == "text" else word.text
    return out if out[:1].strip() else f"({out[1:]})" if out else out


def _too_deep(tree: ast.expr) -> int | None:
    """Find the first part that is nested too deep, without recursion."""
    level: list[ast.expr] = [tree]
    for _ in range(DEEPEST):
        level = [child for node in level for child in ast.iter_child_nodes(node) if isinstance(child, ast.expr)]
    return level[0].col_offset if level else None


# -- words -------------------------------------------------------------------------------------------------------------


def _words(source: FormulaText) -> tuple[list[Token], Fault | None]:
    """All words with one for the end, or the first character that is in none."""
    words: list[Token] = []
    for word in _split(source.text):
        wrong = _strange(source, word) or _stuck(source, words, word)
        if wrong:
            return words, wrong
        words.append(word)
    return words, None


def _split(text: str) -> Iterator[Token]:
    at = 0
    while at < len(text):
        if text[at] in " \t\r\n":
            at += 1
            continue
        match = _WORD.match(text, at)
        word = Token(match.lastgroup or "", match.group(), at) if match else Token("strange", text[at], at)
        yield word
        at = word.end
    yield Token("end", "", len(text.rstrip(" \t\r\n")))


def _strange(source: FormulaText, word: Token) -> Fault | None:
    place = source.at(word.start)
    if word.text == "//":
        return FormulaWord(place, '"//"', "Write floor(a / b)")
    if word.what == "strange":
        return _strange_character(source, word)
    if word.what == "name" and keyword.iskeyword(word.text) and word.text not in _WORDS:
        return FormulaWord(place, excerpt(word.text), _WORD_INSTEAD.get(word.text, PARTS))
    decimals = _decimal_comma(source.text[: word.start], word)
    if decimals:
        return FormulaSyntax(place, _found(word), "a comma does not begin decimals", f"Write a point: {decimals}")
    if word.what == "number" and re.match(r"0[0-9]", word.text):
        return FormulaSyntax(
            place, _found(word), "a number does not start with 0", f"Write {word.text.lstrip('0') or 0}"
        )
    return None


def _decimal_comma(before: str, word: Token) -> str | None:
    """Return the number that `0,05` means. Between the arguments of a function a comma is right, unless a number
    cannot go on so."""
    whole = re.search(r"(?<![\w.])([0-9]+),$", before)
    in_brackets = before.count("(") > before.count(")")
    if whole is None or word.what != "number" or (in_brackets and not re.match(r"0[0-9]", word.text)):
        return None
    return f"{whole[1]}.{word.text}"


def _strange_character(source: FormulaText, word: Token) -> Fault:
    place, character = source.at(word.start), word.text
    if character in "\"'":
        return FormulaSyntax(place, "this quote", "it is not closed", "Write the same quote after the unit.")
    if not character.isprintable():
        return FormulaWord(place, f"the invisible character U+{ord(character):04X}", "Delete it.")
    letters = "Write names with the letters a to z, digits and _" if character.isalpha() else PARTS
    return FormulaWord(place, part(character), _INSTEAD.get(character, letters))


def _found(word: Token) -> str:
    if word.what == "end":
        return "its end"
    return part(word.text)


def _stuck(source: FormulaText, words: list[Token], word: Token) -> Fault | None:
    """Return the fault of a letter or a quote right after a number or a letter: 5L, 0x1F, f"..."."""
    if not words or words[-1].end != word.start or words[-1].what not in ("number", "name", "text"):
        return None
    if word.what not in ("number", "name", "text"):
        return None
    before = words[-1]
    if word.text in _WORDS or before.text in _WORDS:
        return FormulaSyntax(source.at(word.start), _found(word), "a space is missing before it", "Write a space.")
    return _two_in_a_row(source, before, word)


def _two_in_a_row(source: FormulaText, before: Token, word: Token) -> Fault:
    advice = "Write a sign between them, for example *"
    if before.what == "number" and word.text in UNITS:
        advice = f'Write it in quotes:  "{before.text} {word.text}"'
    elif word.what == "text" and before.end == word.start:
        advice = "Delete what comes right before the quote."
    elif before.what == "number" and word.what == "name":
        advice = 'Write a quantity in quotes, for example  "5 L", and a number in plain digits.'
    return FormulaSyntax(
        source.at(word.start), _found(word), f"there is no sign between {_found(before)} and it", advice
    )


# -- the order of words ------------------------------------------------------------------------------------------------

_BEFORE_NOT = {"", "(", ",", "and", "or", "not", "if", "else"}
_BETWEEN = {"+", "-", "*", "/", "%", "**", "<", "<=", ">", ">=", "==", "!=", "and", "or"}


class _Bracket(NamedTuple):
    word: Token | None
    call: bool
    ifs: list[Token]


class _Order:
    """Checks that operands and signs take turns, and that every bracket, `if` and comma has its partner."""

    def __init__(self, source: FormulaText, words: list[Token]) -> None:
        self.source = source
        self.words = words
        self.open = [_Bracket(None, False, [])]

    def wrong(self) -> Fault | None:
        before = Token("sign", "", 0)
        operand_next = True
        for word in self.words:
            step = self._operand(before, word) if operand_next else self._sign(before, word)
            if isinstance(step, Fault):
                return step
            operand_next, before = step, word
        return None

    def _operand(self, before: Token, word: Token) -> bool | Fault:
        """Take a word where an operand must come. True if one must still come after this word."""
        if word.text in _WORDS - {"not"}:
            return self._syntax(word, _OPERAND)
        if word.what in ("number", "name", "text") and word.text != "not":
            return False
        if word.text == "(":
            return self._opened(word, call=False)
        if word.text in ("+", "-") or (word.text == "not" and before.text in _BEFORE_NOT):
            return True
        if word.text == ")" and before.text == "(" and self.open[-1].call:
            return self._closed(word)
        return self._syntax(word, _OPERAND if word.text != "not" else "a yes or no cannot go here")

    def _sign(self, before: Token, word: Token) -> bool | Fault:
        """Take a word after an operand. True if an operand must come next."""
        if word.text in _BETWEEN:
            return True
        if word.text == "(" and before.what == "name":
            return self._opened(word, call=True)
        if word.text == ")":
            return self._closed(word)
        if word.text == "," and self.open[-1].call:
            return self._else_missing() or True
        if word.text == ",":
            return self._syntax(
                word, "a comma only goes between the arguments of a function", "Write 0.5 with a point."
            )
        if word.text in ("if", "else"):
            return self._branch(word)
        if word.what == "end":
            return self._ended()
        return _two_in_a_row(self.source, before, word)

    def _branch(self, word: Token) -> bool | Fault:
        ifs = self.open[-1].ifs
        if word.text == "if" and ifs:
            return self._syntax(
                word, "the if before it has no else yet", "Put brackets around the inner  a if c else b"
            )
        if word.text == "if":
            ifs.append(word)
        elif ifs:
            ifs.pop()
        else:
            return self._syntax(word, "there is no if before it", "Write  a if c else b")
        return True

    def _opened(self, word: Token, call: bool) -> bool | Fault:
        self.open.append(_Bracket(word, call, []))
        if len(self.open) > DEEPEST:
            return FormulaTooLong(self.source.at(word.start), "levels", DEEPEST)
        return True

    def _closed(self, word: Token) -> bool | Fault:
        missing = self._else_missing()
        if missing or len(self.open) > 1:
            self.open.pop()
            return missing or False
        return self._syntax(word, "no bracket is open", "Delete it, or write ( where it starts.")

    def _ended(self) -> bool | Fault:
        missing = self._else_missing()
        if missing:
            return missing
        bracket = self.open[-1].word
        return self._syntax(bracket, "this bracket is not closed", "Write ) where it ends.") if bracket else False

    def _else_missing(self) -> Fault | None:
        ifs = self.open[-1].ifs
        return self._syntax(ifs[-1], "its else is missing", "Write  a if c else b") if ifs else None

    def _syntax(self, word: Token, expected: str, advice: str = PARTS) -> Fault:
        return FormulaSyntax(self.source.at(word.start), _found(word), expected, advice)
