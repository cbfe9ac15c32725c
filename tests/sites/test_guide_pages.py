"""The guide's pages of trade words and of cautions: all of them, in order, each with its reason, nothing as markup."""

from __future__ import annotations

from bs4 import BeautifulSoup, Tag

from generator.model import Picture, Procedure, Question
from generator.site import disk
from generator.site.build import made_pages
from generator.site.guide_pages import cautions_page, questions_page, words_page
from tests.support import demo

HOSTILE = "<img src=x onerror=alert(1)>"


def soup(page: str) -> BeautifulSoup:
    return BeautifulSoup(page, "html.parser")


def text_of(tag: Tag) -> str:
    return " ".join(tag.get_text(" ").split())


def procedure(do: str, words: dict[str, str], **more: object) -> Procedure:
    step = {"id": "fit", "do": do, "check": "tick", "words": words, **more}
    stages = [{"stage": "Fit", "steps": [step]}]
    return Procedure.model_validate({"procedure": "fit", "title": "Fit", "revision": "1", "stages": stages})


def test_every_word_that_a_step_explains_is_on_one_page_in_the_order_of_the_alphabet() -> None:
    page = soup(words_page((one.noun for one in demo.library().procedures.values()), {}, "../drawings/{}"))
    terms = [text_of(term) for term in page.select("h2")]
    said = {term.lower() for sheet in demo.checked().sheets for step in sheet["steps"] for term in step["words"]}
    assert said <= {term.lower() for term in terms} and len(said) > 15
    assert [term.lower() for term in terms] == sorted(term.lower() for term in terms)
    assert not page.select("img")


def test_a_word_has_its_own_drawing_and_not_that_of_a_step_and_each_of_its_meanings_once() -> None:
    plain = procedure("Fit the pin.", {"Pin": "It holds."})
    drawn = procedure("Fit the pin.", {"pin": "It holds."}, picture={"file": "fitting.svg", "alt": "How it is fitted."})
    other = procedure("Fit the pin.", {"pin": HOSTILE, "bush": "A sleeve."})
    page = words_page([plain, drawn, other], {"PIN": Picture(file="pin.svg", alt=HOSTILE)}, "../drawings/{}")
    said = [text_of(one) for one in soup(page).select("h2, h2 ~ p")]
    assert said == ["bush", "A sleeve.", "Pin", "It holds.", HOSTILE, ""]
    assert [(one["src"], one["alt"]) for one in soup(page).select("img")] == [("../drawings/pin.svg", HOSTILE)]
    assert "\n\n" not in page.strip(), "one block of HTML that Markdown leaves alone"


def test_every_word_of_the_library_has_one_drawing_that_the_guide_brings_with_it() -> None:
    pictures = disk.read_pictures(demo.ROOT, "procedures")
    made = made_pages(demo.checked(), pictures)
    words = soup(str(made["guide/words.md"])).select("h2")
    drawn = [[one["src"] for below in _until_next(word) for one in below.select("img")] for word in words]
    assert len(words) > 30 and {len(of) for of in drawn} == {1}
    assert {f"guide/{src.removeprefix('../')}" for (src,) in drawn} <= set(made)


def _until_next(word: Tag) -> list[Tag]:
    found = []
    for one in word.find_next_siblings():
        if one.name == "h2":
            break
        found.append(one)
    return found


def test_the_cautions_of_a_job_are_all_there_in_its_order_with_their_reason() -> None:
    for sheet in demo.checked().sheets:
        page = soup(cautions_page(sheet))
        of_stages = [(at, 0, one["cautions"]) for at, one in enumerate(sheet["stages"])]
        of_steps = [(one["stage"], number, one["cautions"]) for number, one in enumerate(sheet["steps"], 1)]
        in_order = sorted([*of_stages, *of_steps], key=lambda one: one[:2])
        wanted = [one["avoid"] for *_, cautions in in_order for one in cautions]
        told = [text_of(one) for one in page.select(".handturn-caution")]
        assert len(told) == len(wanted) > 20
        assert all(line.endswith(avoid) for line, avoid in zip(told, wanted, strict=True))
        whys = sum(bool(step["cautions"] and step["why"]) for step in sheet["steps"])
        assert len(page.select("em")) >= whys > 5


def test_questions_stand_in_the_order_of_the_job_and_hide_their_answers() -> None:
    asked = [Question(ask="Why cold?", answer="It burns."), Question(ask=HOSTILE, answer=HOSTILE)]
    page = soup(questions_page("Fit", "Four", [("First", asked), ("Nothing", []), ("Last", asked[:1])]))
    assert [text_of(one) for one in page.select("h2")] == ["First", "Last"]
    assert [text_of(one) for one in page.select("summary")] == ["Why cold?", HOSTILE, "Why cold?"]
    assert not page.select("details[open], img")


def test_a_stage_that_is_there_again_is_named_and_does_not_ask_again() -> None:
    asked = [Question(ask="Why cold?", answer="It burns.")]
    banks = [("Fit, left", asked), ("Turn", [Question(ask="Who turns?", answer="One.")]), (f"Fit, {HOSTILE}", asked)]
    page = soup(questions_page("Fit", "Vee", [*banks, ("Fit, left", asked)]))
    assert [text_of(one) for one in page.select("h2")] == ["Fit, left", "Turn"]
    assert [text_of(one) for one in page.select("summary")] == ["Why cold?", "Who turns?"]
    assert [text_of(one) for one in page.select("h2 + p")] == [f"Also before: Fit, {HOSTILE}"]


def test_the_questions_of_a_job_are_asked_once_and_each_of_its_stages_is_named() -> None:
    made = made_pages(demo.checked(), {})
    for sheet in demo.checked().sheets:
        page = soup(str(made[f"guide/questions/{sheet['worksheet']}.md"]))
        asked = [text_of(one) for one in page.select("summary")]
        assert len(asked) == len(set(asked)) > 100
        named = " ".join(text_of(one) for one in page.select("h2, h2 + p"))
        assert [one["title"] for one in sheet["stages"] if one["title"] not in named] == []


def test_the_reading_room_leads_to_every_page_that_is_made() -> None:
    made = made_pages(demo.checked(), {"pin.svg": b"<svg/>"})
    room = soup(str(made["guide/reading-room.md"]))
    led = {one["href"].strip("./") for one in room.select("a")} - {"how-to"}
    pages = {path.removeprefix("guide/").removesuffix(".md") for path in made if path.startswith("guide/")}
    assert led == pages - {"reading-room", "drawings/pin.svg"}


def test_no_text_of_a_worksheet_is_markup_there() -> None:
    sheet = demo.checked().sheets[0]
    caution = {"level": "danger", "hazard": HOSTILE, "harm": HOSTILE, "avoid": HOSTILE}
    steps = [
        {**one, "do": [HOSTILE, {"t": "em", "c": [HOSTILE]}], "why": [HOSTILE], "cautions": [caution]}
        for one in sheet["steps"]
    ]
    stages = [{**one, "title": HOSTILE, "cautions": [caution]} for one in sheet["stages"]]
    page = cautions_page({**sheet, "title": HOSTILE, "steps": steps, "stages": stages})
    assert not soup(page).select("img") and page.count("&lt;img") > 5 * len(steps)
