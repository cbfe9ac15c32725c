"""Jobs of the golden set that are written entry by entry, by the fold's own kinds, without a page.

Each function returns a job on one engine, with the worksheets it names. Together with the jobs driven through the pages
(`driven.py`) they hold every kind of entry, and every way in which two phones that did not see each other can differ.
"""

from __future__ import annotations

from datetime import timedelta
from random import Random
from typing import Any

from generator.canonical import canonical, digest
from generator.journal.entries import Entry, union
from generator.journal.fold import legal
from generator.journal.record import write_record
from generator.journal.seen import answer_ids, step_ids
from tests.support.journals import Phone, digest_of
from tests.support.walker import SOURCE, Walker

Sheet = dict[str, Any]


class Floor(Walker):
    """One job, worked at on phones by name. The others do not see what one phone writes until they `meet`."""

    def __init__(self, sheet: Sheet, seed: int, number: str, vehicle: str) -> None:
        rng = Random(seed)
        self.job = f"{rng.getrandbits(96):024x}"
        self.start = {"number": number, "vehicle": vehicle, "procedure": sheet["procedure"]}
        super().__init__(sheet, rng)
        self.phones: dict[str, Phone] = {"one": self.phone}

    def tap(self, kind: str, **fields: Any) -> None:
        if kind == "start":
            fields["value"] = {**fields["value"], **self.start}
        super().tap(kind, job=self.job, **fields)

    def wrote(self, kind: str, **fields: Any) -> Entry:
        """Write an entry and return it."""
        before = {id(entry) for entry in self.entries}
        self.tap(kind, **fields)
        return next(entry for entry in self.entries if id(entry) not in before)

    def on(self, name: str, who: str = "KS") -> None:
        """Go to a phone. A new one gets all that the phone before it held."""
        if name not in self.phones:
            self.phones[name] = Phone(self.rng, f"phone-{name}", self.sheet)
            self.phones[name].meet(self.entries)
        self.phone = self.phones[name]
        self.phone.sheet = self.sheet
        self.phone.who = who
        self.state = self.judged()

    def meet(self) -> None:
        every = union([entry for phone in self.phones.values() for entry in phone.view.entries])
        for phone in self.phones.values():
            phone.meet(every)
        self.state = self.judged()

    def go_on(self, until: str | None = None) -> Floor:
        super().go_on(until)
        assert self.state["next"] == until, f"{until} was passed, next is {self.state['next']}"
        return self

    def now_is(self, **states: str) -> None:
        """Check the states of steps, with __ for / and _ for -: a golden job must be what it was meant to be."""
        wanted = {path.replace("__", "/").replace("_", "-"): state for path, state in states.items()}
        found = {path: self.state["steps"][path]["state"] for path in wanted}
        assert found == wanted, found

    def check(self, path: str, part: str = "", **value: Any) -> Entry:
        given = value or self.good(path, part)
        return self.wrote("check", step=path, part=part, value=given, seen=self.phone.sees(path, part))

    def leave(self, kind: str, path: str, **value: Any) -> Entry:
        return self.wrote(kind, step=path, value=value, seen=self.phone.sees(path, ""))

    def depart(self, path: str, part: str, **value: Any) -> Entry:
        given = {"reason": "not to be had today", "instead": "done by hand, looked at twice", "with": "RT", **value}
        return self.wrote("depart", step=path, part=part, value=given, seen=self.phone.sees(path, f"depart:{part}"))

    def of_job(self, kind: str, slot: str, part: str = "", **value: Any) -> Entry:
        return self.wrote(kind, part=part, value=value, seen=self.phone.sees("", slot))

    def read(self, name: str, **value: Any) -> Entry:
        return self.of_job("read", f"value:{name}", name, **value)

    def settle(self, path: str, part: str, value: dict[str, Any]) -> Entry:
        seen = self.phone.sees(path, part) if path else self.phone.sees("", f"value:{part}")
        return self.wrote("settle", step=path, part=part, value=value, seen=seen)

    def take_back(self, path: str, part: str = "", reason: str = "slip of the thumb", **value: Any) -> Entry:
        seen = answer_ids(self.phone.view, path, part, self.sheet)
        return self.wrote("take-back", step=path, part=part, value={"reason": reason, **value}, seen=seen)

    def take_back_entry(self, entry: Entry) -> Entry:
        return self.wrote("take-back", value={"reason": "was right after all"}, seen=[entry["id"]])

    def go_back(self, path: str, reason: str, to: str | None = None) -> Entry:
        """Go back as the page proposes: name what the failure disturbs, and ask about all answered steps between."""
        failed = self.steps[path]["if_failed"]
        to = to or failed["back_to"]
        order = list(self.steps)
        between = order[order.index(to) : order.index(path)]
        answered = [each for each in between if self.state["steps"][each]["answers"]]
        disturbs = [each for each in failed["disturbs"] if each in order]
        rest = [each for each in answered if each not in disturbs]
        value = {"to": to, "disturbs": disturbs, "rest": rest, "reason": reason}
        seen = step_ids(self.phone.view, [path, *disturbs], self.sheet)
        return self.wrote("back", step=path, value=value, seen=seen)

    def not_disturbed(self, path: str, back: Entry) -> Entry:
        return self.wrote("not-disturbed", step=path, seen=[back["id"]])

    def disturbed(self) -> list[str]:
        return [
            path
            for path, seen in self.state["steps"].items()
            if any(why["code"] == "disturbed" for why in seen["why"]) and legal(self.state, self.sheet, path)
        ]

    def elapsed(self, path: str, seconds: float, why: str) -> Entry:
        seen = self.phone.sees(path, "elapsed")
        return self.wrote("elapsed", step=path, value={"seconds": seconds, "why": why}, seen=seen)

    def adopt(self, sheet: Sheet) -> Entry:
        self.sheets[digest_of(sheet)] = sheet
        self.sheet = self.phone.sheet = sheet
        self.steps = {step["path"]: step for step in sheet["steps"]}
        return self.of_job("adopt", "sheet", sheet=digest_of(sheet))

    def later(self, **much: float) -> None:
        self.now += timedelta(**much)

    @property
    def record(self) -> str:
        return write_record(self.entries, self.sheets)


