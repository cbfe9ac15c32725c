"""Import every kind of entry with hostile names and shapes into a job with work in it: the job opens and exports.

    python -m tests.proofs.import_harness --rounds 1 --seed 7

One round is each of the kinds with each of the hostile names and shapes. The phone's own modules read, fold and export
every one in one page, and draw them, six at a time. Python reads, folds and writes it too, and must come to the same
state. A share goes the whole way in two engines: the page's import box, the list of jobs, the job's page, the export
button. What is refused must be refused by both, in words. The control is the same page with names looked up as on plain
objects and nothing left out: it must be seen to get stuck.
"""

from __future__ import annotations

import argparse
import functools
import itertools
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

from generator.canonical import canonical, digest
from generator.journal.entries import Entry
from generator.journal.fold import fold
from generator.journal.record import RecordRefused, read_record, write_record
from tests.browser.bays import files_of
from tests.browser.engines import screen
from tests.browser.server import Server
from tests.proofs.import_names import FIELDS, HOSTILE, cases, record_of
from tests.proofs.scripts.xss_eyes import Eye, until
from tests.proofs.scripts.xss_harness import IMPORT, READY, eyes
from tests.support.sample_sheet import sample_sheet
from tests.support.walker import Walker

BATCH = 60
TOGETHER = 6  # so many are drawn at once
# The whole way of one record except the store: read, fold, draw, look up its names, export. Returns what came of it.
IN_PAGE = """async ({ texts, root, together }) => {
  const at = (path) => new URL(`${root}phone/${path}`, location.href).href;
  const [J, { readRecord, exportText }, { digest }, { jobScreen }, { openSound }] = await Promise.all(
    ['journal/journal.js', 'job/carry.js', 'base/digest.js', 'screen/job/job.js', 'job/sound.js'].map(
      (path) => import(at(path)),
    ),
  );
  const { dict, parsed } = await import(at('base/own.js'));
  const nothing = () => {};
  const sound = openSound({ makeContext: null, isVisible: () => true, now: Date.now });
  const carry = { prepare: async () => '', hand: async () => 'downloaded', isHanded: () => false, confirm: () => true };
  const drawn = (state, sheet, gathered, sheets, paths) => {
    const screen = jobScreen({
      sheet, job: 'j', send: async () => ({ kept: true }), again: nothing, take: nothing, carry, forget: nothing,
      draw: () => screen.update(view), renew: nothing, home: location.href, pictures: location.href,
    });
    document.body.append(screen.node);
    const view = {
      state, gathered, sheets, me: "KS", device: "d".repeat(24), now: Date.now(), jumped: false, back: null, sound,
      offered: null, trouble: [], offline: { state: 'ready' }, unkept: { ids: new Set(), why: null, mirrored: true },
      withheld: [], saved: new Set(), leftOut: [], origin: { origin: 'known', sheet, isPart: false },
    };
    try {
      screen.update(view);
      for (const path of paths) if (state.steps[path]) screen.look(path);
      for (const one of screen.node.querySelectorAll('details')) one.open = true;
      const last = gathered.entries.findLast((entry) => entry.step && J.isKnown(entry));
      screen.update({ ...view, back: { last, at: Date.now() } });
      return /[\\u0000-\\u0008\\u202a-\\u202e\\u2066-\\u2069]/.test(screen.node.textContent) ? 'raw text' : null;
    } finally {
      screen.node.remove();
    }
  };
  const looked = (entries, texts, paths) => {
    const sheets = dict(Object.entries(texts).map(([mark, given]) => [mark, parsed(given)]));
    const gathered = J.gather(entries);
    const state = J.judge(gathered, sheets);
    return { state, draw: () => drawn(state, sheets[state.sheet], gathered, sheets, paths) };
  };
  const one = async ({ text, paths }) => {
    const read = await readRecord(text);
    if (read.refused) return { refused: read.code };
    const { state, draw } = looked(read.entries, read.sheets, paths);
    const shown = Object.values(state.steps).flatMap(({ answers }) => answers.map(({ id }) => id));
    const exported = await exportText(read.entries, read.sheets);
    const said = { state: await digest(J.canonical(state)), shown, exported: await digest(exported), wrong: null };
    return { said, read, paths, draw };
  };
  const fault = (error) => ({ fault: String(error?.stack ?? error).slice(0, 400) });
  const done = [];
  for (const given of texts) done.push(await one(given).catch(fault));
  const tried = (draw) => {
    try {
      return draw();
    } catch (error) {
      return error;
    }
  };
  // Several at once are drawn in one go; where that goes wrong, each by itself says which it was.
  const taken = done.filter(({ said }) => said);
  for (let at = 0; at < taken.length; at += together) {
    const some = taken.slice(at, at + together);
    const all = some.flatMap(({ read }) => read.entries);
    const { draw } = looked(J.union(all), some[0].read.sheets, some.flatMap(({ paths }) => paths));
    const wrong = tried(draw);
    if (wrong === null) continue;
    for (const each of some) each.said.wrong = tried(each.draw);
    if (some.every(({ said }) => said.wrong === null)) some[0].said.wrong = wrong;
  }
  return done.map((each) => {
    if (!each.said) return each;
    return each.said.wrong instanceof Error ? fault(each.said.wrong) : each.said;
  });
}"""
# A job's page as it was opened: does it show the job, what does it say, and does its button export a whole record?
OPENED = """async () => {
  const wait = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
  const made = [];
  const real = URL.createObjectURL;
  URL.createObjectURL = (file) => { made.push(file); return real.call(URL, file); };
  const stay = (event) => event.target.closest?.('a[download]') && event.preventDefault();
  document.addEventListener('click', stay, true);
  navigator.canShare = undefined;
  const root = document.querySelector('[data-job]');
  const button = document.querySelector('[data-left-out] [data-action=export], [data-broken] [data-action=export]')
    ?? document.querySelector('[data-action=export]');
  for (let up = button?.parentElement; up; up = up.parentElement) if (up.localName === 'details') up.open = true;
  await wait(30);
  button?.click();
  for (let turn = 0; turn < 200 && !made.length; turn += 1) await wait(20);
  return {
    job: Boolean(root), broken: Boolean(document.querySelector('[data-broken]')),
    leftOut: Number(document.querySelector('[data-left-out]')?.dataset.leftOut ?? 0),
    ids: [...document.querySelectorAll('[data-kept]')].map((one) => one.dataset.kept),
    text: made.length ? await made[0].text() : null,
  };
}"""


