"""The repository's own library and shop with every word of the trade in an invented one's place.

What the generator or the phone knew by itself of a kind, list, gate, role, fact or noun would be missing here.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import Any

import yaml

from generator.site import build, disk
from tests.support import demo

SECTIONS = ("works_on", "roles", "kinds", "lists", "gates")
SHEET = "blimsheet"
_SOUNDS = ("zor", "blim", "quaf", "tren", "mup", "gliv", "snad", "wex", "hurl", "pock")


class Words:
    """An invented word for each word of a section, always the same one."""

    def __init__(self) -> None:
        self.of: dict[tuple[str, str], str] = {}

    def new(self, section: str, word: str) -> str:
        if (section, word) not in self.of:
            at = len(self.of)
            self.of[section, word] = "".join(_SOUNDS[int(digit)] for digit in f"{at:03}")
        return self.of[section, word]

    def known(self, section: str, word: str) -> str:
        """Return the invented word of a declared one, and any other word as it is."""
        return self.of.get((section, word), word)


def _declare(words: Words, trade: Mapping[str, Any]) -> None:
    for section in SECTIONS:
        for word in trade.get(section, {}):
            words.new(section, word)
    for fact, said in trade.get("facts", {}).items():
        words.new("facts", fact)
        for word in said:
            words.new(f"word of {fact}", word)


def _facts(words: Words, said: Mapping[str, Any]) -> dict[str, Any]:
    def word(fact: str, of: Any) -> Any:
        return [word(fact, one) for one in of] if isinstance(of, list) else words.known(f"word of {fact}", of)

    return {words.known("facts", fact): word(fact, of) for fact, of in said.items()}


def _asked(words: Words, when: Mapping[str, Any]) -> dict[str, Any]:
    nouns = {noun: words.known("works_on", noun) for noun in when}
    return {nouns[key]: _facts(words, of) if nouns[key] != key else of for key, of in when.items()}


def _each(words: Words, section: str, said: Any) -> Any:
    return [words.known(section, word) for word in said]


def _trade(words: Words, source: dict[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {"trade": "Nonsense"}
    for section in SECTIONS:
        if section in source:
            out[section] = {
                words.known(section, word): _means(words, section, of) for word, of in source[section].items()
            }
    out |= {key: source.get(key, {}) for key in ("divisions", "drawings")}
    facts = source.get("facts", {})
    out["facts"] = {
        words.known("facts", fact): {words.known(f"word of {fact}", word): said for word, said in of.items()}
        for fact, of in facts.items()
    }
    return out


def _means(words: Words, section: str, of: Any) -> Any:
    match section:
        case "works_on":
            return {**of, "sheet": SHEET, "whole": "blimwhole"}
        case "roles":
            return words.new("label", of) if isinstance(of, str) else {**of, "label": words.new("label", of["label"])}
        case "kinds":
            said = {"said": words.new("said", of["said"])} if "said" in of else {}
            return {**of, "label": words.new("label", of["label"]), "stands": words.new("stands", of["stands"]), **said}
        case "lists":
            return {key: words.new("title", text) for key, text in of.items()}
    listed = {
        key: _each(words, "kinds", of[key])
        for key in ("kinds", "all_kinds_but", "before_opening", "after_opening")
        if key in of
    }
    lists = {"lists": _each(words, "lists", of["lists"])} if "lists" in of else {}
    return {**of, "title": words.new("title", of["title"]), **listed, **lists}


def _step(words: Words, step: dict[str, Any]) -> dict[str, Any]:
    out = dict(step)
    if "when" in step:
        out["when"] = _asked(words, step["when"])
    if "opens" in step:
        out["opens"] = [
            {
                **item,
                "kind": words.known("kinds", item["kind"]),
                **({"list": words.known("lists", item["list"])} if "list" in item else {}),
            }
            for item in step["opens"]
        ]
    gate = step.get("gate")
    if isinstance(gate, str):
        out["gate"] = words.known("gates", gate)
    elif gate:
        more = {key: _each(words, key, gate[key]) for key in ("kinds", "lists") if key in gate}
        out["gate"] = {"for": words.known("gates", gate["for"]), **more}
    return out


def _procedure(words: Words, source: dict[str, Any]) -> dict[str, Any]:
    stages = []
    for part in source["stages"]:
        part = {**part, "when": _asked(words, part["when"])} if "when" in part else dict(part)
        if "steps" in part:
            part["steps"] = [_step(words, step) for step in part["steps"]]
        stages.append(part)
    fits = {"fits": _facts(words, source["fits"])} if "fits" in source else {}
    return {**source, **fits, "stages": stages}


def _renoun(words: Words, source: Mapping[str, Any]) -> dict[str, Any]:
    return {words.known("works_on", key): of for key, of in source.items()}


def _row(words: Words, row: dict[str, Any]) -> dict[str, Any]:
    gate = {"gate": words.known("gates", row["gate"])} if "gate" in row else {}
    asked = {"engine": _facts(words, row["engine"])} if "engine" in row else {}
    return _renoun(words, {**row, **gate, **asked, **_revealed(words, row)})


def _revealed(words: Words, row: dict[str, Any]) -> dict[str, Any]:
    """Return `revealed_by` with the kinds and lists that a gate waits for. Items keep their names."""
    if "revealed_by" not in row:
        return {}
    ways = row["revealed_by"] if isinstance(row["revealed_by"], list) else [row["revealed_by"]]
    return {"revealed_by": [{key: _waited(words, key, names) for key, names in way.items()} for way in ways]}


def _waited(words: Words, key: str, names: str | list[str]) -> str | list[str]:
    if key != "waits_for":
        return names
    each = [names] if isinstance(names, str) else names
    return [words.known("lists", words.known("kinds", name)) for name in each]


def _source(words: Words, source: dict[str, Any]) -> dict[str, Any]:
    match next(iter(source)):
        case "trade":
            return _trade(words, source)
        case "procedure":
            return _procedure(words, source)
        case "engine":
            return _renoun(words, {**source, "facts": _facts(words, source["facts"])})
        case "job":
            return _renoun(words, source)
        case "shop":
            people = [{**one, "role": words.known("roles", one["role"])} for one in source["people"]]
            facts = {"facts": _facts(words, source["facts"])} if "facts" in source else {}
            return {**source, "people": people, **facts}
        case "failure_modes":
            return {"failure_modes": [_row(words, row) for row in source["failure_modes"]]}
    return source


class _Plain(yaml.CSafeLoader):
    """Every scalar is a text, as our own reader has it. The C parser reads a `?` before a brace, the other does not."""


_Plain.yaml_implicit_resolvers = {}


def _written(source: Mapping[str, Any]) -> bytes:
    return yaml.safe_dump(source, sort_keys=False, allow_unicode=True, width=10_000, default_style='"').encode()


@functools.cache
def texts() -> tuple[dict[str, bytes], Words]:
    """Return the sources by path in nonsense, and the words."""
    read = {path: yaml.load(text, _Plain) for path, text in demo.texts().items()}
    words = Words()
    for source in read.values():
        if "trade" in source:
            _declare(words, source)
    return {path: _written(_source(words, source)) for path, source in read.items()}, words


@functools.cache
def checked() -> build.Findings:
    return build.check_texts(texts()[0], frozenset(disk.read_pictures(demo.ROOT, "procedures")))


def names_of(words: Words) -> Iterator[str]:
    """Yield every real name of a kind, list, gate, role or noun."""
    yield from (word for section, word in words.of if section in SECTIONS)