# --- one job on each engine -------------------------------------------------------------------------------------------


def inline_four(sheet: Sheet, newer: Sheet) -> Floor:
    """From start to end: values read and settled, departures, a failed proof, a newer revision half way, finished."""
    job = Floor(sheet, 41, "G-41", "Blue hatchback (invented)")
    job.go_on("safe/ready")
    job.prepare()
    without = {"except": ["mirror"]}
    job.tap("confirm", part="tools", value=without, seen=job.phone.sees("", "confirm:tools"))
    job.depart("safe/ready", "tool:mirror", reason="broken, a new one comes on Friday")
    job.check("safe/ready")
    job.now_is(safe__ready="done")
    job.leave("skip", "safe/codes", reason="the reader's battery is flat", instead="", **{"with": ""})
    job.go_on("lift/lift")
    job.leave("skip", "lift/lift", reason="stands over a pit", instead="the pit", **{"with": "RT"})
    job.go_on("strip/crack-crank-bolt")
    extra = job.wrote(
        "extra", value={"label": "New bulb, left", "approved_by": "owner", "how": "telephone", "price": "12"}
    )
    wrong = job.check("strip/crack-crank-bolt")
    taken = job.take_back("strip/crack-crank-bolt")
    job.now_is(strip__crack_crank_bolt="open")
    job.take_back_entry(taken)
    job.now_is(strip__crack_crank_bolt="done")
    assert wrong["id"] in [answer["id"] for answer in job.state["steps"]["strip/crack-crank-bolt"]["answers"]]
    bracket = job.take_off("bolt")
    job.of_job("count", "count:pump_bolts", "pump_bolts", count=7)

    _mount_bolts_read_on_two_phones(job)

    job.go_on("position/as-found-photo")
    job.leave("not-fitted", "position/as-found-photo", reason="no camera is let into this bay")
    job.go_on("belt-off/belt-off")
    job.go_on("pump/pump-off")
    job.depart("pump/pump-off", "part:pump_joint", reason="came without its joint")
    job.adopt(newer)
    again = [path for path, seen in job.state["steps"].items() if seen["state"] == "recheck"]
    assert again, "a changed duty must be asked for again"
    reworded = [path for path, seen in job.state["steps"].items() if seen["reworded"]]
    for path in reworded:
        same = {"same": job.steps[path]["wording"]}
        job.wrote("confirm", step=path, value=same, seen=job.phone.sees(path, "wording"))
    assert reworded and not any(seen["reworded"] for seen in job.state["steps"].values())

    job.go_on("prove/tools-proved")
    job.check("prove/tools-proved", outcome="not-in")
    back = job.go_back("prove/tools-proved", "one pin a hair off")
    for path in job.disturbed():
        job.not_disturbed(path, back)
    assert any(entry["kind"] == "not-disturbed" for entry in job.entries)
    job.go_on("close/upper-cover-on")
    assert job.state["steps"]["close/upper-cover-on"]["why"] == [{"code": "value", "name": "upper_cover_bolts"}]
    job.read("upper_cover_bolts", not_published=True)
    job.go_on("heat/fan-cycled")
    job.leave("not-fitted", "heat/fan-cycled", reason="this one has a fan on the shaft")
    job.check(bracket)
    job.check(f"extra/{extra['id']}")
    job.go_on()
    assert job.state["complete"] and job.state["steps"]["prove/tools-proved"]["failures"] == 1
    return job


