"""The whole job as lines of text: the car, worksheets and files, who, what is open, what was left out, the steps with
everything done to them, and what belongs to no step.

Each entry of the job has a line of its own, exactly once, under its number.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC
from typing import Any

from generator.faults import counted
from generator.history import about, words
from generator.history.book import Book
from generator.history.deeds import deed
from generator.history.exports import Exported
from generator.history.words import figure, initials, quoted, text_of, units_said
from generator.journal.entries import Entry, gather, undone_of
from generator.journal.fold import fold
from generator.tables import CLOSED, row
from generator.terminal.plain import folded, one_line, width

_NO_PROOF = (
    "This text repeats what phones recorded. It does not certify anybody's work: a tick says that somebody tapped it, "
    "and initials are typed, not proved. Times are those of each phone's own clock, in {clocks}; the order is that in "
    "which the entries were made, each after what that phone knew, and hangs on no clock. A file can be made by "
    "anybody; its digests show an accident, not a forger."
)
_COLUMN = 14


def history(exported: Exported, site: about.ShopSite) -> str:
    """Return the text without a newline at its end. No line is wider than 80 columns or holds a control character."""
    record = exported.record
    teller = _Teller(exported, site, Book(record, fold(record.entries, record.sheets)))
    return "\n".join(teller.lines())


class _Teller:
    def __init__(self, exported: Exported, site: about.ShopSite, book: Book) -> None:
        self.about, self.book, self.state = about.About(exported, book, site), book, book.state
        self.entries = exported.record.entries
        undone = undone_of(gather(self.entries))
        self.undone = {entry["id"] for entry in self.entries if id(entry) in undone}
        self.standing = {one["id"] for step in self.state["steps"].values() for one in step["answers"]}
        self.on_step: dict[str, list[tuple[int, Entry]]] = {}
        for number, entry in enumerate(self.entries, 1):
            self.on_step.setdefault(self._place(entry), []).append((number, entry))

    def _place(self, entry: Entry) -> str:
        """Return the step under which an entry is listed, or "" for the whole job."""
        if entry["kind"] in ("took-off", "extra"):
            own = f"extra/{entry['id']}"
            return own if own in self.state["steps"] else ""
        where = self.book.home(entry["step"])
        return where if where in self.state["steps"] else ""

    def lines(self) -> Iterator[str]:
        yield from self._head()
        for title, rows in (
            ("What this text does not prove", folded(_NO_PROOF.format(clocks=self.book.clocks), "  ", "  ")),
            ("Worksheets", about.worksheets(self.about)),
            ("Files", about.files(self.about)),
            ("Who", about.who(self.about)),
            ("Still open", self._open()),
            ("Left out, refused, departed from, gone back", self._left_out()),
            ("Not counted, not understood, not here", about.uncounted(self.about)),
            (f"Values read at the {self.book.trade['whole']}", self._values()),
            ("Results", self._results()),
            ("Step by step", self._steps()),
            ("Of the whole job", self._whole_job()),
        ):
            told = list(rows)
            if told:
                yield from ("", title.upper(), *told)

    def _head(self) -> Iterator[str]:
        job = self.state["job"]
        if job is None:
            yield from folded(f"JOB {quoted(self.book.record.job)}: nobody started it in this file")
            yield from folded(self._stands(), "  ", "  ")
            return
        yield from folded(f"JOB {quoted(job.get('number'))}: {quoted(job.get('vehicle'))}")
        odometer, corrected = job.get("odometer"), self.state.get("corrected", {})
        if isinstance(odometer, dict):
            yield from _row("Odometer", figure(odometer.get("number"), odometer.get("unit")))
        if job.get("vin"):
            yield from _row("VIN", quoted(job["vin"]))
        for box in self.book.trade["start"]:
            more = job.get("more")
            if isinstance(more, dict) and more.get(box["name"]):
                yield from _row(box["label"], quoted(more[box["name"]]))
        yield from _row("Started", f"{self.book.when(job['started_at'])}{' UTC' if self.book.zone is UTC else ''}")
        yield from _row("Stands", self._stands())
        if job["disputed"]:
            yield from _row("Two starts", "the phones do not agree on what the job was started with; this is the newer")
        for name, now in sorted(corrected.items()):
            yield from _row("Corrected", f"{one_line(name)}, see {self.book.number(now['id'])}")

    def _stands(self) -> str:
        state = self.state
        steps = Counter(seen["state"] for seen in state["steps"].values())
        named = [f"{steps[one]} {words.STATES[one]}" for one in _BEST_FIRST if steps[one]]
        ended = "complete" if state["complete"] else "NOT complete"
        if state["declined"]:
            ended = f"declined by {initials(state['declined']['who'])}: {quoted(state['declined']['reason'])}"
        passed = state["passed"]
        on = ""
        if passed:
            on = f". With {quoted(passed['to'])}, who {'received it' if passed['received'] else 'has not received it'}"
        return f"{ended}. Steps: {', '.join(named) or 'none'}{on}."

    # --- what a lead looks for first ----------------------------------------------------------------------------------

    def _open(self) -> Iterator[str]:
        for name, item in self.state["items"].items():
            if item["open"] > 0:
                stands = words.stands(item["kind"], self.book.trade)
                yield from folded(f"{item['open']} × {self.book.item(name)} ({stands})", "  ", "    ")
        steps = [path for path in self.state["order"] if self.state["steps"][path]["state"] not in CLOSED]
        waiting = [path for path in steps if self.state["steps"][path]["state"] == "blocked"]
        for path in steps:
            if path in waiting:
                continue
            seen = self.state["steps"][path]
            why = "; ".join(dict.fromkeys(self._why(reason) for reason in seen["why"]))
            head = f"{self.book.title(path)} [{words.STATES[seen['state']]}{': ' if why else ''}{why}]"
            yield from folded(head, "  ", "      ")
        if waiting:
            said = "Not yet, because something before is open or something is missing"
            yield from folded(f"{said}: {self.book.spans(waiting)}.", "  ", "    ")
            whys = [why for path in waiting for why in self.state["steps"][path]["why"]]
            names = dict.fromkeys(self.book.label(why["name"]) for why in whys if why["code"] == "value")
            if names:
                yield from folded(f"Values missing for these: {', '.join(names)}.", "  ", "    ")

    def _why(self, reason: dict[str, Any]) -> str:
        code, book = reason["code"], self.book
        if code in ("hold", "order", "after"):
            return f"first {book.step(reason.get('step'))}"
        if code == "open":
            return f"still {', '.join(book.item(name) for name in reason.get('items') or [])}"
        if code == "list":
            return f"bolt list {words.bolt_list(reason.get('list'), book.trade)} is not done"
        if code == "ready":
            section = row(words.SECTION_TITLES, reason.get("section")) or quoted(reason.get("section"))
            items = [book.need(reason["section"], name) for name in reason.get("items") or []]
            return f"not here: {', '.join(items)}" if items else f"{section} not confirmed"
        if code in ("value", "result", "doubt"):
            said = {"value": "is missing", "result": "is not known or not good", "doubt": "is not good"}[code]
            return f"{book.label(reason.get('name'))} {said}"
        if code == "signer":
            return f"{initials(reason.get('name') or '')} may not sign here"
        return _WHY.get(code, text_of(code))

    def _left_out(self) -> Iterator[str]:
        for number, entry in enumerate(self.entries, 1):
            if entry["kind"] in _OUT or "despite" in entry["value"] or self._is_failed(entry):
                where = f"{self.book.step(entry['step'])}: " if entry["step"] else ""
                told = f"{where}{deed(entry, self.book)} ({self.book.by(entry)}){self._mark(entry)}"
                yield from folded(f"see #{number}: {told}", "  ", "    ")

    def _is_failed(self, entry: Entry) -> bool:
        given, outcomes = entry["value"].get("outcome"), self.book.check(entry["step"], "inspect").get("outcomes", [])
        return given == "failed" or any(one["name"] == given and one["fails"] for one in outcomes)

    def _values(self) -> Iterator[str]:
        for name, now in self.state["values"].items():
            if not (now["filled"] or now["disputed"] or now.get("waits") or now["not_published"]):
                continue
            is_number = now["text"] is None and now["number"] is not None
            text = figure(now["number"], now["unit"]) if is_number else text_of(now["text"])
            source = now["source"] if isinstance(now["source"], dict) else {}
            said = [f"{self.book.label(name)}: {units_said(text) or 'not known'}"]
            if source:
                said.append(f"from {quoted(source.get('document'))}, {quoted(source.get('where'))}")
            if now["not_published"]:
                said.append("not published, shop's own table")
            if now.get("sure"):
                said.append("asked whether it is right, and sure")
            said += self._readers(now)
            yield from folded("; ".join(said), "  ", "    ")

    def _readers(self, now: dict[str, Any]) -> Iterator[str]:
        second, waits = now.get("second"), now.get("waits")
        if now["disputed"]:
            yield "two readings that differ"
        if waits:
            names = ", ".join(f"{initials(one['who'])} ({self.book.number(one['id'])})" for one in waits)
            yield f"read once, by {names}: a second reader is missing"
        if second:
            first = second["first"]
            alone = "again after a break, by the same person"
            how = alone if second.get("self") else f"read a second time by {initials(second['who'])}"
            yield f"read by {initials(first['who'])} ({self.book.number(first['id'])})"
            yield f"{how} ({self.book.number(second['id'])})"

    def _results(self) -> Iterator[str]:
        for name, now in self.state["results"].items():
            told = self.book.result(name)
            if told is not None:
                verdict = f": {text_of(now['verdict'])}" if now["verdict"] else ""
                bad = " [not good]" if now["bad"] else ""
                yield from folded(f"{self.book.label(name)} {told}{verdict}{bad}", "  ", "    ")

    # --- the steps ----------------------------------------------------------------------------------------------------

    def _steps(self) -> Iterator[str]:
        stage = None
        for path in self.state["order"]:
            told = self.on_step.get(path)
            if not told:
                continue
            step = self.book.steps.get(path)
            now = text_of(self.book.sheet["stages"][step["stage"]].get("title")) if step else "Extra work"
            if now != stage:
                stage = now
                yield from folded(stage, " ", "   ")
            seen = self.state["steps"][path]
            yield from folded(f"{self.book.title(path)} [{words.STATES[seen['state']]}]", "  ", "      ")
            for number, entry in told:
                yield from self._entry(number, entry)
        hidden = sum(seen["state"] == "hidden" for seen in self.state["steps"].values())
        if hidden:
            yield f"  {counted(hidden, 'step')} not needed after what was found."

    def _whole_job(self) -> Iterator[str]:
        for number, entry in self.on_step.get("", []):
            yield from self._entry(number, entry)

    def _entry(self, number: int, entry: Entry) -> list[str]:
        where = f"on {self.book.step(entry['step'])}: " if self._place(entry) == "" and entry["step"] else ""
        told = (
            f"{self.book.when(entry['at'])} {self.book.by(entry)}: {where}{deed(entry, self.book)}{self._mark(entry)}"
        )
        return folded(told, f"    #{number}  ", " " * 8)

    def _mark(self, entry: Entry) -> str:
        """Return why an entry does not stand, or "" if it does."""
        id_ = entry["id"]
        for ids, said in (
            (self.state["unknown"], "not understood"),
            (self.state["gone"], "on what the worksheet no longer has"),
            (self.undone, "taken back"),
            (self.state["inert"], "does not count"),
        ):
            if id_ in ids:
                return f" [{said}]"
        answers = entry["kind"] in _ANSWERS and entry["step"] and id_ not in self.standing
        return " [not the last word]" if answers else ""


_BEST_FIRST = sorted(words.STATES, key=lambda state: (state == "hidden", state not in CLOSED, state != "done"))
_ANSWERS = ("check", "settle", "finish", "skip", "not-fitted", "refuse")
_OUT = ("skip", "not-fitted", "refuse", "depart", "back", "take-back", "decline", "took-off", "extra", "elapsed")
_WHY = {
    "disturbed": "going back may have disturbed it",
    "again": "something before it was done after it, or is open again",
    "duty": "the worksheet asks something else here than when it was done",
    "permit": "whoever gave the permit has the job, or works under it",
    "not-needed": "no longer needed after what was found",
}


def _row(name: str, told: str) -> list[str]:
    return folded(told, f"  {name}{' ' * (_COLUMN - width(name))}")
