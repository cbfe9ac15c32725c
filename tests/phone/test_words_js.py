"""How the screen speaks of what is open: each kind has its word, and nothing is said twice."""

from __future__ import annotations

from tests.support import demo
from tests.support.node import Phone

TRADE = demo.sheet("inline-four")["trade"]

THINGS = """async ([items, trade]) => {
  const { openLine, stillOpen, thing } = await import('/phone/words/trade.js');
  const open = stillOpen(items, trade);
  return [openLine(open, trade), open.map(thing)];
}"""
UNKEPT = """async ([count, about]) => {
  const { W, unkeptSaid } = await import('/phone/words/words.js');
  return `${W.unkeptTitle(count)}. ${unkeptSaid(about)}`;
}"""


def item(kind: str, label: str, count: int = 1) -> dict[str, object]:
    return {"kind": kind, "label": label, "open": count}


def test_the_count_begins_with_its_numbers_and_no_word_is_said_twice(phone: Phone) -> None:
    items = {
        "fluid": item("fluid", "Coolant not in"),
        "oil": item("fluid", "Oil"),
        "proof": item("proof", "Timing not proved"),
        "learn": item("relearn", "Window pinch guard", 2),
        "belt": item("part", "Accessory belt"),
        "off": item("part", "Cut-off plate"),
        "bolts": item("bolt", "Cover bolts", 6),
        "pin": item("pin", "Pin", 0),
    }
    assert phone.evaluate(THINGS, [items, TRADE]) == [
        "6\u00a0loose · 2\u00a0off · 5\u00a0due",
        [
            "6 × Cover bolts (loose)",
            "1 × Accessory belt (off)",
            "1 × Cut-off plate (off)",
            "1 × Coolant not in",
            "1 × Oil (not in yet)",
            "1 × Timing not proved",
            "2 × Window pinch guard (to relearn)",
        ],
    ]
    assert phone.evaluate(THINGS, [{"pin": items["pin"]}, TRADE]) == ["Nothing loose, off or in", []]


def test_what_is_not_saved_is_said_in_the_right_number(phone: Phone) -> None:
    about = {"why": "io", "isMirrored": True, "isTold": True, "isSaved": False}
    one, two = (phone.evaluate(UNKEPT, [count, about]) for count in (1, 2))
    assert one.startswith("Not saved: 1 tick or reading. There is a second copy")
    assert two.startswith("Not saved: 2 ticks and readings. There is a second copy")
    assert "Closing the page loses it" in phone.evaluate(UNKEPT, [2, about | {"isMirrored": False}])


SOURCES = """async (sources) => {
  const { source } = await import('/phone/words/words.js');
  return sources.map(source);
}"""


def test_a_second_reading_by_the_reader_is_said_to_be_a_self_check(phone: Phone) -> None:
    place = {"document": "Manual", "where": "page 4", "by": "KS"}
    readings: list[dict[str, object]] = [{}, {"checked_by": "RT"}, {"checked_by": "KS", "checked": "2026-10-03"}]
    readings += [{"checked_by": "KS"}, {"checked_by": "RT", "checked": "2026-10-03"}]
    assert phone.evaluate(SOURCES, [{**place, **said} for said in readings]) == [
        "Manual, page 4 (KS)",
        "Manual, page 4 (KS, checked RT)",
        "Manual, page 4 (KS, self-check 2026-10-03)",
        "Manual, page 4 (KS, self-check)",
        "Manual, page 4 (KS, checked RT)",
    ]
    assert phone.evaluate(SOURCES, [{"document": "Manual", "where": "page 4"}]) == ["Manual, page 4"]


MORE = """async ([several, trade]) => {
  const { moreSaid } = await import('/phone/words/words.js');
  return several.map((more) => moreSaid(more, trade));
}"""


def test_other_boxes_of_a_start_are_said_by_the_trade_s_own_names_alone(phone: Phone) -> None:
    """A record from elsewhere may hold anything under `more`."""
    boxes = [{"name": name, "label": name.title(), "optional": True} for name in ("what", "vin", "serial")]
    odd: list[object] = [
        {"serial": "A-1"},
        {"serial": {"b": 1}},
        {"vin": "7", "what": "x", "other": "y"},
        "text",
        None,
        [1],
    ]
    assert phone.evaluate(MORE, [odd, {**TRADE, "start": boxes}]) == [["Serial A-1"], [], [], [], [], []]