def _mount_bolts_read_on_two_phones(job: Floor) -> None:
    """The same missing value, read apart from two books, then settled."""
    job.on("two", "JM")
    job.on("one")
    first = {"number": 48, "unit": "N.m", "source": SOURCE}
    other = {"number": 54, "unit": "N.m", "source": {"document": "Another printing", "where": "page 62"}}
    job.read("mount_bolts", **first)
    job.on("two", "JM")
    job.read("mount_bolts", **other)
    job.meet()
    assert job.state["values"]["mount_bolts"]["disputed"]
    job.on("one")
    job.settle("", "mount_bolts", first)
    job.on("one", "JM")
    job.read("mount_bolts", **first, second={"self": False})
    job.on("one")
    assert job.state["values"]["mount_bolts"]["number"] == 48


def inline_three(sheet: Sheet, newer: Sheet) -> Floor:
    """Two phones apart, one with a wrong clock: agreeing, disputed and settled. Left open in the middle."""
    job = Floor(sheet, 31, "G-31", "Red two-door (invented)")
    job.go_on("cap-off/cold")
    job.on("two", "JM")
    job.phone.offset = timedelta(days=-4000)
    job.on("one")
    job.go_on("drain/coolant-kind")
    job.on("two", "JM")
    job.go_on("drain/drained")
    job.check("drain/drained", number=3.9, unit="L")
    job.close("drain/glass-zeroed")
    job.leave("skip", "drain/freeze-now", reason="the glass is broken", instead="", **{"with": ""})
    job.meet()
    job.now_is(cap_off__cold="done", drain__plug_out="done", drain__drained="disputed", drain__freeze_now="disputed")
    job.settle("drain/drained", "", {"number": 3.9, "unit": "L"})
    job.on("one")
    job.settle("drain/freeze-now", "", job.good("drain/freeze-now"))
    job.now_is(drain__freeze_now="done")
    job.meet()
    job.on("one")
    job.go_on("strip/part-connectors")
    job.depart("strip/part-connectors", "order", reason="the wheel is stuck")
    job.check("strip/part-connectors")
    job.depart("strip/crack-crank-bolt", "tool:counterhold", reason="lent out")
    job.go_on("position/may-turn")
    job.of_job("pass-on", "pass", to="JM")
    job.on("two", "JM")
    job.meet()
    job.of_job("receive", "pass")
    assert job.state["passed"]["received"]
    job.go_on("pump/sealer-cure")
    job.check("pump/sealer-cure", "start")
    job.on("one", "AW")
    job.meet()
    job.later(minutes=50)
    job.elapsed("pump/sealer-cure", 3000, "the clock on the wall")
    job.check("pump/sealer-cure", "end")
    job.now_is(pump__sealer_cure="done")
    job.depart("thermostat/thermostat-on", "value:thermostat_bolts", reason="the line is cut off in the book")
    job.on("one")
    job.go_on("belt-on/belt-on")
    job.take_off("clip")
    _from_later_years(job)
    assert job.state["unknown"] and not job.state["complete"]
    return job