@functools.cache
def work() -> tuple[dict[str, Any], list[Entry]]:
    """Return a worksheet, and a half-done job on it."""
    sheet = sample_sheet()
    walker = Walker(sheet, Random(3))
    for _ in range(60):
        if walker.state["next"] is None or len(walker.entries) > 30:
            break
        if any(why["code"] == "ready" for why in walker.state["steps"][walker.state["next"]]["why"]):
            walker.prepare()
        else:
            walker.close(walker.state["next"])
    assert len(walker.entries) > 15, "the job has no work in it"
    return sheet, walker.entries


def unsafe(files: dict[str, bytes]) -> dict[str, bytes]:
    """Return the same site with names looked up as on plain objects, no check of shapes, and nothing left out."""
    own = files["phone/base/own.js"].decode()
    plain = own.replace("Object.create(null)", "{}").replace("&& Object.hasOwn(object, name) ?", "?")
    names = files["phone/screen/job/names.js"].decode()
    shapes = "export const isShaped = () => true;\n"
    assert plain != own and "{}" in plain
    return {
        **files,
        "phone/base/own.js": plain.encode(),
        "phone/screen/job/names.js": names.encode(),
        "phone/journal/shape/values.js": shapes.encode(),
        "phone/job/culprits.js": b"export const culprits = () => null;\n",
    }


