"""Stories of the failures, played through the fold: a share of `tests.mistakes.sabotage.sabotage_harness`."""

from __future__ import annotations

import dataclasses

import pytest

from tests.mistakes.sabotage.sabotage_harness import Find, blunt, kept, of, past, played, sheet_of, stories, told
from tests.mistakes.test_revealed import rows

ROWS = {row.row: row for row in rows()}
SHARE = 23  # a prime: one story in so many, from every part of the job


def test_every_failure_has_a_story_and_the_guide_lists_those_that_a_careless_tech_gets_past():
    assert set(stories()) == set(ROWS)
    got_past = [row for row in ROWS.values() if past(stories()[row.row], row)]
    assert len(got_past) < len(ROWS) and told(got_past, len(ROWS)) == kept()


@pytest.mark.parametrize("name", list(ROWS)[::SHARE])
def test_an_honest_tech_meets_the_failure_before_it_is_too_late(name):
    story = stories()[name]
    met = played(story, ROWS[name], sheet_of(story.engine))
    assert met.wrong == "" and (met.at is not None or not story.finds)


def test_a_failure_that_nobody_finds_or_that_the_job_takes_for_good_is_told():
    name = "history-unknown-called-fine"
    story, row = stories()[name], ROWS[name]
    sheet = sheet_of(story.engine)
    assert played(story, row, sheet).at is not None
    assert played(dataclasses.replace(story, finds=()), row, sheet).wrong == "nobody finds it"
    good = dataclasses.replace(story, finds=(Find("agree/use", answer="ordinary"),))
    assert played(good, row, sheet).wrong == "the job takes no notice"
    late = dataclasses.replace(story, finds=(Find("start/starter-free", leaves="too late"),))
    assert played(late, row, sheet).wrong == "met after its latest place"


def test_where_nothing_judges_a_failing_answer_goes_unnoticed():
    name = "leak-not-looked-for"
    story = stories()[name]
    answers = dataclasses.replace(story, finds=tuple(find for find in story.finds if find.answer)[:1])
    assert played(answers, ROWS[name], sheet_of(story.engine)).at is not None
    assert played(answers, ROWS[name], blunt(story.engine)).at is None


def test_a_landmark_is_that_of_either_bank_and_of_no_step_whose_name_only_ends_like_it():
    assert of({"landmark": "belt-on"}, "belt-on") and of({"landmark": "belt-on-left"}, "belt-on")
    assert not of({"landmark": "accessory-belt-on"}, "belt-on") and not of({"landmark": None}, "belt-on")
