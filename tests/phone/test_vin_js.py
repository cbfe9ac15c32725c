"""The vehicle's number on the phone: the shared cases in Node, one table with the desk."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import pytest

from generator.quantities.vin import WORTH, check_vin
from tests.support.node import Phone

CASES = json.loads((Path(__file__).parents[1] / "support" / "vin.json").read_text(encoding="utf-8"))
TELL = """async (texts) => {
  const { checkVin } = await import('/phone/quantities/vin.js');
  return texts.map(checkVin);
}"""


@pytest.fixture(scope="module")
def tell(phone: Phone):
    """Return a function: what the phone says about each of these texts."""
    return lambda texts: phone.evaluate(TELL, texts)


def test_the_phone_tells_what_the_shared_table_says(tell):
    told = tell([case["text"] for case in CASES])
    wrong = [(case["says"], given) for case, given in zip(CASES, told, strict=True) if given != case["told"]]
    assert wrong == []


def test_phone_and_desk_tell_the_same_about_thousands_of_numbers(tell):
    rng = Random(17)
    letters = sorted(WORTH) + list("IOQ abz-ßÅ🙂")
    texts = ["".join(rng.choices(sorted(WORTH), k=17)) for _ in range(2000)]
    texts += ["".join(rng.choices(letters, k=rng.randint(0, 20))) for _ in range(2000)]
    assert tell(texts) == [check_vin(text) for text in texts]
