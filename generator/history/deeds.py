"""One entry in words: what somebody did or said. Every field of an entry is reported, even an unknown one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from generator.canonical import canonical
from generator.history import words
from generator.history.book import Book
from generator.history.words import figure, quoted, text_of
from generator.journal.answers import asks_qualified, said
from generator.journal.entries import Entry, is_known
from generator.quantities.people import person
from generator.table_names import EntryKind, SaidField
from generator.tables import row
from generator.terminal.plain import one_line

_ALSO: Mapping[SaidField, str] = {
    "reason": "because",
    "instead": "instead",
    "with": "agreed with",
    "told_by": "told by",
    "approved_by": "approved by",
    "how": "how",
    "price": "price",
}


class _Value:
    """The value of an entry, field by field. What no reader took is left over."""

    def __init__(self, entry: Entry) -> None:
        self.entry, self.left = entry, dict(entry["value"])

    def take(self, key: SaidField) -> Any:
        return self.left.pop(key, None)

    def texts(self, key: str) -> list[str]:
        found = self.left.pop(key, None)
        return [one for one in found if isinstance(one, str)] if isinstance(found, list) else []

    def also(self) -> list[str]:
        """Return `because "lent out"` and the like, for the fields that say something."""
        taken = [(word, self.take(key)) for key, word in _ALSO.items()]
        return [f"{word} {quoted(found)}" for word, found in taken if found not in ("", None)]

    def rest(self) -> list[str]:
        named = [f"{one_line(key)} {_unknown(found)}" for key, found in sorted(self.left.items())]
        return [f"also says {', '.join(named)}"] if named else []


def _unknown(found: Any) -> str:
    return quoted(found) if isinstance(found, str) else one_line(canonical(found))


def deed(entry: Entry, book: Book) -> str:
    """Return what the entry says, without who and when: `21 N.m, with Click wrench 20 to 100`."""
    if not is_known(entry):
        told = f"an entry of kind {quoted(entry['kind'])} that this version cannot read"
        version = f", of format version {entry['v']}" if entry["v"] != 1 else ""
        return f"{told}{version}: {one_line(canonical(entry['value']))}"
    value = _Value(entry)
    return "; ".join([part for part in [*_DEEDS[entry["kind"]](value, book), *value.also(), *value.rest()] if part])


def _start(value: _Value, book: Book) -> Iterable[str]:
    yield f"started job {quoted(value.take('number'))} on {quoted(value.take('vehicle'))}"
    yield from _odometer(value.take("odometer"))
    vin, role, procedure = value.take("vin"), value.take("role"), value.take("procedure")
    if vin:
        yield f"VIN {quoted(vin)}"
    if role:
        yield f"as {words.role(role, book.trade)}"
    if procedure:
        yield f"by procedure {text_of(procedure)}"
    yield from _more(value.left.pop("more", None), book)


def _more(told: Any, book: Book) -> Iterable[str]:
    """Yield what the other boxes of the start form say."""
    if isinstance(told, dict):
        labels = {box["name"]: box["label"] for box in book.trade["start"]}
        for name, text in sorted(told.items()):
            yield f"{one_line(labels.get(name) or name)} {quoted(text)}"
    elif told is not None:
        yield quoted(told)


def _odometer(told: Any) -> Iterable[str]:
    if isinstance(told, dict):
        yield f"odometer {figure(told.get('number'), told.get('unit'))}"
    elif told is not None:
        yield f"odometer {quoted(told)}"


def _correct(value: _Value, book: Book) -> Iterable[str]:
    field = value.entry["part"]
    new = value.left.pop(field, None)
    to = f"{one_line(field)} to {quoted(new)}"
    if field == "odometer":
        to = next(iter(_odometer(new)), "")
    elif field == "more":
        to = f"other boxes to {', '.join(_more(new, book))}"
    yield f"corrected the {to}"


def _adopt(value: _Value, book: Book) -> Iterable[str]:
    mark = text_of(value.take("sheet"))
    sheet = book.record.sheets.get(mark)
    revision = f"revision {text_of(sheet.get('revision'))}" if sheet else "one that is not in the file"
    yield f"went over to another worksheet: {revision}, digest {mark[:12]}..."


def _confirm(value: _Value, book: Book) -> Iterable[str]:
    if value.entry["step"]:
        value.take("same")
        yield "read the step's new wording: it says the same"
        return
    section = value.entry["part"]
    missing = [book.need(section, name) for name in value.texts("except")]
    yield f"confirmed the list {row(words.SECTION_TITLES, section) or quoted(section)}"
    yield f"without {', '.join(missing)}" if missing else "nothing missing"


def _read(value: _Value, book: Book) -> Iterable[str]:
    yield f"read {book.label(value.entry['part'])}: {_figure(value)}"
    yield from _source(value)


_READ: tuple[SaidField, ...] = ("text", "number", "unit", "sure", "not_published")


def _figure(value: _Value) -> str:
    told = {key: value.take(key) for key in _READ}
    if told.pop("not_published") is True and told["text"] is None and told["number"] is None:
        return "not published, shop's own table"
    own = " (not published, shop's own table)" if value.entry["value"].get("not_published") is True else ""
    return words.answer("read", {key: one for key, one in told.items() if one is not None}) + own


def _source(value: _Value) -> Iterable[str]:
    source, second, margin = value.take("source"), value.take("second"), value.take("margin")
    if isinstance(margin, dict):
        yield f"give or take {figure(margin.get('number'), margin.get('unit'))}"
    if isinstance(source, dict):
        yield f"in {quoted(source.get('document'))}, {quoted(source.get('where'))}"
        value.left |= {f"source {key}": source[key] for key in source.keys() - {"document", "where"}}
    if isinstance(second, dict):
        yield "second reading, by the same person after a break" if second.get("self") else "second reading"


_ANSWERED: tuple[SaidField, ...] = (
    "outcome",
    "note",
    "number",
    "unit",
    "text",
    "sure",
    "set",
    "kept_at",
    "self",
    "permit",
)


def _check(value: _Value, book: Book) -> Iterable[str]:
    entry = value.entry
    step, part = entry["step"], entry["part"]
    kind = entry["kind"]
    given: dict[str, Any] = {key: found for key in _ANSWERED if (found := value.take(key)) is not None}
    answer = words.answer("check" if kind == "settle" else kind, given, lambda name: book.outcome(step, name))
    if "set" in given:
        target = book.target(step, part)
        answer = f"wrench set to {answer}" + (f" (the sheet asks {target})" if target else "")
    if "number" in given and (band := book.expected(step, part)):
        answer += f" (expected {band})"
    yield f"{book.part(step, part)}: {answer}" if part else answer
    if "self" in given and step in book.steps and asks_qualified(book.steps[step]["check"]):
        yield _signer(entry["who"], book)
    if note := given.get("note"):
        yield f"note {quoted(note)}" if given.get("outcome") != "failed" else ""
    yield from _tools(value, book)
    despite = value.take("despite")
    if isinstance(despite, dict):
        results = despite.get("results")
        named = [book.label(name) for name in results if isinstance(name, str)] if isinstance(results, list) else []
        yield f"went on although not good: {', '.join(named)}; because {quoted(despite.get('reason'))}"


def _signer(who: str, book: Book) -> str:
    """Return as what somebody signed where somebody qualified is asked for."""
    known = book.people.get(person(who))
    return f"as {words.role(known['role'], book.trade)}" if known else "by nobody that the worksheet lists"


def _tools(value: _Value, book: Book) -> Iterable[str]:
    wrench, adapter = value.take("wrench"), value.take("adapter")
    if said(wrench):
        yield f"with {book.wrench(wrench)}"
    if isinstance(adapter, dict):
        sizes = [f"{key} {text_of(adapter[key])} {unit}" for key, unit in _ADAPTER if adapter.get(key) is not None]
        yield f"with an adapter: {', '.join(sizes)}"
    if value.take("new") is True:
        yield "new bolt"


_ADAPTER = (("length", "mm"), ("angle", "deg"), ("lever", "mm"))


def _settle(value: _Value, book: Book) -> Iterable[str]:
    step = value.entry["step"]
    what = "" if step else f" for {book.label(value.entry['part'])}"
    if step:
        first, *more = _check(value, book)
        yield f"chose between two answers: {first}"
        yield from more
    else:
        yield f"chose between two readings{what}: {_figure(value)}"
        yield from _source(value)
    yield f"had in view {_numbers(value.entry['seen'], book)}" if value.entry["seen"] else ""


def _numbers(ids: Iterable[Any], book: Book) -> str:
    return ", ".join(book.number(id_) for id_ in ids) or "nothing"


def _plainly(text: str) -> Callable[[_Value, Book], Iterable[str]]:
    return lambda value, book: [text]


_DEPARTED: dict[str, Callable[[str, Book], str]] = {
    "order": lambda name, book: "out of order",
    "tool": lambda name, book: f"without the tool {book.need('tools', name)}",
    "part": lambda name, book: f"without the part {book.need('parts', name)}",
    "value": lambda name, book: f"without the value {book.label(name)}",
}


def _depart(value: _Value, book: Book) -> Iterable[str]:
    what, _, name = value.entry["part"].partition(":")
    tell = _DEPARTED.get(what)
    yield f"departed from the worksheet: {tell(name, book) if tell else quoted(value.entry['part'])}"


def _back(value: _Value, book: Book) -> Iterable[str]:
    to, disturbs, rest = value.take("to"), value.texts("disturbs"), value.texts("rest")
    yield f"went back to {book.step(to)}"
    if disturbs:
        yield f"to be done again: {', '.join(book.step(path) for path in disturbs)}"
    if rest:
        yield f"to be looked at again: {', '.join(book.step(path) for path in rest)}"


def _not_disturbed(value: _Value, book: Book) -> Iterable[str]:
    yield f"said that nothing else was disturbed by going back ({_numbers(value.entry['seen'], book)})"


def _took_off(value: _Value, book: Book) -> Iterable[str]:
    count, label, kind = value.take("count"), value.take("label"), value.take("kind")
    on = value.take("list")
    yield f"took off besides: {text_of(count)} × {quoted(label)} ({text_of(kind)})"
    yield f"on the list {words.bolt_list(on, book.trade)}" if on else ""


def _extra(value: _Value, book: Book) -> Iterable[str]:
    yield f"extra work: {quoted(value.take('label'))}"


def _count(value: _Value, book: Book) -> Iterable[str]:
    yield f"counted {book.item(value.entry['part'])}: {text_of(value.take('count'))}"


def _put_back(value: _Value, book: Book) -> Iterable[str]:
    yield f"put back of {book.item(value.entry['part'])}: {text_of(value.take('count'))} in all"


def _elapsed(value: _Value, book: Book) -> Iterable[str]:
    seconds, why = value.take("seconds"), value.take("why")
    yield f"said that {text_of(seconds)} s have passed since the start of the wait, by {quoted(why)}"


def _take_back(value: _Value, book: Book) -> Iterable[str]:
    yield f"took back {_numbers(value.entry['seen'], book)}"


def _pass_on(value: _Value, book: Book) -> Iterable[str]:
    to = value.take("to")
    yield f"passed the job on to {quoted(to)}" if said(to) else "passed the job on"


_DEEDS: Mapping[EntryKind, Callable[[_Value, Book], Iterable[str]]] = {
    "start": _start,
    "correct": _correct,
    "adopt": _adopt,
    "confirm": _confirm,
    "read": _read,
    "check": _check,
    "finish": _plainly("finished the job"),
    "settle": _settle,
    "skip": _plainly("left out"),
    "not-fitted": _plainly("not fitted"),
    "refuse": _plainly("refused by the customer"),
    "depart": _depart,
    "back": _back,
    "not-disturbed": _not_disturbed,
    "took-off": _took_off,
    "extra": _extra,
    "count": _count,
    "put-back": _put_back,
    "elapsed": _elapsed,
    "take-back": _take_back,
    "decline": _plainly("declined the job for the shop"),
    "pass-on": _pass_on,
    "receive": _plainly("received the job"),
}
"""What each kind of entry says, in pieces; the same kinds as journal.entries.SLOTS."""
