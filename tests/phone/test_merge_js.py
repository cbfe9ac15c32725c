"""The same splits of a job brought together by the phone's own code: it shows and holds what Python says."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from tests.proofs.merge_harness import as_python, phone_ends
from tests.support.merge_splits import Split, compiled, made_up, small, split_of
from tests.support.node import Phone


def splits() -> list[Split]:
    of_any = [split_of(6, number, made_up(Random(number))) for number in range(60)]
    of_small = [split_of(7, number, small()) for number in range(30)]
    return [*of_any, *of_small, *(split_of(8, number, compiled("inline-four")) for number in range(6))]


def test_phones_that_wrote_apart_end_with_the_job_that_python_says_by_the_phones_own_code_too(phone: Phone):
    """State, list of entries and every record written on the way are the same to the byte."""
    made = splits()
    assert phone_ends(phone, made) == [as_python(split) for split in made]
    assert any(way == "record" for split in made for route in split.routes for way, _ in route.batches)


def test_an_entry_that_a_phone_does_not_get_would_be_seen(phone: Phone):
    split = next(split for split in splits() if len(split.routes) > 1)
    first, *others = split.routes
    batches = [(way, [number for number in batch if number]) for way, batch in first.batches]
    without = replace(first, held=[number for number in first.held if number], batches=batches)
    [found] = phone_ends(phone, [replace(split, routes=[without, *others])])
    expected = as_python(split)
    assert found[0][1] != expected[0][1] and found[1:] == expected[1:]
