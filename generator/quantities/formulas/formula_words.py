"""A formula for a person: signs as on paper, functions in words. Names stay pieces; whoever draws puts their labels."""

from __future__ import annotations

from generator.quantities.formulas.parts import FormulaPart, Piece, Says, Tight

_SIGNS = {"*": " × ", "/": " ÷ ", "+": " + ", "-": " − "}
_COMPARED = {
    "<": " is less than ", "<=": " is at most ", ">": " is more than ", ">=": " is at least ",
    "==": " is ", "!=": " is not ",
}  # fmt: skip
_DATES = _COMPARED | {
    "<": " is before ", "<=": " is on or before ", ">": " is after ", ">=": " is on or after ",
}  # fmt: skip
_OF = {
    "abs": "the size of ", "sqrt": "the square root of ", "exp": "e to the power of ",
    "log": "the natural logarithm of ", "sin": "the sine of ", "cos": "the cosine of ", "tan": "the tangent of ",
    "asin": "the angle with the sine ", "acos": "the angle with the cosine ", "atan": "the angle with the tangent ",
}  # fmt: skip
_OF_MANY = {
    "min": ("the smaller of ", "the smallest of "), "max": ("the greater of ", "the greatest of "),
    "gcd": ("the greatest common divisor of ",) * 2, "lcm": ("the least common multiple of ",) * 2,
}  # fmt: skip
_STEPPED = {"round": "to the nearest ", "floor": "down to whole steps of ", "ceil": "up to whole steps of "}
_WHOLE = {"round": " to the nearest whole number", "floor": " down to a whole number", "ceil": " up to a whole number"}


def signed(op: str, left: FormulaPart, right: FormulaPart) -> Says:
    if op == "%":
        return phrase(("the remainder of ", *_within(left), " ÷ ", *right.inside(Tight.POWER)))
    tight = Tight.SUM if op in "+-" else Tight.PRODUCT
    loose = Tight.NEG if tight is Tight.SUM else Tight.PRODUCT
    on_right = tight if op in "+*" else Tight(tight + 1)
    return Says((*left.inside(loose), _SIGNS[op], *right.inside(on_right)), tight)


def negative(part: FormulaPart) -> Says:
    return Says(("−", *part.inside(Tight.PRODUCT)), Tight.NEG)


def power(base: FormulaPart, exponent: str) -> Says:
    raised = {"2": "²", "3": "³"}.get(exponent, f" to the power of {exponent.replace('-', '−')}")
    return Says((*base.inside(Tight.ATOM), raised), Tight.POWER)


def compared(op: str, left: FormulaPart, right: FormulaPart) -> Says:
    how = (_DATES if left.kind.sort == "date" else _COMPARED)[op]
    return Says((*left.inside(Tight.NEG), how, *right.inside(Tight.NEG)), Tight.COMPARE)


def chained(links: list[tuple[str, FormulaPart]], first: FormulaPart) -> Says:
    """`a < b < c`: a is less than b, and b is less than c."""
    words: tuple[Piece, ...] = ()
    for op, right in links:
        words = (*words, *((" and ",) if words else ()), *compared(op, first, right).words)
        first = right
    return Says(words, Tight.COMPARE if len(links) == 1 else Tight.AND)


def joined(op: str, parts: list[FormulaPart]) -> Says:
    tight = Tight.AND if op == "and" else Tight.OR
    return Says(_listed(parts, tight, f" {op} ", f" {op} "), tight)


def negated(part: FormulaPart) -> Says:
    return Says(("not ", *part.inside(Tight.ATOM)), Tight.NOT)


def branched(when: FormulaPart, then: FormulaPart, otherwise: FormulaPart) -> Says:
    parts = ("if ", *when.inside(Tight.OR), ", ", *then.inside(Tight.PHRASE), ", otherwise ", *otherwise.words)
    return Says(parts, Tight.IF)


def phrase(words: tuple[Piece, ...]) -> Says:
    return Says(words, Tight.PHRASE)


def called(name: str, parts: list[FormulaPart]) -> Says:
    """A function of what stands in its brackets."""
    if name in _OF_MANY:
        return phrase((_OF_MANY[name][len(parts) > 2], *_listed(parts, Tight.NEG, ", ", " and ")))
    if name in _OF:
        return phrase((_OF[name], *parts[0].inside(Tight.ATOM)))
    if name in _WHOLE:
        return phrase((*parts[0].inside(Tight.ATOM), _WHOLE[name]))
    first, second = map(_within, parts)
    return phrase(
        {
            "between": ("the time from ", *first, " to ", *second),
            "add": (*second, " after ", *first),
            "absolute": ("the absolute pressure of ", *first, " against ", *second),
            "gauge": ("what a gauge shows at ", *first, " against ", *second),
            "vacuum": ("what a vacuum gauge shows at ", *first, " against ", *second),
        }[name]
    )


def stepped(name: str, part: FormulaPart, step: str) -> Says:
    return phrase((*part.inside(Tight.ATOM), f" {_STEPPED[name]}{step}"))


def tolerance_of(value: str) -> Says:
    return Says(("the tolerance of ", ("name", value)), Tight.ATOM)


def needle_of(reading: str) -> Says:
    return Says(("half a division of the gauge of ", ("name", reading)), Tight.ATOM)


def quantity(text: str) -> str:
    """A quantity as written, with the minus of print; a date keeps its own signs."""
    return f"−{text[1:]}" if text.startswith("-") else text


def read_from(table: str, part: FormulaPart) -> Says:
    return phrase(("read from ", ("table", table), " at ", *_within(part)))


def _within(part: FormulaPart) -> tuple[Piece, ...]:
    return part.inside(Tight.NEG)


def _listed(parts: list[FormulaPart], tight: Tight, between: str, last: str) -> tuple[Piece, ...]:
    words: tuple[Piece, ...] = parts[0].inside(tight)
    for part in parts[1:]:
        words = (*words, last if part is parts[-1] else between, *part.inside(tight))
    return words
