"""Worksheet -> the pages that a phone, a printer or the guide shows. Text in, text out. Every text is escaped.

The worksheet page can be read and printed before any script runs. The phone's modules draw the job over it. Nothing is
inline and every link is relative, so a site works at any path of any host.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal, assert_never
from urllib.parse import quote, urlencode

from jinja2 import DictLoader, Environment, StrictUndefined

from generator.quantities.fasteners.preload import class_of, named
from generator.quantities.fasteners.wrench import Pick, is_overdue, settings, settings_through
from generator.quantities.paper import Paper
from generator.quantities.quantity import Quantity
from generator.quantities.results import with_unit
from generator.quantities.sources import is_read_once
from generator.quantities.units import legible
from generator.richtext import which_of
from generator.sheet_types import (
    CheckJson,
    ClosedJson,
    GateJson,
    OneTimeJson,
    OpenedJson,
    PartJson,
    PullJson,
    SourceJson,
    StageJson,
    StepJson,
    ValueJson,
    WorksheetJson,
)
from generator.site.policy import STRICT
from generator.tables import qualified_roles, trade_of
from generator.worksheet import CheckKind

PRODUCT = "Handturn"
SIGNAL = {"danger": "DANGER", "warning": "WARNING", "caution": "CAUTION", "notice": "NOTICE"}
ORDERS = {
    "any": "Any order within this stage.",
    "kept": "Keep to this order. Another order needs a reason.",
    "absolute": "In exactly this order.",
}
REUSE = {"no": "always new", "yes": "may be used again", "ask": "the book does not say whether it may be used again"}
LEAVES = {
    "own": "Leave this out only with a reason.",
    "lead": "Leave this out only if the shop lead agrees, with a reason.",
    "never": "This cannot be left out.",
}


@dataclass(frozen=True)
class Site:
    """What the pages of one site share. `templates`: name -> text of the Jinja templates. `guide`: where the theme's
    pages begin, relative to the site's root; empty if there are none."""

    shop_id: str
    shop_title: str
    templates: tuple[tuple[str, str], ...]
    guide: str = ""

    @classmethod
    def of(cls, shop_id: str, shop_title: str, templates: Mapping[str, str], guide: str = "") -> Site:
        return cls(shop_id, shop_title, tuple(sorted(templates.items())), guide)


def worksheet_page(sheet: WorksheetJson, digest: str, site: Site) -> str:
    """Return the page at `w/<worksheet>/`. Its `sheet.json` is beside it."""
    numbers = {step["path"]: n for n, step in enumerate(sheet["steps"], 1)}
    paper = Paper(sheet)
    return _page(
        "worksheet.html",
        site,
        "../../",
        title=f"{sheet['title']}: {sheet['engine']['title']}",
        sheet=sheet,
        names=paper.names,
        digest=digest,
        stages=[_stage(n, stage, numbers, paper) for n, stage in enumerate(sheet["stages"])],
        sections=_preparation(sheet, paper),
        lists=_bolt_lists(sheet),
        blanks=_blanks(sheet),
        sheet_word=trade_of(sheet)["sheet"],
        preparation=_preparation_title(sheet),
        standing=_standing(sheet),
    )


def torque_page(sheet: WorksheetJson, digest: str, site: Site, day: str) -> str:
    """Return the page at `w/<worksheet>/torque/`: every fastener of the job in one table, the paper that goes on the
    car. The wrenches are those that the phone offers on `day` (`2026-10-02`)."""
    return _page(
        "torque.html",
        site,
        "../../../",
        title="Torque sheet",
        sheet=sheet,
        digest=digest,
        groups=_fasteners(sheet, day),
        through=_through_adapters(sheet, day),
        sheet_word=trade_of(sheet)["sheet"],
        blanks=["Job number", *(box["label"] for box in trade_of(sheet)["start"] if box["name"] == "what"), "Date"],
        overdue={name for name, wrench in sheet["wrenches"].items() if is_overdue(wrench["due"], day)},
        missing=sheet["needs"]["no_wrench"],
        standing=_standing(sheet),
    )


def start_page(site: Site, worksheets: Sequence[WorksheetJson], jobs: Sequence[Mapping[str, Any]] = ()) -> str:
    """Return the site's first page. A job by the lead is {worksheet, job, vehicle, odometer|None, agreed|None}."""
    written = [{**job, "link": f"w/{quote(job['worksheet'])}/#new?{_filled(job)}"} for job in jobs]
    return _page("start.html", site, "", title=site.shop_title, worksheets=worksheets, jobs=written)


