"""The pages as text: readable before any script, nothing inline, no other host, no source text read as markup."""

from __future__ import annotations

import copy
import json
import re
from pathlib import Path

import pytest
from bs4 import BeautifulSoup, Tag

from generator import render
from generator.check import check_all
from generator.model import Engine, Procedure
from generator.quantities.quantity import written
from generator.site import disk, guide_pages
from generator.site.build import check_texts
from generator.tables import EARLIER_TRADE
from tests.browser.sample_sheet import readings_sheet
from tests.proofs.scripts import xss_shop
from tests.support import demo
from tests.support.harness import SHOP
from tests.support.sample_sheet import digest, sample_sheet

OVERRIDES = Path(__file__).parents[2] / "site_overrides"
PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&{{ 7*7 }}"


@pytest.fixture
def site() -> render.Site:
    templates = {path.name: path.read_text() for path in (OVERRIDES / "templates").glob("*.html")}
    return render.Site.of("demo", "Quayside Garage", templates, "guide/")


def pages(site: render.Site, sheet: dict) -> dict[str, str]:
    job = {
        "worksheet": sheet["worksheet"],
        "job": "J-1",
        "vehicle": "Blue van",
        "odometer": written("84210 km"),
        "agreed": None,
    }
    return {
        "worksheet": render.worksheet_page(sheet, digest(sheet), site),
        "start": render.start_page(site, [sheet], [job]),
        "jobs": render.jobs_page(site, [sheet]),
        "calculators": render.calculators_page(site),
        "offline": render.offline_page(site),
    }


def soup(page: str) -> BeautifulSoup:
    return BeautifulSoup(page, "html.parser")


def text_of(tag: Tag) -> str:
    return " ".join(tag.get_text(" ").split())


def step(page: str, path: str) -> Tag:
    found = soup(page).select_one(f'[data-step="{path}"]')
    assert isinstance(found, Tag)
    return found


def test_nothing_is_inline_and_nothing_comes_from_another_host(site: render.Site) -> None:
    for name, page in pages(site, sample_sheet()).items():
        tree = soup(page)
        assert not tree.find_all("style") and not tree.select("[style]"), name
        assert all(script.get("src") and not script.string for script in tree.find_all("script")), name
        attributes = [(tag.name, key) for tag in tree.find_all(True) for key in tag.attrs]
        assert not [found for found in attributes if found[1].startswith("on")], name
        links = [tag.get("src") or tag.get("href") for tag in tree.select("[src], [href]")]
        assert links and not [link for link in links if re.match(r"^([a-z]+:|/)", link)], name


def test_every_page_brings_the_policy_before_anything_is_fetched(site: render.Site) -> None:
    for name, page in pages(site, sample_sheet()).items():
        tags = soup(page).select("head > *")
        policy = next(n for n, tag in enumerate(tags) if tag.get("http-equiv") == "Content-Security-Policy")
        fetching = next(n for n, tag in enumerate(tags) if tag.get("src") or tag.get("href"))
        assert policy < fetching, name
        assert "default-src 'none'" in tags[policy]["content"]


def test_a_page_leads_to_the_root_of_the_site_from_its_own_depth(site: render.Site) -> None:
    made = pages(site, sample_sheet())
    roots = {name: soup(page).html["data-root"] for name, page in made.items()}
    assert roots == {"worksheet": "../../", "start": "", "jobs": "../", "calculators": "../", "offline": "../"}


def test_all_text_of_a_source_is_escaped(site: render.Site) -> None:
    def poison(thing: object, key: str = "") -> object:
        if isinstance(thing, dict):
            return {name: poison(part, name) for name, part in thing.items()}
        if isinstance(thing, list):
            return [poison(part, key) for part in thing]
        shown = (
            "title",
            "label",
            "text",
            "hazard",
            "harm",
            "avoid",
            "do",
            "why",
            "missing",
            "document",
            "where",
            "say",
        )
        return f"{thing}{HOSTILE}" if isinstance(thing, str) and key in shown else thing

    poisoned = poison(sample_sheet())
    assert isinstance(poisoned, dict)
    for name, page in pages(site, poisoned).items():
        tree = soup(page)
        assert not tree.select("img[onerror]"), name
        assert [script["src"] for script in tree.find_all("script")] == [f"{tree.html['data-root']}phone/start.js"], (
            name
        )
        assert "49" not in page.replace(digest(poisoned), ""), name
    assert HOSTILE in soup(render.worksheet_page(poisoned, "d", site)).get_text()