@dataclass
class Result:
    cases: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    opened: Counter[str] = field(default_factory=Counter)
    left_out: int = 0
    control: Counter[str] = field(default_factory=Counter)
    seconds: float = 0

    @property
    def is_good(self) -> bool:
        stuck = self.control["faults in one page"] > 0 and self.control["stuck after a reload"] > 0
        return not self.faults and stuck and self.cases > sum(self.refused.values()) > 0 and len(self.opened) > 0

    def table(self) -> str:
        lines = [
            f"{'kinds of entry':<44}{len(FIELDS):>8}",
            f"{'hostile names and shapes':<44}{len(HOSTILE):>8}",
            f"{'read, folded, drawn, exported in one page':<44}{self.cases:>8}",
            f"{'  of these refused at the door, with words':<44}{sum(self.refused.values()):>8}",
        ]
        lines += [f"{f'    {code}':<44}{count:>8}" for code, count in sorted(self.refused.items())]
        lines += [f"{f'imported and opened by hand, {name}':<44}{count:>8}" for name, count in self.opened.items()]
        lines += [f"{'  entries left out with a word':<44}{self.left_out:>8}"]
        lines += [f"{f'control: {name}':<44}{count:>8}" for name, count in self.control.items()]
        lines += [f"{'broken':<44}{len(self.faults):>8}", f"{'seconds':<44}{self.seconds:>8.0f}"]
        return "\n".join([*lines, *self.faults[:20]])


def judged(text: str, base: Sequence[Entry]) -> dict[str, Any]:
    """Return what Python makes of a record, in the shape of IN_PAGE."""
    read = read_record(text)
    if isinstance(read, RecordRefused):
        return {"refused": read.code}
    state = fold(read.entries, read.sheets)
    shown = [answer["id"] for step in state["steps"].values() for answer in step["answers"]]
    return {
        "state": digest(canonical(state)), "shown": shown, "exported": digest(write_record(read.entries, read.sheets)),
        "wrong": None,
    }  # fmt: skip


def in_page(eye: Eye, root: str, batch: Sequence[tuple[str, list[Entry]]]) -> list[dict[str, Any]]:
    sheet, base = work()
    first = next(step["path"] for step in sheet["steps"] if step["check"]["kind"] == "tighten")
    texts = [
        {"text": record_of([*base, *more], sheet), "paths": [_text(more[0]["step"]), first, f"extra/{more[0]['id']}"]}
        for _, more in batch
    ]
    done: list[dict[str, Any]] = eye.run(IN_PAGE, {"texts": texts, "root": root, "together": TOGETHER})
    return done


def _text(step: Any) -> str:
    return step if isinstance(step, str) and step.isprintable() else ""


def compare(result: Result, batch: Sequence[tuple[str, list[Entry]]], done: Sequence[dict[str, Any]]) -> None:
    sheet, base = work()
    answered = set(judged(record_of(base, sheet), base)["shown"])
    for (what, more), phone in zip(batch, done, strict=True):
        result.cases += 1
        try:
            desk = judged(record_of([*base, *more], sheet), base)
        except Exception as error:
            desk = {"fault": repr(error)}
        if "fault" in phone or "fault" in desk or phone != desk:
            keys = [key for key in {*phone, *desk} if phone.get(key) != desk.get(key)]
            result.faults.append(f"{what}: {phone.get('fault') or desk.get('fault') or phone.get('wrong') or keys}")
        elif "refused" in desk:
            result.refused[desk["refused"]] += 1
        elif not answered <= {*desk["shown"]}:
            result.faults.append(f"{what}: an earlier answer is not shown")


