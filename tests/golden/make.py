"""Freeze a golden set: the site, its worksheets, jobs with their states, and a phone with open jobs, as they are now.

    python -m tests.golden.make 2026-11

A set is made once, from one commit, and never again, because later versions must read it as it is. A new set goes
beside it under another name. `written.py` makes the jobs that are written entry by entry, `driven.py` those that are
driven through the pages, and the phone.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from generator.canonical import canonical, digest
from generator.journal.entries import SLOTS, Entry
from generator.journal.fold import fold
from generator.journal.record import Record, read_record
from generator.site import build, disk
from tests.browser.engines import chromium_version
from tests.browser.server import Server
from tests.golden import driven
from tests.golden.store import GOLDEN, ORIGIN, Files, by_phone, packed, sums
from tests.golden.written import WRITTEN, chain_holds
from tests.support import demo

Sheet = dict[str, Any]

# What the next revision changes, on all four engines: a caution on a step, a wording, what to do after a failure, and a
# caution on a stage.
OTHERWISE = {
    "procedures/make-safe.yml": ("No memory saver.", "No memory saver at all."),
    "procedures/lift.yml": ("Take off the undertray and", "Undo and take off the undertray and"),
    "procedures/thermostat.yml": ("A new hose, as extra work", "Fit a new hose, as extra work"),
    "procedures/drain-coolant.yml": ("avoid: ", "avoid: Gloves. "),
}
REVISED = ("procedures/timing-belt-service.yml", "procedures/timing-belt-service-two-belts.yml")

# What a phone needs of a browser's profile: the worker and its files, the journals and their mirror, and which site
# owns what.
OF_A_PHONE = ("IndexedDB", "Local Storage", "Service Worker", "WebStorage")
NOT_NEEDED = ("LOG", "LOG.old", "LOCK")


def newer_texts(texts: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the shop's sources after its lead has worked on them: every worksheet has a new revision."""
    made = dict(texts)
    for path, (before, after) in OTHERWISE.items():
        assert before.encode() in made[path], path
        made[path] = made[path].replace(before.encode(), after.encode())
    for path in REVISED:
        made[path] = re.sub(rb"(?m)^revision: ([0-9]+)", lambda m: b"revision: %d" % (int(m[1]) + 1), made[path])
    return made


def site_of(texts: Mapping[str, bytes]) -> tuple[list[Sheet], Files]:
    """Return the worksheets and the whole site, as `handturn build` writes it."""
    overrides = disk.read_overrides()
    made = build.build(dict(texts), disk.read_pictures(demo.ROOT, "procedures"), overrides)
    assert not made.checked.faults, [fault.said for fault in made.checked.faults]
    files = {**made.files, **build.add_worker(made, made.files, overrides["sw.js"])}
    return made.checked.sheets, {p: body if isinstance(body, bytes) else body.encode() for p, body in files.items()}


def by_layout(sheets: Iterable[Sheet]) -> dict[str, Sheet]:
    return {sheet["engine"]["facts"]["layout"]: sheet for sheet in sheets}


def phone_files(profile: Path) -> Files:
    """Return a browser's profile, stripped to what a phone needs."""
    root = profile / "Default"
    files = (file for name in OF_A_PHONE for file in sorted((root / name).rglob("*")) if file.is_file())
    return {file.relative_to(profile).as_posix(): file.read_bytes() for file in files if file.name not in NOT_NEEDED}


def entries_of(record: str) -> list[Entry]:
    read = read_record(record)
    assert isinstance(read, Record), read
    return read.entries


def states_of(records: Mapping[str, str]) -> dict[str, str]:
    """Return the folded state of each record. Both folds must give the same."""
    phones = by_phone(records)
    states = {}
    for job, text in records.items():
        read = read_record(text)
        assert isinstance(read, Record), (job, read)
        assert chain_holds(read.entries) or job == "written-flat-four", job
        states[job] = canonical(fold(read.entries, read.sheets))
        assert phones[job]["state"] == states[job] and phones[job]["record"] == text, job
    return states


def make(name: str) -> None:
    target = GOLDEN / name
    if target.exists():
        raise SystemExit(f"{target} is there already. A golden set is never remade: give the new one another name.")
    sheets, site = site_of(demo.texts())
    newer_sheets, newer = site_of(newer_texts(demo.texts()))
    old, new = by_layout(sheets), by_layout(newer_sheets)
    records = {f"written-{layout}": job(old[layout], new[layout]).record for layout, job in WRITTEN.items()}
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright, Server({"/": site}) as server:
        shop = driven.Shop(playwright, server, old, Path(folder))
        records["driven-inline-four"] = driven.whole_job(shop, newer)
        server.put("/", site)
        records |= {f"open-{layout}": text for layout, text in driven.two_open(shop).items()}
        phone = phone_files(Path(folder) / "open")
        records["driven-flat-four"] = driven.two_phones(shop)
        records["driven-inline-three"] = driven.odd_ways(shop)
        records["driven-vee-six"] = driven.declined(shop)
    states = states_of(records)
    kinds = {entry["kind"] for text in records.values() for entry in entries_of(text)}
    assert set(SLOTS) <= kinds, f"no job has {set(SLOTS) - kinds}"
    jobs = {f"records/{job}.txt": text for job, text in records.items()}
    jobs |= {f"states/{job}.json": text for job, text in states.items()}
    jobs |= {f"sheets/{digest(canonical(sheet))}.json": canonical(sheet) for sheet in sheets}
    target.mkdir(parents=True)
    (target / "site.tar.xz").write_bytes(packed(site))
    (target / "phone-chromium.tar.xz").write_bytes(packed(phone))
    (target / "jobs.tar.xz").write_bytes(packed({path: text.encode() for path, text in jobs.items()}))
    about = {
        "commit": _git("rev-parse", "HEAD"),
        "committed": _git("show", "-s", "--format=%cI", "HEAD"),
        "chromium": chromium_version(),
        "origin": ORIGIN,
        "kinds": sorted(SLOTS),  # those known at that time
        "jobs": sorted(records),
        "open": {
            layout: [number, entries_of(records[f"open-{layout}"])[0]["job"]]
            for layout, (number, _) in driven.OPEN.items()
        },
        "files": sums(name),
    }
    (target / "manifest.json").write_text(json.dumps(about, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    print(f"{len(records)} jobs, {sum(len(entries_of(text)) for text in records.values())} entries in {target}.")


def _git(*words: str) -> str:
    ran = subprocess.run(["git", "-C", str(demo.ROOT), *words], capture_output=True, text=True, check=True)
    return ran.stdout.strip()


if __name__ == "__main__":
    if len(sys.argv) != 2 or not re.fullmatch(r"[0-9]{4}-[0-9]{2}[a-z]?", sys.argv[1]):
        raise SystemExit("Name the set by its month: python -m tests.golden.make 2026-11")
    make(sys.argv[1])