def test_cautions_come_before_the_text_of_their_step(site: render.Site) -> None:
    page = render.worksheet_page(sample_sheet(), "d", site)
    for made in soup(page).select("[data-step]"):
        order = [tag for tag in made.select("[data-caution], .do")]
        assert order[-1]["class"] == ["do"]
        assert all(tag.has_attr("data-caution") for tag in order[:-1])
    words = step(page, "drain").select_one("[data-caution]")
    assert words and words["data-caution"] == "warning" and text_of(words).startswith("WARNING Hot coolant")


MAKER = "The maker\u2019s information comes first. Where it differs from this sheet, the maker is right."
INVENTED = "Invented values, for a demonstration. Use none of them on a {}."


def standing(page: str) -> tuple[list[str], str]:
    """Return what a printed sheet says of itself: the lines at its top, and the foot of every page."""
    found = soup(page)
    [top], [foot] = found.select("[data-standing=top]"), found.select("article > [data-standing=foot]:last-child")
    return [text_of(line) for line in top.find_all("p")], text_of(foot)


@pytest.mark.parametrize("layout", ["inline-three", "inline-four", "flat-four", "vee-six"])
def test_paper_says_whose_word_counts_that_it_is_invented_and_how_old_it_is(site: render.Site, layout: str) -> None:
    sheet = demo.sheet(layout)
    read = max(value["source"]["read"] for value in sheet["values"].values() if value["source"])
    revisions = f"Worksheet revision {sheet['revision']}, engine sheet revision {sheet['engine']['revision']}"
    age = f"{revisions}, last value read on {read}."
    for page in (render.worksheet_page(sheet, "d", site), render.torque_page(sheet, "d", site, "2026-11-25")):
        top, foot = standing(page)
        assert top == [INVENTED.format("car"), MAKER, age]
        assert foot == " ".join(top)


def test_paper_of_a_sheet_with_real_values_does_not_call_them_invented(site: render.Site) -> None:
    sheet = sample_sheet()
    assert "invented" not in sheet["engine"]
    top, foot = standing(render.worksheet_page(sheet, "d", site))
    assert top[0] == MAKER and "nvented" not in foot
    for value in sheet["values"].values():
        value["source"] = None
    assert standing(render.worksheet_page(sheet, "d", site))[0][-1].endswith("revision 2.")


def test_only_a_sheet_that_says_so_is_invented() -> None:
    texts = demo.texts()
    path = next(path for path in texts if path.endswith("-i4-16.yml"))
    said = next(sheet for sheet in check_texts(texts, PICTURES).sheets if sheet["engine"]["id"] in path)
    assert said["engine"]["invented"] is True
    real = {**texts, path: texts[path].replace(b"invented: yes\n", b"")}
    assert real[path] != texts[path]
    made = next(sheet for sheet in check_texts(real, PICTURES).sheets if sheet["engine"]["id"] in path)
    assert made["engine"] == {name: fact for name, fact in said["engine"].items() if name != "invented"}
    assert made["steps"] == said["steps"], "no work is to be done again because of it"


def test_a_stage_s_caution_comes_before_all_its_steps(site: render.Site) -> None:
    page = soup(render.worksheet_page(sample_sheet(), "d", site))
    stage = page.select("section.stage")[2]
    first = stage.select_one("[data-caution], [data-step]")
    assert first and first.get("data-caution") == "notice"


def test_a_value_never_stands_without_its_source(site: render.Site) -> None:
    sheet = sample_sheet()
    for made in soup(render.worksheet_page(sheet, "d", site)).select("[data-value]"):
        value = sheet["values"][made["data-value"]]
        if value["text"]:
            source = made.select_one("[data-source]")
            assert source and "Workshop manual WM-22, 2nd edition, section 4, page 118" in text_of(source)
            assert value["text"] in text_of(made)


