"""`handturn record`: what was done on a job, from the files that phones exported, and what is said of bad files."""

from __future__ import annotations

import copy
import doctest
import functools
import json
import os
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from generator.canonical import canonical, digest
from generator.cli import main
from generator.history import deeds, exports, words
from generator.history.about import ShopSite, site_of
from generator.history.book import Book
from generator.history.exports import Exported, read_exports
from generator.history.text import history
from generator.journal.entries import SLOTS, Entry
from generator.journal.fold import union
from generator.journal.record import Record, read_record, write_record
from generator.journal.shapes.sound import is_sheet
from generator.tables import EARLIER_TRADE, REFUSALS
from generator.terminal import plain
from tests.golden import store
from tests.support import records, stories
from tests.support.journals import many_cases
from tests.support.node import node
from tests.support.stories import STORIES

GOLDEN = store.of("2026-11", "records")
NOWHERE = ShopSite("site", is_there=False)
TOLD = Path(__file__).parents[1] / "told"
ENTRY = re.compile(r"^    #([0-9]+)  ", re.MULTILINE)


def told(text: str, *more: str, site: ShopSite = NOWHERE) -> str:
    read = read_exports([(f"{number}.txt", one.encode()) for number, one in enumerate([text, *more], 1)])
    assert isinstance(read, Exported), read
    return history(read, site)


@functools.cache
def of_golden(job: str) -> str:
    return told(GOLDEN[job])


def record_of(text: str) -> Record:
    record = read_record(text)
    assert isinstance(record, Record), record
    return record


def run(*words: str | Path, given: bytes | None = None) -> Result:
    return CliRunner().invoke(main, ["record", *map(str, words)], input=given)


