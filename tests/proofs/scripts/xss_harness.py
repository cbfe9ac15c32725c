"""Hostile texts in every text of the sources, of records and of a phone's storage, opened in two engines: none may run.

    python -m tests.proofs.scripts.xss_harness --rounds 3 --seed 5

In one round each text of the sources is another hostile string. After as many rounds as there are strings, each has
been in each place. MkDocs builds the site. It is opened as built and again without any policy, so that what is text
must be harmless by itself. The control is a page that inserts the strings as markup: it must be seen to run them.
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import json
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote

from playwright.sync_api import sync_playwright

from tests.browser.engines import WebKit, launch_chromium, screen
from tests.browser.server import Server
from tests.proofs.scripts import xss_shop
from tests.proofs.scripts.xss_eyes import AUDIT, SHOWN, ChromiumEye, Eye, WebKitEye, until
from tests.proofs.scripts.xss_sources import bare, built, fields, planted, records, settle
from tests.proofs.scripts.xss_strings import MARKUP, STRINGS

READY = "() => 'ready' in document.documentElement.dataset"
SHEET = f"w/{xss_shop.WORKSHEET}/"

# Open a step, type hostile texts into whatever takes text, and press what can be pressed. Without a step: the job.
WALK = """async ({ strings, path }) => {
  const settled = async () => {
    await new Promise((resolve) => setTimeout(resolve, 5));
    for (let i = 0; i < 60 && document.querySelector('[aria-busy=true]'); i += 1) {
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
  };
  let at = 0;
  const typed = { number: '5', date: '2026-05-14' };
  const fill = (box) => {
    if (box.matches('select')) box.selectedIndex = Math.min(1, box.options.length - 1);
    else if (box.type === 'checkbox') box.checked = true;
    else if (box.type !== 'file') {
      box.value = typed[box.inputMode === 'decimal' ? 'number' : box.type] ?? strings[at++ % strings.length];
    }
    for (const name of ['input', 'change']) box.dispatchEvent(new Event(name, { bubbles: true }));
  };
  const press = async (scope, actions) => {
    for (const one of scope.querySelectorAll('details')) one.open = true;
    for (const one of [...scope.querySelectorAll(actions)]) {
      if (!one.isConnected) continue;
      const beside = (one.parentElement ?? scope).querySelectorAll('input, select, textarea');
      for (const box of beside) if (!box.value) fill(box);
      one.click();
      await settled();
    }
  };
  const job = document.querySelector('[data-job]');
  if (!path) return press(job, '[data-action=extra], [data-action=pass-on], [data-action=depart]');
  const step = [...job.querySelectorAll('[data-step]')].find((one) => one.dataset.step === path);
  if (!step) return;
  if (!step.open) step.querySelector('summary').click();
  await settled();
  for (const box of step.querySelectorAll('input, select, textarea')) fill(box);
  await press(step, '[data-check], [data-action=read], [data-action=confirm], [data-action=skip]');
}"""
PATHS = "() => [...document.querySelectorAll('[data-job] [data-step]')].map((one) => one.dataset.step)"
START = """async (strings) => {
  const named = { job: 0, vehicle: 1, vin: 2 };
  for (const [name, at] of Object.entries(named)) document.querySelector(`[data-field=${name}]`).value = strings[at];
  document.querySelector('[data-field=odometer]').value = '84210';
  document.querySelector('[data-field=who]').value = 'KS';
  document.querySelector('[data-action=start]').click();
}"""
KEEP = """const { openKeep } = await import(new URL('phone/keep/keep.js', root).href);
  const keep = await openKeep({ scope: `quay ${root.pathname}`, now: () => Date.now() });"""
JOURNAL = f"""async (job) => {{
  const root = new URL(document.documentElement.dataset.root || './', location.href);
  {KEEP}
  const found = await keep.journal(job);
  keep.close();
  return found;
}}"""
IMPORT = """async ({ text, name }) => {
  const box = document.querySelector('[data-field=file]');
  const given = new DataTransfer();
  given.items.add(new File([text], name, { type: 'text/plain' }));
  box.files = given.files;
  const before = document.querySelectorAll('[data-job-link]').length;
  document.querySelector('[data-action=import]').click();
  for (let i = 0; i < 500 && document.querySelectorAll('[data-job-link]').length === before; i += 1) {
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  return document.querySelectorAll('[data-job-link]').length - before;
}"""
# What another page of the same host, or an old version, may have left behind.
STORE = f"""async (strings) => {{
  const root = new URL(document.documentElement.dataset.root || './', location.href);
  {KEEP}
  await keep.setSetting('who', strings[0]);
  keep.close();
  const name = `handturn:${{encodeURIComponent(`quay ${{root.pathname}}`)}}`;
  strings.forEach((text, at) => {{
    localStorage.setItem(`${{name}}:entry:${{encodeURIComponent(text)}}:${{at}}:x`, text);
    localStorage.setItem(`${{name}}:${{text}}`, JSON.stringify(text));
  }});
  const db = await new Promise((resolve, reject) => {{
    const asked = indexedDB.open(name);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  }});
  const work = db.transaction(['entries', 'jobs', 'sheets', 'settings', 'notes'], 'readwrite');
  strings.forEach((text, at) => {{
    work.objectStore('entries').put({{ job: text, id: String(at).padStart(24, '0'), mark: text, entry: text, text }});
    work.objectStore('jobs').put({{ job: text, touched: text, entries: text }});
    work.objectStore('sheets').put({{ digest: text, text }});
    work.objectStore('settings').put({{ name: text, value: text }});
    work.objectStore('notes').put({{ name: text, value: text }});
  }});
  await new Promise((resolve, reject) => {{ work.oncomplete = resolve; work.onerror = () => reject(work.error); }});
  db.close();
}}"""
SEARCH = """async (text) => {
  const box = document.querySelector('input[name=query]');
  box.focus();
  box.value = text;
  for (let i = 0; i < 100 && !document.querySelector('.md-search-result__item'); i += 1) {
    box.value = i % 2 ? text : `${text} `; // a key that is pressed before the search is ready is forgotten
    box.dispatchEvent(new Event('keyup', { bubbles: true }));
    await new Promise((resolve) => setTimeout(resolve, 150));
  }
  return document.querySelectorAll('.md-search-result__item').length;
}"""
STILL = "() => new Promise((resolve) => setTimeout(() => resolve(true), 40))"


@dataclass
class Row:
    """What was opened at one place in one engine: pages, texts that could be seen, what should not have been."""

    pages: int = 0
    shown: int = 0
    seen: list[str] = field(default_factory=list)


class Round:
    """One site full of hostile texts, visited page by page."""

    def __init__(self, eye: Eye, site: str, rows: dict[str, Row], strings: Sequence[str]) -> None:
        self.eye, self.site, self.rows = eye, site, rows
        self.strings = itertools.cycle(strings)

    def some(self, count: int) -> list[str]:
        return list(itertools.islice(self.strings, count))

    def look(self, place: str) -> None:
        """Look at the page now and note anything that should not be there."""
        self.eye.run(STILL)
        row = self.rows.setdefault(place, Row())
        row.pages += 1
        row.shown += self.eye.run(SHOWN)
        row.seen += [*self.eye.run(AUDIT), *self.eye.seen()]

    def visit(self, path: str, place: str, ready: bool = True) -> None:
        self.eye.open(self.site + path)
        if ready:
            until(self.eye, READY, f"{path} to be ready")
        self.look(place)

    def pages(self) -> None:
        for path, place in (("", "start page"), ("jobs/", "jobs"), (SHEET, "worksheet on paper")):
            self.visit(path, place)
        self.visit(f"{SHEET}torque/", "torque sheet")
        self.visit("calculators/", "calculators")

    def guide(self) -> None:
        for path in (
            "procedures/fit-pump/",
            "procedures/cover/",
            "guide/words/",
            f"guide/cautions/{xss_shop.WORKSHEET}/",
        ):
            self.visit(path, "reference pages", ready=False)
        found = self.eye.run(SEARCH, "hostile")
        assert found, "the search finds texts of the reference pages"
        self.look("search of the guide")
        for text in self.some(2):
            self.visit(f"procedures/cover/?q={quote(text)}&h={quote(text)}", "search of the guide", ready=False)

    def job(self) -> list[dict[str, Any]]:
        """Work through a job with hostile texts in everything that is typed. Returns its journal."""
        self.eye.open(self.site + SHEET)
        until(self.eye, READY, "the worksheet to be ready")
        self.eye.run(START, self.some(3))
        until(self.eye, "() => Boolean(document.querySelector('[data-job]'))", "the job to start")
        self.walk()
        self.look("job, every step")
        job = self.eye.run("() => document.querySelector('[data-job]').dataset.job")
        self.visit(f"{SHEET}#{job}", "job, opened again")
        self.visit("jobs/", "jobs")
        return list(self.eye.run(JOURNAL, job))

    def walk(self, steps: int | None = None) -> None:
        for path in [*self.eye.run(PATHS)[:steps], ""]:
            self.eye.run(WALK, {"strings": self.some(9), "path": path})

    def imports(self, entries: Sequence[dict[str, Any]]) -> None:
        text = self.eye.run("(path) => fetch(path).then((answer) => answer.text())", f"../{SHEET}sheet.json")
        sheet = json.loads(text)
        for record in records(entries, sheet, self.strings):
            self.eye.open(f"{self.site}jobs/")
            until(self.eye, READY, "the list of jobs")
            added = self.eye.run(IMPORT, {"text": record, "name": f"{self.some(1)[0]}.txt"})
            assert added == 1, "a hostile record is a record all the same"
            self.look("imported record")
        for link in self.eye.run("() => [...document.querySelectorAll('[data-job-link]')].map((one) => one.href)"):
            self.eye.open(link)
            until(self.eye, READY, "the imported job")
            if self.eye.run("() => Boolean(document.querySelector('[data-job]'))"):
                self.walk(3)
            self.look("imported record")

    def addresses(self, count: int) -> None:
        for text in self.some(count):
            self.visit(f"jobs/#{quote(text)}", "address")
            self.visit(f"{SHEET}#{text.translate({0: None, 10: None})}", "address")
            boxes = ("job", "vehicle", "odometer", "unit", "agreed", "vin")
            filled = "&".join(f"{name}={quote(text)}" for name in boxes)
            self.visit(f"{SHEET}?{quote(text)}#new?{filled}", "address")

    def storage(self, strings: Sequence[str]) -> None:
        self.eye.open(f"{self.site}jobs/")
        until(self.eye, READY, "the list of jobs")
        self.eye.run(STORE, list(strings))
        for path in ("", "jobs/", SHEET):
            self.visit(path, "damaged storage")

    def all(self, addresses: int = 3) -> None:
        self.pages()
        self.guide()
        self.imports(self.job())
        self.addresses(addresses)
        self.storage(self.some(12))


@dataclass
class Result:
    """The whole run: rows by (engine, policy, place), and what went into the sources."""

    rows: dict[tuple[str, str], dict[str, Row]] = field(default_factory=dict)
    planted: int = 0
    refused: int = 0
    rounds: int = 0
    control: dict[str, int] = field(default_factory=dict)
    controls: int = 0

    @property
    def executed(self) -> int:
        return sum(len(row.seen) for rows in self.rows.values() for row in rows.values())

    @property
    def is_good(self) -> bool:
        return self.executed == 0 and all(self.control.values()) and len(self.control) == 2

    def table(self) -> str:
        lines = [f"{'engine':9} {'policy':7} {'place':22} {'pages':>6} {'texts seen':>11} {'executed':>9}"]
        for (engine, way), rows in sorted(self.rows.items()):
            for place, row in rows.items():
                lines.append(f"{engine:9} {way:7} {place:22} {row.pages:6} {row.shown:11} {len(row.seen):9}")
        lines.append("")
        lines.append(
            f"{len(STRINGS)} strings, {len(fields())} texts of the sources, {self.rounds} rounds:"
            f" {self.planted} planted, {self.refused} refused by the checker"
        )
        for engine, ran in self.control.items():
            lines.append(f"control, {engine}: {ran} of {self.controls} strings executed where they go in as markup")
        bad = Counter(said for rows in self.rows.values() for row in rows.values() for said in row.seen)
        return "\n".join([*lines, *(f"  {times} x {said}" for said, times in bad.most_common(20))])


def control(eye: Eye, server: Server, strings: Sequence[str]) -> int:
    """Return how many of the strings run if a page does insert them as markup."""
    ran = 0
    for number, text in enumerate(strings):
        quoted = text.replace('"', "%22")
        page = f'<!doctype html><title>{text}</title><div>{text}</div><input value="{text}"><a href="{quoted}">x</a>'
        server.put(f"/control-{number}/", {"index.html": page.encode()})
        eye.open(server.url(f"/control-{number}/"))
        eye.run(STILL)
        ran += bool(eye.seen())
    return ran


@contextlib.contextmanager
def eyes(site: str, profile: Path, display: str) -> Iterator[list[Eye]]:
    """Both engines, with nothing stored yet."""
    with sync_playwright() as playwright, WebKit(profile, display) as window:
        browser = launch_chromium(playwright)
        context = browser.new_context(viewport={"width": 800, "height": 1000})
        yield [ChromiumEye(context, site), WebKitEye(window, site)]
        browser.close()


def make_room(eye: Eye, server: Server) -> None:
    """Clear local storage. Each round is a site of its own, and all share the five megabytes of one origin."""
    eye.open(server.url("/no-page-of-the-site"))
    eye.run("() => localStorage.clear()")


def run(
    turns: Sequence[tuple[Eye, str]], server: Server, rounds: int, seed: int, folder: Path, addresses: int = 3
) -> Result:
    """Open `rounds` sites, each by every eye, with the policies that stand beside the eye: `as is` or `none`."""
    result = Result(rounds=rounds)
    strings = random.Random(seed).sample(STRINGS, len(STRINGS))
    for number in range(rounds):
        print(f"round {number + 1} of {rounds}", file=sys.stderr, flush=True)
        wanted = {one: strings[(at + number) % len(strings)] for at, one in enumerate(fields())}
        taken, refused = settle(wanted)
        result.planted, result.refused = result.planted + len(taken), result.refused + len(refused)
        site = built(planted(taken), folder / str(number))
        for eye, way in turns:
            prefix = f"/r{number}-{way.replace(' ', '-')}/"
            server.put(prefix, bare(site) if way == "none" else site)
            rows = result.rows.setdefault((eye.name, way), {})
            make_room(eye, server)
            Round(eye, server.url(prefix), rows, strings[number:] + strings[:number]).all(addresses)
    return result


def main() -> int:
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--rounds", type=int, default=len(STRINGS))
    given.add_argument("--seed", type=int, default=1)
    asked = given.parse_args()
    with (
        tempfile.TemporaryDirectory() as name,
        Server(csp="") as server,
        screen() as display,
        eyes(server.url("/"), Path(name) / "profile", display) as both,
    ):
        turns = [(eye, way) for eye in both for way in ("as is", "none")]
        result = run(turns, server, asked.rounds, asked.seed, Path(name))
        stays = [text for text in MARKUP if "http-equiv" not in text]  # the one that leads away takes the eye with it
        result.controls = len(stays)
        result.control = {eye.name: control(eye, server, stays) for eye in both}
    print(result.table())
    return 0 if result.is_good else 1


if __name__ == "__main__":
    sys.exit(main())