def test_the_ground_of_a_stage_may_name_a_value_that_no_step_shows(site: render.Site) -> None:
    (sheet,) = check_texts(xss_shop.texts(), xss_shop.PICTURES).sheets
    assert all("pump_way" not in step["values"] for step in sheet["steps"])
    page = soup(render.worksheet_page(sheet, digest(sheet), site))
    whys = [text_of(why) for why in page.select(".stage > .why")]
    assert any(why.startswith("The shaft turns") and "pump_way" not in why for why in whys), whys


def test_a_missing_value_is_an_empty_line_with_room_for_its_source(site: render.Site) -> None:
    made = step(render.worksheet_page(sample_sheet(), "d", site), "idler").select_one("[data-missing]")
    assert made and len(made.select(".line")) == 2 and "Document and page" in text_of(made)


def test_what_the_sheet_says_stands_under_the_text_and_before_its_reason(site: render.Site) -> None:
    sheet = demo.sheet("inline-four")
    page = soup(render.worksheet_page(sheet, digest(sheet), site))
    for path in (one["path"] for one in sheet["steps"] if one["values"] and one["why"]):
        body = page.select_one(f'[data-step="{path}"] > .body')
        assert body
        kinds = [
            kind for tag in body.find_all(recursive=False) for kind in tag["class"] if kind in ("do", "value", "why")
        ]
        assert kinds[:2] == ["do", "value"] and kinds.index("why") > 1, path


def test_a_step_s_text_shows_the_value_in_its_place(site: render.Site) -> None:
    page = render.worksheet_page(sample_sheet(), "d", site)
    words = step(page, "two-turns").select_one(".do")
    assert words and text_of(words) == "Turn the crank 2 full turns by hand, clockwise, seen from the belt side ."


@pytest.mark.parametrize(
    ("path", "labels"),
    [
        (
            "tensioner",
            ["Bolt 1, pull 1 12 N.m", "Bolt 2, pull 1 12 N.m", "Bolt 1, pull 2 90 deg", "Bolt 2, pull 2 90 deg"],
        ),
        ("cover-on", ["All 6 9 N.m"]),
        ("two-turns", ["Turn 1", "Turn 2"]),
        ("drain", ["Begun at time", "Ended at time"]),
        ("marks", ["All marks meet", "A mark is off (this fails)"]),
        ("refill", ["Coolant filled L"]),
        ("as-found", ["Marks as found filed where"]),
        ("second-look", ["Second look, by another person initials"]),
        ("battery-on", ["Done"]),
    ],
)
def test_every_check_off_has_its_own_boxes_on_paper(site: render.Site, path: str, labels: list[str]) -> None:
    made = step(render.worksheet_page(sample_sheet(), "d", site), path)
    assert [text_of(line) for line in made.select(".boxes li")] == labels
    assert len(made.select(".boxes .box")) == len(labels)


def test_a_step_at_one_of_several_corners_says_which_on_paper(site: render.Site) -> None:
    sheet = sample_sheet()
    next(one for one in sheet["steps"] if one["path"] == "windows")["which"] = "rear <left>"
    said = [text_of(found) for found in soup(render.worksheet_page(sheet, "d", site)).select(".do")]
    assert [text for text in said if "ear <left>" in text] == ["Rear <left>: Open the driver's window and the boot."]


def test_the_paper_names_every_gate_of_a_step(site: render.Site) -> None:
    sheet = sample_sheet()
    next(one for one in sheet["steps"] if one["path"] == "start-gate")["gate"]["also"] = ["road"]
    said = text_of(step(render.worksheet_page(sheet, "d", site), "start-gate"))
    both = "Before the starter turns the engine · before the car goes on the road. None of these may still be open: "
    assert both in said