def _from_later_years(job: Floor) -> None:
    """A kind and a version that this version does not know. They are saved, listed and passed on."""
    job.tap("weather", value={"sky": "grey", "deep": [None, "ö", 1.5]})
    job.tap("check", v=2, step="lift/wheel", value={"seen_by": "camera"}, seen=[])


def flat_four(sheet: Sheet, newer: Sheet) -> Floor:
    """The pump refused, one-time bolts, a failure without a way back, a go-back that is taken back, a clash of ids."""
    job = Floor(sheet, 24, "G-24", "Green estate (invented)")
    job.go_on("agree/pump-agreed")
    job.leave("refuse", "agree/pump-agreed", how="told at the car", told_by="KS", price="140")
    job.now_is(agree__pump_agreed="refused", pump__pump_off="hidden")
    job.go_on("judge-cams/cam-seals")
    job.check("judge-cams/cam-seals", outcome="leaking")
    job.go_on("cam-seals/seals-out")
    job.check("cam-seals/seals-out", outcome="failed", note="a deep groove")
    job.now_is(cam_seals__seals_out="failed")
    job.check("cam-seals/seals-out", outcome="smooth")
    job.go_on("belt-on/idlers")
    job.check("belt-on/idlers", "1.1", set="20 N.m", wrench="small", adapter={"length": 40, "angle": 0, "lever": 230})
    job.check("belt-on/idlers", "1.2", set="20 N.m", wrench="small")
    job.take_back("belt-on/idlers", "1.2", reason="was the bolt beside it")
    job.close("belt-on/idlers")
    job.go_on("prove/marks-proved")
    job.check("prove/marks-proved", outcome="tooth-out")
    back = job.go_back("prove/marks-proved", "looked at from the side")
    job.take_back_entry(back)
    job.check("prove/marks-proved")
    job.now_is(prove__marks_proved="failed")  # at a stop, a better answer does not undo a failed one
    job.take_back("prove/marks-proved", reason="looked at from the side", **{"with": "RT"})
    job.check("prove/marks-proved")
    job.now_is(prove__marks_proved="done")
    job.go_on("refill-slow/screws-shut")
    twin = {**job.entries[-1], "value": {"number": 9, "unit": "L"}}
    job.phone.meet([twin])
    job.state = job.judged()
    assert job.state["clashes"] == [twin["id"]]
    return job


def vee_six(sheet: Sheet, newer: Sheet) -> Floor:
    """Two phones at two banks, a newer revision on one of them, a corrected reading. Then the shop declines."""
    job = Floor(sheet, 63, "G-63", "Grey estate (invented)")
    job.go_on("off-left/belt-off")
    job.check("off-left/belt-off", number=99, unit="teeth")
    job.check("off-left/belt-off")
    job.go_on("judge-left/cam-seals")
    job.on("two", "JM")
    job.close("judge-left/cam-seals")
    job.on("one")
    job.check("judge-left/cam-seals")
    job.check("judge-right/cam-seals", outcome="leaking")
    job.on("two", "JM")
    job.check("judge-right/cam-seals", outcome="dry")
    job.adopt(newer)
    job.on("three", "AW")
    job.meet()
    job.now_is(judge_left__cam_seals="done", judge_right__cam_seals="disputed")
    job.settle("judge-right/cam-seals", "", {"outcome": "dry"})
    job.go_on("pump/pump-off")
    job.of_job("decline", "decline", reason="the head is cracked, the owner is told")
    assert job.state["declined"]
    return job


WRITTEN = {
    "inline-four": inline_four,
    "inline-three": inline_three,
    "flat-four": flat_four,
    "vee-six": vee_six,
}


def chain_holds(entries: list[Entry]) -> bool:
    """True if every writer's entry names the one before it."""
    last: dict[str, str] = {}
    for entry in entries:
        if entry["prev"] != last.get(entry["writer"], ""):
            return False
        last[entry["writer"]] = digest(canonical(entry))
    return True