def jobs_page(site: Site, worksheets: Sequence[WorksheetJson] = ()) -> str:
    """Return the page at `jobs/`: all jobs on this phone. It also opens one whose worksheet the site no longer has."""
    return _page("jobs.html", site, "../", title="Jobs on this phone", worksheets=worksheets)


def calculators_page(site: Site) -> str:
    """Return the page at `calculators/`: the procedures' arithmetic without a job. Its `data.json` is beside it."""
    return _page("calculators.html", site, "../", title="Calculators")


def offline_page(site: Site) -> str:
    """Return the page at `offline/`: what the worker answers for an address that is not on this phone."""
    return _page("offline.html", site, "../", title="Not on this phone")


def manifest(site: Site) -> str:
    """Return manifest.webmanifest, which is beside the start page."""
    icons = [
        {"src": f"icons/handturn-{size}.png", "sizes": f"{size}x{size}", "type": "image/png", "purpose": purpose}
        for size in (192, 512)
        for purpose in ("any", "maskable")
    ]
    facts = {
        "name": f"{PRODUCT}, {site.shop_title}",
        "short_name": PRODUCT,
        "start_url": ".",
        "scope": ".",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#16191d",
        "icons": icons,
    }
    return json.dumps(facts, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


# --- the worksheet's parts --------------------------------------------------------------------------------------------


def _stage(at: int, stage: StageJson, numbers: Mapping[str, int], paper: Paper) -> dict[str, Any]:
    steps = [_step(step, paper.sheet, numbers, paper) for step in paper.sheet["steps"] if step["stage"] == at]
    return {**stage, "number": at + 1, "steps": steps, "rule": ORDERS[stage["order"]]}


def _step(step: StepJson, sheet: WorksheetJson, numbers: Mapping[str, int], paper: Paper) -> dict[str, Any]:
    return {
        **step,
        "number": numbers[step["path"]],
        "which": which_of(step.get("which")),
        "shown_values": [
            {**_shown_value(name, sheet["values"][name]), "instead": paper.instead_of(name)} for name in step["values"]
        ],
        "boxes": _boxes(step["check"], sheet),
        "results": paper.results_of(step),
        "first": [*_conditions(step, sheet, numbers), *_barriers(step, sheet, numbers)],
        "notes": _notes(step, sheet, numbers),
    }


def _shown_value(name: str, value: ValueJson) -> dict[str, Any]:
    return {**value, "name": name, "from": value_line(value)}


MAKER_FIRST = "The maker\u2019s information comes first. Where it differs from this sheet, the maker is right."
INVENTED = "Invented values, for a demonstration. Use none of them on a {whole}."


def _standing(sheet: WorksheetJson) -> list[str]:
    """Return what a sheet is worth, for the top of the paper and the foot of every page: whose word counts, whether its
    values are made up, and how old it is. The phone says the same (`standingOf`)."""
    invented = [INVENTED.format(whole=trade_of(sheet)["whole"])] if sheet["engine"].get("invented") else []
    return [*invented, MAKER_FIRST, _age(sheet)]


def _age(sheet: WorksheetJson) -> str:
    """Return the revisions, and the last day on which somebody read one of the values."""
    sources = [value["source"] for value in sheet["values"].values()]
    days = [source["read"] for source in sources if source and source["read"]]
    read = f", last value read on {max(days)}" if days else ""
    about = trade_of(sheet)["sheet"]
    return f"Worksheet revision {sheet['revision']}, {about} revision {sheet['engine']['revision']}{read}."


READ_ONCE = ", not read a second time"


def source_line(source: SourceJson | None) -> str:
    """Return where a value was read, in one line. Empty if it was not read anywhere."""
    if not source:
        return ""
    second, on = source.get("checked_by"), source.get("checked")
    checked = f", checked by {second}{f' on {on}' if on else ''}" if second else ""
    if second and second == source.get("by"):
        checked += " (self-check)"
    return f"{source['document']}, {source['where']}, read {source['read']} by {source['by']}{checked}"


def value_line(value: ValueJson) -> str:
    """Return the same of a value of a worksheet. A critical value that one person read says so."""
    return f"{source_line(value['source'])}{READ_ONCE if is_read_once(value) else ''}"


def _boxes(check: CheckJson, sheet: WorksheetJson) -> list[dict[str, str]]:
    """Return the boxes of one check-off on paper: a label, the text after it, and what is written on the line."""
    kind: CheckKind = check["kind"]
    match kind:
        case "tick":
            return [_box("Done")]
        case "tighten":
            return [_box(part["label"], part["target"] or "") for part in check["parts"]]
        case "turn":
            return [_box(f"Turn {n}") for n in range(1, (check["count"] or 2) + 1)]
        case "wait":
            begun, ended = _box("Begun at", line="time"), _box("Ended at", line="time")
            return [*_watched(check, "start", sheet), begun, ended, *_watched(check, "end", sheet)]
        case "inspect":
            return [_box(outcome["label"], "(this fails)" if outcome["fails"] else "") for outcome in check["outcomes"]]
        case "measure":
            reading = sheet["readings"][check["reading"]]
            return [_box(reading["label"], line=reading["unit"])]
        case "photo":
            return [_box(check["label"], line="filed where")]
        case "sign":
            return [_box(*_signed(check, sheet), line="initials")]
        case _ as never:
            assert_never(never)


def _signed(check: CheckJson, sheet: WorksheetJson) -> tuple[str, str]:
    """Return what a signature says, and what it says it of."""
    permit = check.get("permit")
    who = f"another person ({signers(check, sheet)})" if check.get("qualified") else "another person"
    if permit is None:
        return f"Second look, by {who}", ""
    giver = f"{who}, or after a break" if check.get("alone") else who
    return f"Permit, given by {giver}", permit


def signers(check: CheckJson, sheet: WorksheetJson) -> str:
    """Return what the people are who may give a qualified signature: "technician or shop lead"."""
    return " or ".join(role["label"] for role in qualified_roles(trade_of(sheet)))


def _watched(check: CheckJson, when: Literal["start", "end"], sheet: WorksheetJson) -> list[dict[str, str]]:
    """Return the box for what a gauge shows when a wait begins or ends."""
    if not check["watch"]:
        return []
    reading = sheet["readings"][check["watch"][when]]
    return [_box(reading["label"], line=reading["unit"])]


def _box(label: str, target: str = "", line: str = "") -> dict[str, str]:
    return {"label": label, "target": target, "line": line}


def _notes(step: StepJson, sheet: WorksheetJson, numbers: Mapping[str, int]) -> list[str]:
    return [
        *_ledger("Open from here on", step["opens"], sheet),
        *_ledger("Closed here", step["closes"], sheet),
        *_failure(step, numbers),
        *([LEAVES[step["leave"]]] if step["leave"] != "own" else []),
    ]


def _conditions(step: StepJson, sheet: WorksheetJson, numbers: Mapping[str, int]) -> list[str]:
    checks = {other["path"]: other["check"] for other in sheet["steps"]}
    lines = []
    for condition in step["when"]:
        labels = {o["name"]: o["label"] for o in checks[condition["step"]].get("outcomes", [])}
        found = " or ".join(f"“{labels.get(name, name)}”" for name in condition["outcomes"])
        lines.append(f"Only if the answer at step {numbers[condition['step']]} was {found}.")
    return lines


def _barriers(step: StepJson, sheet: WorksheetJson, numbers: Mapping[str, int]) -> list[str]:
    lines = []
    if step["gate"]:
        lines.append(f"Stop and check. {_gate_titles(step['gate'], sheet)}.")
        lines += _waits_for(step["gate"], sheet)
    elif step["hold"]:
        lines.append("Stop and check. Do nothing further until this is done.")
    if step["after"]:
        lines.append("Not before " + ", ".join(f"step {numbers[path]}" for path in step["after"]) + ".")
    return lines


def _waits_for(gate: GateJson, sheet: WorksheetJson) -> list[str]:
    """Return what a gate waits for, in the words of its trade: things that must be closed, and lists of bolts."""
    trade = trade_of(sheet)
    kinds = ", ".join(kind["label"].lower() for kind in trade["kinds"] if kind["name"] in gate["kinds"])
    lists = ", ".join(f"“{one['title']}”" for one in trade["lists"] if one["name"] in gate["lists"])
    return [
        *(["Everything on the preparation lists must be here."] if gate["ready"] else []),
        *([f"None of these may still be open: {kinds}."] if kinds else []),
        *([f"Every bolt of these lists must be tight: {lists}."] if lists else []),
    ]


def _gate_titles(gate: GateJson, sheet: WorksheetJson) -> str:
    first, *others = (_gate_title(name, sheet) for name in (gate["for"], *gate.get("also", ())))
    return " · ".join([first, *map(_in_sentence, others)])


def _in_sentence(title: str) -> str:
    """Return a title as it stands inside a sentence: "before the starter", but "HV off"."""
    return title if title[:1].isupper() and title[1:2].isupper() else title[:1].lower() + title[1:]


def _gate_title(name: str, sheet: WorksheetJson) -> str:
    return next(gate["title"] for gate in trade_of(sheet)["gates"] if gate["name"] == name)


def _ledger(words: str, entries: Sequence[OpenedJson | ClosedJson], sheet: WorksheetJson) -> list[str]:
    if not entries:
        return []
    return [f"{words}: " + ", ".join(_counted(entry, sheet) for entry in entries) + "."]


def _counted(entry: OpenedJson | ClosedJson, sheet: WorksheetJson) -> str:
    label = sheet["items"][entry["what"]]["label"]
    return f"{entry['count']} × {label}" if entry["count"] else str(label)


def _failure(step: StepJson, numbers: Mapping[str, int]) -> list[str]:
    failed = step["if_failed"]
    if not failed:
        return []
    to = f" go back to step {numbers[failed['back_to']]}." if failed["back_to"] else " stop."
    redo = ", ".join(str(numbers[path]) for path in failed["disturbs"])
    again = f" To be done again: {redo}." if redo else ""
    say = f" {failed['say']}" if failed["say"] else ""
    return [f"If {failed['when']}:{to}{say}{again}"]


def _preparation(sheet: WorksheetJson, paper: Paper) -> list[dict[str, Any]]:
    needs = sheet["needs"]
    return [
        {"title": "Parts", "lines": [_part_line(part) for part in needs["parts"].values()]},
        {"title": "One-time fasteners, new", "lines": [_counted_label(part) for part in needs["one_time"].values()]},
        {"title": "Tools", "lines": [tool["label"] for tool in needs["tools"].values()]},
        {"title": "Consumables", "lines": [thing["label"] for thing in needs["consumables"].values()]},
        {
            "title": "Values to be found first",
            "lines": [sheet["values"][name]["label"] for name in needs["values"] if not paper.instead_of(name)],
        },
    ]


def _preparation_title(sheet: WorksheetJson) -> str:
    """Return the title of the gate that waits for the preparation."""
    gates = [step["gate"]["for"] for step in sheet["steps"] if step["gate"] and step["gate"]["ready"]]
    return _gate_title(gates[0], sheet) if gates else "Before the work begins"


def _blanks(sheet: WorksheetJson) -> list[str]:
    """Return what is filled in by hand at the top of the paper."""
    units = {"odometer": f" ({sheet['shop']['odometer']})"}
    boxes = [
        box["label"] + units.get(box["name"], "") + (" (may be empty)" if box["optional"] else "")
        for box in trade_of(sheet)["start"]
    ]
    return ["Job number", *boxes, "Date", "Who works"]


def _part_line(part: PartJson) -> str:
    number = f", number {part['number']}" if part["number"] else ""
    new = ", always new" if part["one_time"] else ""
    return f"{_counted_label(part)}{number}{new}"


def _counted_label(part: PartJson | OneTimeJson) -> str:
    return f"{part['count']} × {part['label']}"


def _bolt_lists(sheet: WorksheetJson) -> list[dict[str, Any]]:
    return [
        {"title": one["title"], "items": items}
        for one in trade_of(sheet)["lists"]
        if (items := [item for item in sheet["items"].values() if item["list"] == one["name"]])
    ]


def _fasteners(sheet: WorksheetJson, day: str) -> list[dict[str, Any]]:
    """Return every tightening in the order of work, by its bolt list."""
    rows = [
        {"list": step["check"]["list"], **_fastener(number, step["check"], sheet, day)}
        for number, step in enumerate(sheet["steps"], 1)
        if step["check"]["kind"] == "tighten"
    ]
    titles: list[tuple[str | None, str]] = [
        *((one["name"], one["title"]) for one in trade_of(sheet)["lists"]),
        (None, "Not on a list"),
    ]
    groups = [{"title": title, "rows": [row for row in rows if row["list"] == name]} for name, title in titles]
    return [group for group in groups if group["rows"]]


def _fastener(number: int, check: CheckJson, sheet: WorksheetJson, day: str) -> dict[str, Any]:
    value = sheet["values"][check["value"]]
    head = value.get("head")
    facts = (
        value["thread"],
        value["grade"] and named(class_of(value["grade"])),
        head and f"{head} head",
        value["into"] and f"into {value['into']}",
    )
    return {
        "number": number,
        "name": check["value"],
        "label": value["label"],
        "count": value["count"] or 1,
        "facts": ", ".join(fact for fact in (*facts, value["condition"]) if fact),
        "reuse": REUSE.get(value["reuse"] or ""),
        "text": value["text"],
        "tolerance": value["tolerance"],
        "from": value_line(value),
        "missing": value["missing"],
        "read_twice": "critical" in (check["fastener"], value["class"]),
        "doubt": value["doubt"],
        "pulls": [_pull(part, value, sheet, day) for part in _pulls(check) if part["target"]],
    }


def _pulls(check: CheckJson) -> list[PullJson]:
    """Return one part for each pull, because all bolts of one pull are set alike."""
    return list({part["id"].partition(".")[0]: part for part in reversed(check["parts"])}.values())[::-1]


def _pull(part: PullJson, value: ValueJson, sheet: WorksheetJson, day: str) -> str:
    """Return what to set on which wrench, as on the phone. It says if the calibration is overdue or has no date."""
    best = next(iter(settings(part["target"], value, sheet["wrenches"], day)), None)
    if best is None or not best.inside:
        return f"{part['target']}{', no wrench here' if part['kind'] == 'torque' else BY_GAUGE}"
    wrench, label = best.wrench, sheet["wrenches"][best.wrench.name]["label"]
    return f"{best.text} {wrench.unit} on {label}{_uncertain(wrench.due, day)}"


BY_GAUGE = ", by bar and angle gauge, never by a click wrench"
STRAIGHT, SQUARE = 0.0, 90.0


def _through_adapters(sheet: WorksheetJson, day: str) -> dict[str, Any] | None:
    """Return what to set with each adapter of the shop: {ways, rows}; None if there is nothing to set with one.

    An adapter whose angle the shop's file does not give is told straight on. Square to the handle it changes nothing,
    and any other angle is measured when it is on the bolt: the phone works that out.
    """
    adapters = [*sheet["adapters"].values()]
    rows = [row for row in _adapted_rows(sheet, day) if any(row["cells"])]
    if not rows:
        return None
    return {
        "ways": [f"{one['label']}, {legible(one['length'])} mm, {_turned(one['angle'])}" for one in adapters],
        "rows": rows,
    }


def _turned(angle: float | None) -> str:
    said = {STRAIGHT: "straight on", SQUARE: "square to the handle"}
    turned = STRAIGHT if angle is None else angle
    return said.get(turned, f"turned by {legible(turned)} deg")


def _adapted_rows(sheet: WorksheetJson, day: str) -> Iterator[dict[str, Any]]:
    """Yield a row for each pull of each tightening: {name, pass, number, label, target, cells}. A cell lists the
    settings with one adapter."""
    for number, step in enumerate(sheet["steps"], 1):
        check = step["check"]
        for part in _pulls(check) if check["kind"] == "tighten" else []:
            value = sheet["values"][check["value"]]
            cells = [
                [
                    _setting(pick, sheet, day)
                    for pick in settings_through(
                        part["target"], value, sheet["wrenches"], one["length"], one["angle"] or STRAIGHT, day
                    )
                    if pick.inside
                ]
                for one in sheet["adapters"].values()
            ]
            at = part["id"].partition(".")[0]
            yield {
                "name": check["value"],
                "pass": at,
                "number": number,
                "label": value["label"],
                "target": part["target"],
                "cells": cells,
            }


def _setting(pick: Pick, sheet: WorksheetJson, day: str) -> dict[str, str]:
    """Return a setting on a wrench for paper: the mark, the wrench's id and name."""
    wrench = pick.wrench
    label = f"{sheet['wrenches'][wrench.name]['label']}{', overdue' if is_overdue(wrench.due, day) else ''}"
    return {"text": with_unit(pick.text, wrench.unit), "wrench": wrench.name, "label": label}


def _uncertain(due: str | None, day: str) -> str:
    """Say why a calibration cannot be relied on; nothing where it is in date."""
    if due is None:
        return ", no calibration date"
    return f", calibration overdue since {due}" if is_overdue(due, day) else ""


# --- the machinery ----------------------------------------------------------------------------------------------------


def _page(template: str, site: Site, root: str, **facts: Any) -> str:
    """Return a page. `root` leads from the page to the site's root."""
    facts |= {"site": site, "root": root, "policy": STRICT, "product": PRODUCT, "signal": SIGNAL}
    return environment(site.templates).get_template(template).render(facts)


@lru_cache(maxsize=8)
def environment(templates: tuple[tuple[str, str], ...]) -> Environment:
    """Return where templates become pages: (name, text) of each. It escapes every text and refuses an unknown name."""
    return Environment(
        loader=DictLoader(dict(templates)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def _filled(job: Mapping[str, Any]) -> str:
    """Return what the start form is filled with, as the part of an address that never leaves the phone."""
    read: Quantity | None = job.get("odometer")
    fields = {"job": job["job"], "vehicle": job["vehicle"]}
    fields |= {"odometer": read.number, "unit": read.unit} if read else {}
    fields["agreed"] = job.get("agreed") or ""
    return urlencode({name: text for name, text in fields.items() if text}, quote_via=quote)