def test_a_permit_says_on_paper_what_is_vouched_for_and_by_whom(site: render.Site) -> None:
    sheet = sample_sheet()
    signed = next(one for one in sheet["steps"] if one["path"] == "second-look")
    said = []
    for alone in (False, True):
        signed["check"] |= {"of": [], "permit": "Dead & <locked>", "alone": alone}
        made = step(render.worksheet_page(sheet, "d", site), "second-look")
        said += [text_of(line) for line in made.select(".boxes li")]
    assert said == [
        "Permit, given by another person Dead & <locked> initials",
        "Permit, given by another person, or after a break Dead & <locked> initials",
    ]


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("lock", "Open from here on: 1 × Crank locking tool."),
        ("cover-on", "Closed here: Lower cover bolts."),
        ("start-gate", "Stop and check. Before the starter turns the engine"),
        ("first-stop", "If there is any voltage above 12 V: stop. Stop here."),
        ("marks", "If a mark is off: go back to step 9. The belt comes off again. To be done again: 9, 12, 13, 14."),
        ("seal-new", "Only if the answer at step 17 was “Wet”."),
        ("refill", "Not before step 20."),
        ("drain", "only if the shop lead agrees"),
    ],
)
def test_the_paper_says_what_binds_a_step(site: render.Site, path: str, words: str) -> None:
    assert words in text_of(step(render.worksheet_page(sample_sheet(), "d", site), path))


def test_the_paper_holds_preparation_bolt_lists_and_room_to_sign(site: render.Site) -> None:
    page = text_of(soup(render.worksheet_page(sample_sheet(), "d", site)))
    for words in ("1 × Timing belt, number 99/001", "Drain tray, 10 l", "2 × Tensioner bolts, new", "Idler bolt"):
        assert words in page
    assert "Under the covers 6 × Lower cover bolts" in page
    assert "Signatures" in page and "Left out or done another way" in page


def test_the_same_worksheet_gives_the_same_page(site: render.Site) -> None:
    first = render.worksheet_page(sample_sheet(), "d", site)
    assert first == render.worksheet_page(copy.deepcopy(sample_sheet()), "d", site)


def test_a_job_the_lead_wrote_fills_the_start_form_by_an_address_that_stays_on_the_phone(site: render.Site) -> None:
    job = {
        "worksheet": "belt-service-four",
        "job": "J-1042",
        "vehicle": 'Blue & "old" van #2',
        "odometer": written("84210 km"),
        "agreed": "Belt and pump",
    }
    link = soup(render.start_page(site, [sample_sheet()], [job])).select_one('a[href*="#new"]')
    assert link and link["href"] == (
        "w/belt-service-four/#new?job=J-1042&vehicle=Blue%20%26%20%22old%22%20van%20%232&odometer=84210&unit=km"
        "&agreed=Belt%20and%20pump"
    )


def test_the_manifest_stays_within_the_site(site: render.Site) -> None:
    facts = json.loads(render.manifest(site))
    assert facts["start_url"] == facts["scope"] == "."
    for icon in facts["icons"]:
        assert (OVERRIDES / icon["src"]).is_file()


PROCEDURE = Procedure.model_validate(
    {
        "procedure": "bleed",
        "title": "Bleed a tensioner",
        "revision": "2",
        "values": {"stance": {"kind": "orientation", "label": "How it stands"}},
        "stages": [
            {
                "stage": "Bleed",
                "steps": [
                    {
                        "id": "stand",
                        "do": "Set it in the press, {stance}, *slowly*. <b>Not bold</b>",
                        "why": "Air stays in.",
                        "sheet_says": ["stance"],
                        "check": "tick",
                        "cautions": [
                            {"level": "warning", "hazard": "Force.", "harm": "Crush.", "avoid": "Keep clear."}
                        ],
                    }
                ],
            },
            {"include": "other-one", "as": "left"},
        ],
    }
)
ENGINE = Engine.model_validate(
    {
        "engine": "four",
        "title": "Inline four",
        "revision": "1",
        "facts": {},
        "values": {
            "stance": {
                "text": "upright | not *lying*",
                "source": {"document": "WM-22", "where": "page 9", "read": "2026-10-02", "by": "KS"},
            }
        },
    }
)


def test_the_guide_s_page_has_cautions_before_the_text_and_values_with_their_source() -> None:
    page = guide_pages.reference_page(PROCEDURE, [ENGINE], "{}/")
    assert page.index("WARNING") < page.index("Set it in the press")
    assert "<strong>[How it stands]</strong>, <em>slowly</em>" in page
    assert re.search(r"slowly.*<p>The sheet says: <strong>\[How it stands\]</strong></p>.*Why:", page, re.DOTALL)
    assert "<td>upright | not *lying*<br><small>WM-22, page 9, read 2026-10-02 by KS</small></td>" in page
    assert '<a href="other-one/">other-one</a>' in page