def bare(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


# --- what is told -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", ["written-inline-three", "driven-flat-four"])
def test_a_golden_job_is_told_word_for_word(job: str) -> None:
    assert of_golden(job) + "\n" == (TOLD / f"{job}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("job", GOLDEN)
def test_every_entry_stands_on_one_line_with_its_time_and_everything_typed_in_it(job: str) -> None:
    text, record = of_golden(job), record_of(GOLDEN[job])
    assert sorted(map(int, ENTRY.findall(text))) == list(range(1, len(record.entries) + 1))
    by_number = {int(number): bare(part) for number, part in _parts(text)}
    for number, entry in enumerate(record.entries, 1):
        said = by_number[number]
        assert said.startswith(f"{entry['at'][:10]} {entry['at'][11:19]} {entry['who']}")
        for typed in ("reason", "instead", "with", "told_by", "approved_by", "how", "label", "note", "why"):
            if entry["value"].get(typed):
                assert entry["value"][typed] in said, (number, typed)


def _parts(text: str) -> list[tuple[str, str]]:
    """Return each entry's number with its lines."""
    return re.findall(r"^    #([0-9]+)  (.*(?:\n {8}.*)*)", text, re.MULTILINE)


@pytest.mark.parametrize("job", GOLDEN)
def test_no_line_is_wider_than_eighty_columns_and_nothing_moves_the_cursor(job: str) -> None:
    lines = of_golden(job).split("\n")
    assert max(map(plain.width, lines)) <= 80
    assert all(line.isprintable() for line in lines)


def test_what_a_lead_asks_for_is_in_the_text() -> None:
    job = "written-inline-three"
    text, title = bare(of_golden(job)), next(iter(record_of(GOLDEN[job]).sheets.values()))["engine"]["title"]
    for said in (
        'JOB "G-31": "Red two-door (invented)"',
        "Odometer 118350 km",
        f'"Timing-belt service" on {title}: revision 2, engine sheet revision 2',
        'KS, "Kit Sorrel", technician: 51 entries',
        "NOT complete. Steps: 54 done, 48 not yet, 2 to do, 8 not needed",
        "It does not certify anybody's work",
        "24 °C (expected -20 to 130 °C)",
        'without the tool Counter-hold tool for the crank pulley; because "lent out"',
        "chose between two answers: 3.9 L (expected 0.2 to 25 L); had in view #25, #26",
        "Entries that this version cannot read; they count for nothing: #79, #80.",
        'an entry of kind "weather" that this version cannot read: {"deep":[null,"ö",1.5],"sky":"grey"}',
        'Idler bolts: 21 N.m; from "Shop\'s copy of the maker\'s book", "page 12"',
        "The clocks do not agree: #22 was made after #21 and shows an earlier time",
        "5 × Lower cover bolts (loose)",
        "No gap: before each entry stands the one that its phone made before it.",
    ):
        assert said in text, said
    finished = bare(of_golden("written-inline-four"))
    assert "Stands complete." in finished and "STILL OPEN" not in finished
    assert "went back to step 57; to be done again: step 57, step 58" in finished
    assert 'took back #31; because "slip of the thumb"' in finished
    assert 'declined by KS: "the head is cracked"' in bare(of_golden("driven-vee-six"))


def test_a_worksheet_is_told_by_whether_the_shops_site_serves_it() -> None:
    job, mark = "written-inline-three", next(iter(record_of(GOLDEN["written-inline-three"]).sheets))
    sheets = [text.encode() for text in store.of("2026-11", "sheets").values()]
    own = site_of("site", sheets)
    assert own.shops == {"quillmere"} and mark in own.sheets
    assert "The site in site serves this very worksheet." in bare(told(GOLDEN[job], site=own))
    older = ShopSite("site", sheets=frozenset(), shops=frozenset({"quillmere"}))
    assert "does not serve it today" in bare(told(GOLDEN[job], site=older))
    other = ShopSite("site", sheets=frozenset(), shops=frozenset({"elsewhere"}))
    assert "It is a STRANGER'S" in bare(told(GOLDEN[job], site=other))
    assert "there is no built site in site to compare it with" in bare(of_golden(job))
    assert site_of("site", [b"{", b"[]", b'{"shop":7}', b"\xff"]).shops == frozenset()


def test_without_its_worksheet_a_job_is_told_as_far_as_it_goes() -> None:
    record = record_of(GOLDEN["written-inline-three"])
    text = told(write_record(record.entries, {}))
    assert sorted(map(int, ENTRY.findall(text))) == list(range(1, len(record.entries) + 1))
    assert "a worksheet that is not in the file" in text
    assert 'on step "drain/cold": 24 °C' in bare(text)


def test_exports_of_several_phones_are_united_as_a_phone_unites_them() -> None:
    whole = record_of(GOLDEN["written-vee-six"])
    parts = [
        write_record([entry for entry in whole.entries if entry["device"] == device], whole.sheets)
        for device in dict.fromkeys(entry["device"] for entry in whole.entries)
    ]
    assert len(parts) == 3
    united, one = told(*parts), of_golden("written-vee-six")
    assert _without_files(united) == _without_files(one) == _without_files(told(*parts[::-1], parts[0]))
    assert f"United: {len(whole.entries)} entries, each once." in united


def _without_files(text: str) -> str:
    return re.sub(r"\nFILES\n(?:  .*\n)*", "", text)


def test_where_an_entry_is_missing_the_text_says_before_which_one() -> None:
    record = record_of(GOLDEN["written-flat-four"])
    left = [*record.entries[:40], *record.entries[41:]]
    text = told(write_record(left, record.sheets))
    assert "What the phone recorded just before is not here, or was changed since: before #41." in bare(text)
    assert "No gap" not in text
    changed = copy.deepcopy(record.entries)
    changed[40]["at"] = changed[39]["at"]
    assert "before #42." in bare(told(write_record(changed, record.sheets)))


def test_who_read_a_value_second_is_told_and_who_still_must() -> None:
    bench = stories.Bench()
    stories._seconded(bench)
    stories._reads(bench)
    assert "read once, by KS (#2): a second reader is missing" in _of_bench(bench)
    stories._reads(bench, "LM", alone=False)
    assert "40 N.m; from" in _of_bench(bench)
    assert "read by KS (#2); read a second time by LM (#3)" in _of_bench(bench)
    alone = stories.Bench()
    stories._seconded(alone)
    stories._reads(alone)
    alone.later(stories.BREAK)
    stories._reads(alone, alone=True)
    assert "read by KS (#2); again after a break, by the same person (#3)" in _of_bench(alone)


def test_as_what_somebody_signed_is_told_and_who_may_not() -> None:
    bench = stories.Bench()
    stories._look(bench, **stories.FOUR)
    bench.check("marks", outcome="meet", by="KS")
    bench.check("look", self=False, by="AW")
    told_of = _of_bench(bench)
    assert "AW may not sign here" in told_of and "AW: second look; as apprentice [does not count]" in told_of
    bench.check("look", self=False, by="ZZ")
    assert "ZZ: second look; by nobody that the worksheet lists [does not count]" in _of_bench(bench)
    bench.check("look", self=False, by="JM")
    told_of = _of_bench(bench)
    assert "JM: second look; as tech" in told_of and "may not sign here" not in told_of


def test_a_wrench_is_told_with_the_date_of_its_calibration_or_that_it_has_none() -> None:
    job = next(iter(GOLDEN))
    book = Book(record_of(GOLDEN[job]), json.loads(store.of("2026-11", "states")[job]))
    wrench = {"label": "Click wrench", "due": "2027-03-01"}
    rack = {"dated": wrench, "undated": {**wrench, "due": None}, "older": {"label": "Click wrench"}}
    book.sheet = {**book.sheet, "wrenches": rack}
    said = {name: book.wrench(name) for name in rack}
    assert said == {
        "dated": "Click wrench, calibration due 2027-03-01",
        "undated": "Click wrench, no calibration date",
        "older": "Click wrench",  # an earlier worksheet had no field for it
    }


def _of_bench(bench: stories.Bench) -> str:
    bench.state()
    entries = bench.told[-1][0]
    return bare(told(write_record(entries, {digest(canonical(sheet)): sheet for sheet in bench.sheets})))


def test_initials_typed_another_way_have_the_persons_name() -> None:
    bench = stories.Bench()
    bench.sheet(stories.WIPE, stories.DONE)
    bench.check("wipe", by="k.s.")
    text = _of_bench(bench)
    assert "k.s." in text and "nobody that the worksheet lists" not in text
    bench.check("wipe", by="zz")
    assert "zz, nobody that the worksheet lists" in _of_bench(bench)


# --- the same words as on the phone -----------------------------------------------------------------------------------

_PHONE = """
const words = await import(`${site}/phone/words/words.js`);
const tables = { STATES: words.STATES, SECTIONS: words.SECTIONS };
const { stillOpen, standsSo } = await import(`${site}/phone/words/trade.js`);
const things = given.kinds.map((kind) => {
  const [one] = stillOpen({ x: { kind, label: 'x', open: 1 } }, given.trade);
  return standsSo(one);
});
return { tables, things, answers: given.answers.map((one) => words.answer(one)) };
"""


def test_states_and_answers_are_worded_as_on_the_phone() -> None:
    answers = [
        one
        for text in store.of("2026-11", "states").values()
        for step in json.loads(text)["steps"].values()
        for one in step["answers"]
    ]
    answers += [{"kind": "check", "value": value} for value in _ODD]
    trade = dict(EARLIER_TRADE)
    kinds = [*(kind["name"] for kind in trade["kinds"]), "anything"]
    phone = node(_PHONE, {"answers": answers, "kinds": kinds, "trade": trade})
    tables = {"STATES": words.STATES, "SECTIONS": words.SECTION_TITLES}
    assert phone["tables"] == tables
    assert phone["things"] == [words.stands(kind, EARLIER_TRADE) for kind in kinds]
    mine = [words.answer(one["kind"], one["value"]).replace('"', "") for one in answers]
    assert mine == phone["answers"] and len(set(mine)) > 40


_ODD: list[dict[str, Any]] = [
    {"number": 1, "unit": "week"},
    {"number": 2.50, "unit": "month"},
    {"number": 1e21, "unit": "inHg(vac)"},
    {"number": 85, "unit": "degF", "sure": True},
    {"number": 20000, "unit": "date"},
    {"number": 20340, "unit": "date"},
    {"text": "21 N.m then 90 deg"},
    {"text": "1 week at 85 degC, 1.5 bar(g)", "sure": True},
    {"outcome": "failed", "note": "it slipped"},
    {"outcome": "failed"},
    {"set": "21.5"},
    {"kept_at": "the folder"},
    {"self": True},
    {"self": False},
    {"self": False, "permit": "Dead, tag 3 hung"},
    {"self": True, "permit": "Dead"},
]


def test_every_kind_of_entry_has_its_words_and_no_field_is_passed_over() -> None:
    assert set(deeds._DEEDS) == set(SLOTS)
    missed: set[tuple[str, str]] = set()
    for job in GOLDEN:
        record = record_of(GOLDEN[job])
        book = Book(record, json.loads(store.of("2026-11", "states")[job]))
        for entry in record.entries:
            said = deeds.deed({**entry, "value": {**entry["value"], "odd\x1b": "marker-7"}}, book)
            if "marker-7" not in said or "\x1b" in said:
                missed.add((job, entry["kind"]))
    assert missed == set()


# --- bad files --------------------------------------------------------------------------------------------------------


def _spoiled_line() -> bytes:
    return records.good().replace('"who":"KS"', '"who":"KS', 1).encode()


def _changed_entry() -> bytes:
    return records.good().replace('"at":"2026-10-02T08:00:00.000Z"', '"at":"2026-10-02T09:00:00.000Z"', 1).encode()


def _two_jobs() -> bytes:
    return records.refused()["two jobs"][0].encode()


def _cut() -> bytes:
    return records.good()[: len(records.good()) - 300].encode()


_AGAIN = "Send the job from the phone again and name the new file."
_WHOLE = "Send the job from the phone again, or read what is left of it with --damaged."
_NAME_IT = "Name the file that the phone made under Send the job: its first line begins with handturn record."
LINES = records.good().count("\n")
BAD: dict[str, tuple[Callable[[], bytes], str, str]] = {
    "empty": (lambda: b"", "f.txt: this file is empty.", _AGAIN),
    "nothing but spaces": (lambda: b" \n \n", "f.txt: this file is empty.", _AGAIN),
    "a web page": (
        lambda: b"<!doctype html>",
        "f.txt:1: this is no job that a phone exported: it looks like a web page.",
        _NAME_IT,
    ),
    "a worksheet": (
        lambda: b'{"adapters":{}}',
        "f.txt:1: this is no job that a phone exported: it looks like a list for programs (JSON), for example a "
        "worksheet.",
        _NAME_IT,
    ),
    "some other bytes": (lambda: bytes(range(256)), "f.txt:1: this is no job that a phone exported.", _NAME_IT),
    "another first line": (
        lambda: b"handturn recordings 1\n",
        "f.txt:1: this is no job that a phone exported.",
        _NAME_IT,
    ),
    "in UTF-16": (
        lambda: records.good().encode("utf-16"),
        "f.txt:1: a program saved this file again in another encoding (UTF-16).",
        "Name the file as the phone sent it, or save it as UTF-8.",
    ),
    "of a later version": (
        lambda: records.good().replace("record 1", "record 2", 1).encode(),
        "f.txt:1: this job was exported in a later version of the format than 1.",
        "Read it with a newer handturn: the version that the phone's site was built with.",
    ),
    "cut in the middle of a line": (
        _cut,
        f"f.txt:{LINES - 1}: the file ends here, and its last line is missing: it was cut short.",
        _WHOLE,
    ),
    "a line spoiled": (
        _spoiled_line,
        "f.txt:4: this line was changed or damaged after the phone wrote it.",
        _WHOLE,
    ),
    "an entry changed": (_changed_entry, "f.txt:4: this line was changed, or one after it is missing.", _WHOLE),
    "the last entry changed": (
        lambda: records.good().replace('"kind":"adopt"', '"kind":"adapt"').encode(),
        "f.txt: this file was changed after the phone wrote it; in which line cannot be told.",
        _WHOLE,
    ),
    "two exports in one file": (
        lambda: (records.good() * 2).encode(),
        f"f.txt:{LINES + 1}: something follows after the end of the job.",
        "Name one file for each job, as the phone sent it: two exports go into two files.",
    ),
    "two jobs": (
        _two_jobs,
        f"f.txt:{LINES}: from this line on the file holds a second job.",
        "Send each job by itself. With --damaged the one is read that most of the file is of.",
    ),
    "bytes that are no text": (
        lambda: records.good().encode().replace(b'"blue van"', b'"blue \xff\xfe"'),
        "f.txt:4: this line holds bytes that are no text: the file was damaged.",
        _WHOLE,
    ),
    "worksheets alone": (
        lambda: records.refused()["worksheets only"][0].encode(),
        "f.txt: this file holds no entries.",
        _AGAIN,
    ),
    "a worksheet under another digest": (
        lambda: records.refused()["a worksheet under another digest"][0].encode(),
        "f.txt:2: the worksheet in this line is not the one whose digest it claims, or is no worksheet.",
        _WHOLE,
    ),
    "a thing nested deep": (
        lambda: records.refused()["nested past any parser"][0].encode(),
        "f.txt:2: this line is nested deeper than any entry is.",
        _WHOLE,
    ),
}


@pytest.mark.parametrize("what", BAD)
def test_a_bad_file_is_told_with_its_line_and_what_to_do(what: str, tmp_path: Path, monkeypatch: Any) -> None:
    make, said, write = BAD[what]
    monkeypatch.chdir(tmp_path)
    Path("f.txt").write_bytes(make())
    result = run("f.txt")
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr == f"{said}\n    {write}\n"


def test_every_refusal_of_a_record_is_told_at_the_desk_too() -> None:
    assert set(exports._REASONS) == set(REFUSALS) - {"other-job"}
    for what, (text, code, _) in records.refused().items():
        found = read_exports([("f.txt", text.encode())])
        assert isinstance(found, exports.Rejected), (what, code)
        assert found.said.endswith(".") and found.write.endswith("."), what


def test_fifty_megabytes_are_not_read(tmp_path: Path) -> None:
    huge = tmp_path / "huge.txt"
    with huge.open("wb") as file:
        file.write(b"handturn record 1\n")
        file.truncate(50_000_000)
    result = run(huge)
    assert result.exit_code == 1
    assert result.stderr.startswith(f"{huge}: this file is larger than 16 MB, and no job is.\n")


def test_what_is_no_file_is_told_and_ends_with_two(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    odd = {"none.txt": "there is no such file", "": "this is a folder", "pipe": "this is a pipe or a device"}
    for name, said in {**odd, "x" * 300: "this file cannot be read"}.items():
        result = run(tmp_path / name)
        assert result.exit_code == 2 and result.stdout == ""
        assert f": {said}" in result.stderr and "Name the file that a phone exported." in result.stderr
    assert run().exit_code == 2
    assert "Missing argument 'FILE...'" in run().stderr
    assert "write - only once" in run("-", "-").stderr


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    locked = tmp_path / "locked.txt"
    locked.write_text("x")

    def refuse(*_: Any) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "open", refuse)
    result = run(locked)
    assert result.exit_code == 2 and "does not allow you to read" in result.stderr


def test_two_jobs_in_two_files_are_not_mixed(tmp_path: Path) -> None:
    for name, job in (("a.txt", "written-inline-three"), ("b.txt", "written-flat-four")):
        (tmp_path / name).write_text(GOLDEN[job], encoding="utf-8")
    result = run(tmp_path / "a.txt", tmp_path / "b.txt")
    assert (result.exit_code, result.stdout) == (1, "")
    assert (
        f'b.txt: this is another job than that of {tmp_path}/a.txt: "G-24", "Green estate (invented)", not "G-31"'
        in result.stderr
    )
    assert "Name only files of one job" in result.stderr


@pytest.mark.parametrize("what", records.read_as_good())
def test_what_mail_does_to_a_file_is_forgiven(what: str) -> None:
    result = run("-", given=records.read_as_good()[what].encode())
    assert result.exit_code == 0
    assert result.stdout.startswith('JOB "R-7": "blue van"\n')
    assert "  standard input: 7 entries" in result.stdout


def test_what_is_left_of_a_damaged_file_is_told_only_when_asked_for_and_as_that(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # a path longer than a line would be broken in the middle
    file = Path("cut.txt")
    file.write_bytes(_cut())
    assert run(file).exit_code == 1
    result = run(file, "--damaged")
    assert result.exit_code == 0
    assert "DAMAGED, read as far as it goes" in bare(result.stdout)
    assert "cut.txt is damaged; 1 line of it could not be read" in bare(result.stdout)
    file.write_bytes(records.good().encode().replace(b'"blue van"', b'"blue \xff\xfe"'))
    assert 'JOB "R-7": "blue' not in run(file, "--damaged").stdout, "a damaged line is not read"
    file.write_text(records.good(), encoding="utf-8")
    assert "DAMAGED" not in run(file, "--damaged").stdout
    file.write_text(records.good().replace("record 1", "record 2", 1), encoding="utf-8")
    assert run(file, "--damaged").exit_code == 1


def test_the_site_is_looked_up_in_its_folder(tmp_path: Path) -> None:
    file = tmp_path / "job.txt"
    file.write_text(GOLDEN["driven-flat-four"], encoding="utf-8")
    result = run(file, "--site", tmp_path)
    assert result.exit_code == 2 and "there is no built site in" in result.stderr
    for path, content in store.unpacked("2026-11", "site.tar.xz").items():
        if path.endswith("/sheet.json") or path == "packs.json":
            (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / path).write_bytes(content)
    result = run(file, "--site", tmp_path)
    assert result.exit_code == 0 and "serves this very worksheet." in bare(result.stdout)


# --- hostile ----------------------------------------------------------------------------------------------------------

HOSTILE = [
    "\x1b[2J\x1b[31mred\x07 \u202egnirts\u2066 \x9b2J \u2028 \U000e0041 tag \ue000 own \t tab",
    "a\nJOB fake\r\n    #99  2026-01-01 00:00:00  KS: done",
    "__proto__",
    "constructor",
    "\ud800 half" + "e" + "\u0301" * 300 + "宽" * 200,
    'ends" here; agreed with "RT' + "x" * 5000,
]


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_name_stays_in_its_quotes_and_reaches_no_terminal_raw(name: str) -> None:
    record = record_of(GOLDEN["written-inline-three"])
    sheets = {digest(canonical(sheet)): sheet for sheet in [_named(next(iter(record.sheets.values())), name)]}
    entries = [_with_name(entry, name, next(iter(sheets))) for entry in record.entries]
    read = Exported(Record("job", entries, sheets), (exports.ExportFile(name, 1, "0" * 64, 80),))
    text = history(read, ShopSite(name))
    assert sorted(map(int, ENTRY.findall(text))) == list(range(1, 81))
    assert text.count("\nJOB") == 0
    lines = text.split("\n")
    assert all(letter.isprintable() or letter in "\u200c\u200d" for line in lines for letter in line)
    assert max(map(plain.width, lines)) <= 80
    rejected = run(f"{name[:40]}.txt".replace("\ud800", "\udcff"))
    assert rejected.exit_code == 2
    assert all(letter.isprintable() or letter == "\n" for letter in rejected.stderr)


def _named(sheet: dict[str, Any], name: str) -> dict[str, Any]:
    changed = json.loads(canonical(sheet))
    changed["title"] = changed["shop"]["title"] = changed["engine"]["title"] = name
    for person in changed["shop"]["people"]:
        person["name"] = name
    for labelled in [*changed["items"].values(), *changed["values"].values(), *changed["stages"]]:
        labelled["title" if "title" in labelled else "label"] = name
    for step in changed["steps"]:
        step["do"] = [name]
    return dict(changed)


def _with_name(entry: Entry, name: str, sheet: str) -> Entry:
    value = {key: name if isinstance(found, str) and key != "unit" else found for key, found in entry["value"].items()}
    return {**entry, "value": value, "who": name, "device": name, "sheet": sheet, "at": name}


def test_whatever_a_strangers_worksheet_and_entries_hold_is_told_without_a_stop() -> None:
    cases = [(case["entries"], case["sheets"]) for case in many_cases(15, seed=11) if case["entries"]]
    for story in STORIES[::9]:
        bench = stories.Bench()
        story(bench)
        cases += bench.told[-1:]
    assert len(cases) > 25
    for entries, sheets in cases:
        record = Record("job-1", union(entries), sheets)
        text = history(Exported(record, ()), NOWHERE)
        assert sorted(map(int, ENTRY.findall(text))) == list(range(1, len(record.entries) + 1))


@pytest.mark.parametrize("junk", [None, 1e300, "x", [[]], {"x": [1]}], ids=repr)
def test_a_worksheet_with_junk_in_fields_of_a_later_version_is_told(junk: Any) -> None:
    record = record_of(GOLDEN["driven-vee-six"])
    sheet = json.loads(canonical(next(iter(record.sheets.values()))))
    for thing in (sheet, sheet["shop"], sheet["engine"], *sheet["steps"], *sheet["values"].values()):
        thing["of a later version"] = junk
    assert is_sheet(sheet)
    mark = digest(canonical(sheet))
    entries = [{**entry, "sheet": mark} for entry in record.entries]
    text = history(Exported(Record("job", entries, {mark: sheet}), ()), ShopSite("site"))
    assert sorted(map(int, ENTRY.findall(text))) == list(range(1, len(entries) + 1))


def test_the_examples_of_the_docstrings_hold() -> None:
    assert doctest.testmod(plain) == (0, 3)


def test_a_terminal_that_knows_no_such_letter_gets_an_escape(tmp_path: Path) -> None:
    file = tmp_path / "job.txt"
    file.write_text(GOLDEN["written-inline-three"], encoding="utf-8")
    result = CliRunner(charset="ascii").invoke(main, ["record", str(file)])
    assert result.exit_code == 0 and "24 \\xb0C" in result.stdout


# --- the days and times of the shop -----------------------------------------------------------------------------------


def _in_zone(shop: str | None, phone: str | None, *times: str) -> str:
    """Return the told job of a shop, or of a phone, in a time zone, with an entry at each of these times."""
    bench = stories.Bench()
    sheet = bench.sheet(stories.step("wipe", 0, stories.TICK), stories.DONE)
    if shop is not None:
        sheet["shop"]["time_zone"] = shop
    for at in times:
        bench.now = datetime.fromisoformat(at) - timedelta(seconds=1)
        local = {} if phone is None else {"local": {"day": at[:10], "time_zone": phone}}
        bench.of_job("start", "job", number="R-7", vehicle="blue van", **local)
    entries = [{**entry, "sheet": digest(canonical(sheet))} for entry in bench.phone("a").view.entries[1:]]
    return told(write_record(entries, {digest(canonical(sheet)): sheet}))


@pytest.mark.parametrize(
    ("zone", "edge", "shown"),
    [
        ("Pacific/Kiritimati", "2026-10-03T10:00", ("10-03 23:59:59", "10-04 00:00:00")),
        ("Pacific/Pago_Pago", "2026-10-04T11:00", ("10-03 23:59:59", "10-04 00:00:00")),
        ("Asia/Kathmandu", "2026-10-03T18:15", ("10-03 23:59:59", "10-04 00:00:00")),
        ("America/St_Johns", "2026-11-01T04:30", ("11-01 01:59:59 (NDT)", "11-01 01:00:00 (NST)")),
        ("Australia/Lord_Howe", "2026-10-03T15:30", ("10-04 01:59:59", "10-04 02:30:00")),
        ("Europe/Lisbon", "2026-10-25T01:00", ("10-25 01:59:59 (WEST)", "10-25 01:00:00 (WET)")),
    ],
)
def test_times_are_those_of_the_shops_clocks(zone: str, edge: str, shown: tuple[str, str]) -> None:
    """One second either side of midnight, and of a change of the clocks. By the shop's zone, else by the phone's."""
    at = datetime.fromisoformat(f"{edge}:00+00:00")
    times = [(at - timedelta(seconds=1)).isoformat(), at.isoformat()]
    for text in (_in_zone(zone, None, *times), _in_zone(None, zone, *times), _in_zone(zone, "Europe/Athens", *times)):
        assert [f"2026-{one} KS" in text for one in shown] == [True, True], text
        assert f"in the time zone {zone};" in " ".join(text.split()) and "UTC" not in text


def test_a_time_zone_that_is_not_known_here_is_said_and_times_are_in_utc() -> None:
    text = " ".join(_in_zone("Moon/Sea", None, "2026-10-03T09:59:59+00:00").split())
    assert 'in UTC, because the time zone "Moon/Sea" is not known here; the order' in text
    assert "Started 2026-10-03 09:59:59 UTC" in text