def opened(eye: Eye, site: str, what: str, more: Sequence[Entry], number: int) -> dict[str, Any] | None:
    """Import one record through the page's box and open it from the list. None if it was refused."""
    sheet, base = work()
    job = f"{number:024x}"
    entries = [{**entry, "job": job} for entry in [*base, *more]]
    text = record_of(entries, sheet)
    if isinstance(read_record(text), RecordRefused):
        return None
    try:
        eye.open(f"{site}jobs/")
        until(eye, READY, "the list of jobs")
        eye.run(IMPORT, {"text": text, "name": "job.txt"})
        eye.open(f"{site}jobs/#{job}")
        until(eye, READY, f"the job with {what}")
        said: dict[str, Any] = eye.run(OPENED)
    except Exception as error:
        return {"fault": f"{what}: {str(error)[:200]}", "leftOut": 0}
    read = read_record(said["text"]) if said["text"] else None
    whole = read is not None and not isinstance(read, RecordRefused) and len(read.entries) == len(entries)
    said["fault"] = "" if said["job"] and not said["broken"] and whole else f"{what}: {str(said)[:200]}"
    return said


def by_hand(eye: Eye, site: str, chosen: Sequence[tuple[str, list[Entry]]], result: Result, first: int) -> None:
    for number, (what, more) in enumerate(chosen, first):
        said = opened(eye, site, f"{eye.name}, {what}", more, number)
        if said is None:
            continue
        result.opened[eye.name] += 1
        result.left_out += said["leftOut"]
        if said["fault"]:
            result.faults.append(said["fault"])


def control(eye: Eye, server: Server, plain: Sequence[tuple[str, list[Entry]]], result: Result) -> None:
    done = list(
        itertools.chain.from_iterable(
            in_page(eye, "/before/", plain[at : at + BATCH]) for at in range(0, len(plain), BATCH)
        )
    )
    faulty = [case for case, one in zip(plain, done, strict=True) if "fault" in one]
    result.control["faults in one page"] = len(faulty)
    result.control["stuck after a reload"] = 0
    for number, (what, more) in enumerate(faulty[:3]):
        said = opened(eye, server.url("/before/"), what, more, 9_000 + number)
        result.control["stuck after a reload"] += int(bool(said and said["fault"]))


def run(eyes_: Sequence[Eye], server: Server, rounds: int, seed: int, share: Sequence[int], every: int = 1) -> Result:
    """Run the proof. share: how many records each engine opens by touch. every: take only each n-th case."""
    began, result = time.monotonic(), Result()
    sheet, base = work()
    files = files_of(sheet)
    server.put("/", files)
    server.put("/before/", unsafe(files))
    all_ = list(cases(base, sheet, rounds, seed))[::every]
    eyes_[0].open(server.url("/jobs/"))
    until(eyes_[0], READY, "the list of jobs")
    for at in range(0, len(all_), BATCH):
        batch = all_[at : at + BATCH]
        compare(result, batch, in_page(eyes_[0], "/", batch))
        print(f"\r{at + len(batch)} of {len(all_)}", end="", file=sys.stderr, flush=True)
    rng = Random(seed)
    for number, (eye, count) in enumerate(zip(eyes_, share, strict=True)):
        by_hand(eye, server.url("/"), rng.sample(all_, min(count, len(all_))), result, 1000 * (number + 1))
    plain = [
        case
        for case in cases(base, sheet, 1, seed)
        if any(f'"{name}"' in case[0] for name in ("toString", "constructor", "__proto__"))
    ]
    control(eyes_[0], server, plain if every == 1 else plain[::5], result)
    result.seconds = time.monotonic() - began
    return result


def main() -> int:
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--rounds", type=int, default=1)
    given.add_argument("--seed", type=int, default=1)
    given.add_argument("--every", type=int, default=1, help="only each n-th case")
    asked = given.parse_args()
    with (
        tempfile.TemporaryDirectory() as name,
        Server() as server,
        screen() as display,
        eyes(server.url("/"), Path(name) / "profile", display) as both,
    ):
        result = run(both, server, asked.rounds, asked.seed, (30, 8), asked.every)
    print(f"\n{result.table()}")
    return 0 if result.is_good else 1


if __name__ == "__main__":
    sys.exit(main())