def test_the_guide_s_page_is_one_block_that_markdown_leaves_alone() -> None:
    page = guide_pages.reference_page(PROCEDURE, [ENGINE])
    assert page.startswith("<div") and "\n\n" not in page.strip()
    assert "<b>" not in page


def test_a_value_that_an_engine_sheet_lacks_is_said_to_be_missing() -> None:
    lacking = Engine.model_validate(
        {"engine": "x", "title": "X", "revision": "1", "facts": {}, "values": {"stance": {"missing": "not yet read"}}}
    )
    bare = Engine.model_validate({"engine": "y", "title": "Y", "revision": "1", "facts": {}, "values": {}})
    page = guide_pages.reference_page(PROCEDURE, [lacking, bare])
    assert "<td>to be found: not yet read</td>" in page and "<td>not listed</td>" in page


def test_a_result_on_paper_is_a_line_to_write_on_with_its_formula_in_words(site: render.Site) -> None:
    """But what the worksheet knows without any reading is printed, and what hangs on one as bands of it."""
    page = render.worksheet_page(readings_sheet(), "d", site)
    shown = soup(page).select("[data-result]")
    printed = {one["data-result"] for one in shown if one.select_one(".figure")}
    assert printed == {"greatest_vacuum", "vacuum_target"}
    assert all(one.select_one(".line, .bands") for one in shown if one["data-result"] not in printed)
    left = next(one for one in shown if one["data-result"] == "left_inside")
    assert text_of(left).endswith("L = Cooling system, all of it − Coolant drained")


def test_a_watched_wait_has_a_box_for_the_gauge_at_each_end(site: render.Site) -> None:
    sheet = readings_sheet()
    watched = next(one for one in sheet["steps"] if one["check"].get("watch"))
    page = render.worksheet_page(sheet, "d", site)
    labels = [text_of(box) for box in step(page, watched["path"]).select(".boxes li")]
    assert labels == [
        "Gauge when the time starts kPa(vac)",
        "Begun at time",
        "Ended at time",
        "Gauge when the time ends kPa(vac)",
    ]


def test_paper_says_who_is_asked_to_sign_in_the_words_of_the_trade(site: render.Site) -> None:
    sheet = sample_sheet()
    signed = next(one for one in sheet["steps"] if one["path"] == "second-look")
    signed["check"]["qualified"] = True
    roles = ("fitter", {"qualified": True}), ("helper", {}), ("boss", {"leads": True})
    said_of = [{"name": name, "label": name, "leads": False, **more} for name, more in roles]
    sheet["trade"] = {**EARLIER_TRADE, "roles": said_of}
    said = []
    for more in ({}, {"of": [], "permit": "Dead", "alone": False}, {"alone": True}):
        signed["check"] |= more
        made = step(render.worksheet_page(sheet, "d", site), "second-look")
        said += [text_of(line) for line in made.select(".boxes li")]
    assert said == [
        "Second look, by another person (fitter or boss) initials",
        "Permit, given by another person (fitter or boss) Dead initials",
        "Permit, given by another person (fitter or boss), or after a break Dead initials",
    ]


def test_a_procedures_page_of_the_guide_says_which_step_somebody_qualified_signs() -> None:
    library, _ = check_all(SHOP)
    page = soup(guide_pages.reference_page(library.procedures["fit-pump"].noun))
    said = [text_of(one) for one in page.select("li") if "must be qualified" in text_of(one)]
    assert said == ["Have it looked at. Signed by another person, who must be qualified."]


def test_a_procedures_page_of_the_guide_shows_its_formulas_and_what_is_said_of_them() -> None:
    library, _ = check_all(SHOP)
    page = soup(guide_pages.reference_page(library.procedures["fit-pump"].noun))
    cells = [text_of(cell) for cell in page.select("table td")]
    assert "add(last, interval_age)" in cells
    assert any("too much , not to go on with" in cell for cell in cells)
