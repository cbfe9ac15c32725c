"""Ways to damage a source, one function for each: `spoil(rng, text) -> bytes`. The same seed does the same damage."""

from __future__ import annotations

import copy
import random
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import yaml

from generator import model
from generator.inputs.read import SIZE_LIMIT
from tests.hostile import strings

Random = random.Random
Spoil = Callable[[Random, str], bytes]
_VALUE = re.compile(
    r"(?<=: )[^\s{}\[\],#][^{}\[\],\n#]*|(?<=- )[a-z][a-z0-9_-]*$|(?<=[\[,] )[^\s{}\[\],]+", re.MULTILINE
)
_QUANTITY = re.compile(r"-?[0-9][0-9.]* [A-Za-z%][\w./()%]*")
_KEYED = re.compile(r"\b(?:formula|lost|due_on|due_at|weight|pressure|when): *(.+)$", re.MULTILINE)


# --- Lines ------------------------------------------------------------------------------------------------------------


def lines_left_out(rng: Random, text: str) -> bytes:
    lines = text.split("\n")
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(lines))
        del lines[at : at + rng.choice((1, 1, 1, 2, 5))]
        lines = lines or [""]
    return "\n".join(lines).encode()


def lines_twice(rng: Random, text: str) -> bytes:
    lines = text.split("\n")
    at, size = rng.randrange(len(lines)), rng.choice((1, 1, 2, 4, 9))
    to = rng.choice((at, rng.randrange(len(lines))))
    return "\n".join([*lines[:to], *lines[at : at + size] * rng.choice((1, 1, 1, 3)), *lines[to:]]).encode()


def lines_swapped(rng: Random, text: str) -> bytes:
    lines = text.split("\n")
    for _ in range(rng.randint(1, 4)):
        one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
        lines[one], lines[other] = lines[other], lines[one]
    return "\n".join(lines).encode()


def indents_changed(rng: Random, text: str) -> bytes:
    lines = text.split("\n")
    for _ in range(rng.randint(1, 3)):
        at, more = rng.randrange(len(lines)), rng.choice((-4, -2, -1, 1, 2, 3, 4, 40))
        for number in range(at, min(len(lines), at + rng.choice((1, 1, 3, 8)))):
            lines[number] = " " * more + lines[number] if more > 0 else _less(lines[number], -more)
    return "\n".join(lines).encode()


def _less(line: str, by: int) -> str:
    return line[min(by, len(line) - len(line.lstrip(" "))) :]


def tabs(rng: Random, text: str) -> bytes:
    at = [number for number, letter in enumerate(text) if letter == " "]
    for number in sorted(rng.sample(at, min(len(at), rng.randint(1, 4))), reverse=True):
        text = text[:number] + "\t" * rng.choice((1, 1, 2)) + text[number + 1 :]
    return text.encode()


def signs_moved(rng: Random, text: str) -> bytes:
    """Leave out, double or misplace a character that has a meaning in YAML."""
    letters = list(text)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(letters) + 1)
        if rng.random() < 0.5:
            letters.insert(at, rng.choice("-:?,[]{}#&*!|>'\"%@` \n\r\\~="))
        else:
            signs = [number for number, letter in enumerate(letters) if letter in "-:,[]{}'\"\n"]
            if signs:
                letters[rng.choice(signs)] = rng.choice(("", "", "::", "\n", " "))
    return "".join(letters).encode()


# --- Values -----------------------------------------------------------------------------------------------------------


def _written(rng: Random, text: str, odd: Sequence[str], pattern: re.Pattern[str] = _VALUE, most: int = 3) -> bytes:
    """Write some of what the pattern finds in another way: plain, or in one of the two kinds of quotes."""
    found = list(pattern.finditer(text)) or list(_VALUE.finditer(text))
    if not found:
        return (text + rng.choice(odd)).encode("utf-8", "surrogatepass")
    for match in sorted(rng.sample(found, min(len(found), rng.randint(1, most))), key=lambda m: -m.start()):
        at = 1 if match.lastindex else 0
        text = text[: match.start(at)] + _dressed(rng, rng.choice(odd)) + text[match.end(at) :]
    return text.encode("utf-8", "surrogatepass")


def _dressed(rng: Random, odd: str) -> str:
    way = rng.randrange(4)
    if way == 0:
        return '"' + odd.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return "'" + odd.replace("'", "''") + "'" if way == 1 else odd


def odd_texts(rng: Random, text: str) -> bytes:
    return _written(rng, text, strings.SCALARS)


def huge_numbers(rng: Random, text: str) -> bytes:
    return _written(rng, text, strings.NUMBERS, re.compile(r"(?<![\w.-])-?[0-9][0-9.]*(?=[ ,\]}\n])"))


def mad_units(rng: Random, text: str) -> bytes:
    return _written(rng, text, strings.UNITS, _QUANTITY)


def torque_texts(rng: Random, text: str) -> bytes:
    """Put together numbers, spellings of units and what comes between them, at random."""
    made = "".join(rng.choice(_TORQUE_PARTS) for _ in range(rng.randint(1, 7)))
    return _written(rng, text, (made, rng.choice(strings.UNITS)), re.compile(r"(?:torque|passes|then): *\[?([^\]\n]+)"))


_TORQUE_PARTS = (
    "10", "0.5", "1e9", " ", "  ", " N.m", "Nm", " lbf.ft", " kgf.cm", " deg", "°", " + ", "+", " ± ", "-", " to ", ",",
    ", ", "/", "(", ")", "then", "½", "µ", "·", "\u200b", "[", "M6x1.0",
    "8.8", "%", "9" * 40, "oiled", "{pump_bolts}", "x", "×",
)  # fmt: skip


def dates(rng: Random, text: str) -> bytes:
    return _written(rng, text, strings.DATES, re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}"))


def formulas(rng: Random, text: str) -> bytes:
    return _written(rng, text, (rng.choice(strings.FORMULAS), _formula(rng)), _KEYED, 2)


_ATOMS = (
    "x", "1", "0", "9e99", "at_start", "before", "lost", "air", "yes", '"25 kPa"', '"1 d"', '"2026-01-31"', "max",
    "interp", "round",
)  # fmt: skip
_SIGNS = ("+", "-", "*", "/", "%", "**", "<", "==", ",", " and ", " if ", " else ", "(", ")", "not ", "", "//", ".")


def _formula(rng: Random) -> str:
    return "".join(rng.choice(_ATOMS) + rng.choice(_SIGNS) for _ in range(rng.choice((2, 5, 20, 80))))


def markup(rng: Random, text: str) -> bytes:
    """Write marks of Markdown and braces of values, many and unfinished."""
    made = "".join(rng.choice(_MARKS) * rng.choice((1, 1, 2, 40)) for _ in range(rng.choice((3, 12, 60))))
    return _written(rng, text, (made,), re.compile(r"\b(?:do|why|say|label|title|hazard): *([^,}\n]+)"))


_MARKS = (
    "*", "**", "`", "_", "{", "}", "{pump_bolts}", "{lost}", "\\", "[", "](", "<b>", "a", " ", "&#x3c;", "<script>",
    "~~", "\u00a0",
)  # fmt: skip


def names_crossed(rng: Random, text: str) -> bytes:
    """Put names where other names were: loops of includes, values of the wrong kind, steps that are items."""
    names = sorted(set(re.findall(r"\b[a-z]+(?:[-_][a-z0-9]+)+\b", text)) | {"procedure", "engine", "left", "look"})
    return _written(rng, text, names, re.compile(r"\b[a-z]+(?:[-_][a-z0-9]+)+\b"), 5)


# --- What no source needs ---------------------------------------------------------------------------------------------


def nested(rng: Random, text: str) -> bytes:
    """Nest lists and groups in one another, in brackets or by indent."""
    deep = rng.choice((3, 18, 19, 20, 21, 22, 100, 1000, 9000))
    way = rng.randrange(5)
    if way == 0:
        inner = "[" * deep + rng.choice(("", "a")) + "]" * rng.choice((deep, deep - 1, 0))
    elif way == 1:
        inner = "{a: " * deep + "b" + "}" * rng.choice((deep, deep - 1, 0))
    elif way == 2:
        inner = "\n" + "".join(" " * number + "a:\n" for number in range(1, min(deep, 600)))
    elif way == 3:
        inner = "\n" + " " + "- " * deep + "a"
    else:
        inner = "? " * deep + "a"
    return _put(rng, text, inner)


def _put(rng: Random, text: str, inner: str) -> bytes:
    """Put text after one of the keys, or at the end."""
    keys = list(re.finditer(r"^ *(?:- )?[\w-]+:(?= |$)", text, re.MULTILINE))
    if not keys or rng.random() < 0.1:
        return f"{text}\nmore: {inner}\n".encode("utf-8", "surrogatepass")
    at = rng.choice(keys).end()
    end = text.find("\n", at)
    rest = text[at:] if rng.random() < 0.3 else text[end if end >= 0 else len(text) :]
    return f"{text[:at]} {inner}{rest}".encode("utf-8", "surrogatepass")


def anchors(rng: Random, text: str) -> bytes:
    if rng.random() < 0.3:
        laughs = "a0: &a0 [ha, ha]\n" + "".join(
            f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, rng.choice((2, 9, 40)))
        )
        return (laughs + text if rng.random() < 0.5 else text + laughs).encode()
    return _written(
        rng, text, ("&a", "*a", "&a b", "&a [*a]", "&a {b: *a}", "&" + "a" * 9000, "*" + "a" * 9000, "&é x", "&a &b c")
    )


def tags(rng: Random, text: str) -> bytes:
    if rng.random() < 0.2:
        return rng.choice(strings.DIRECTIVES).encode() + text.encode()
    return _written(rng, text, strings.TAGS)


def merges(rng: Random, text: str) -> bytes:
    line = rng.choice(("<<: {a: b}", "<<: *a", '"<<": {a: b}', "? <<\n: {a: b}", "<<: [{a: b}, {c: d}]", "=: x"))
    lines = text.split("\n")
    at = rng.randrange(len(lines))
    indent = re.match(r" *", lines[at])
    lines.insert(at, (indent[0] if indent else "") + line)
    return "\n".join(lines).encode()


def _sprinkled(rng: Random, text: str, letters: Sequence[str], most: int = 3) -> bytes:
    for _ in range(rng.randint(1, most)):
        at = rng.randrange(len(text) + 1)
        text = text[:at] + rng.choice(letters) * rng.choice((1, 1, 1, 5, 500)) + text[at:]
    return text.encode("utf-8", "surrogatepass")


def control(rng: Random, text: str) -> bytes:
    if rng.random() < 0.5:
        escape = rng.choice(strings.ESCAPES)
        found = list(_VALUE.finditer(text)) or list(re.finditer(r"$", text))
        match = rng.choice(found)
        return (text[: match.start()] + escape + text[match.end() :]).encode()
    return _sprinkled(rng, text, strings.CONTROL)


def invisible(rng: Random, text: str) -> bytes:
    return _sprinkled(rng, text, strings.INVISIBLE)


def encodings(rng: Random, text: str) -> bytes:
    name = rng.choice(strings.ENCODINGS)
    marks = rng.choice((b"", b"", b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff"))
    return marks + text.encode(name, "replace")


def broken_utf8(rng: Random, text: str) -> bytes:
    raw = bytearray(text.encode())
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(raw) + 1)
        raw[at:at] = rng.choice(strings.NO_UTF8)
    return bytes(raw)


def several_documents(rng: Random, text: str) -> bytes:
    lines = text.split("\n")
    for _ in range(rng.randint(1, 2)):
        lines.insert(rng.randrange(len(lines) + 1), rng.choice(strings.DOCUMENTS))
    return "\n".join(lines).encode()


def bytes_changed(rng: Random, text: str) -> bytes:
    raw = bytearray(text.encode())
    for _ in range(rng.choice((1, 2, 8, 64))):
        at = rng.randrange(len(raw) or 1)
        way = rng.randrange(4)
        if way == 0 and raw:
            raw[at % len(raw)] ^= 1 << rng.randrange(8)
        elif way == 1:
            raw[at:at] = bytes([rng.randrange(256)])
        elif way == 2:
            del raw[at : at + rng.choice((1, 3, 30))]
        else:
            raw[at:at] = raw[rng.randrange(len(raw) or 1) :][: rng.choice((1, 8, 90))]
    return bytes(raw)


# --- Size -------------------------------------------------------------------------------------------------------------


def about_a_megabyte(rng: Random, text: str) -> bytes:
    """Fill the file up to the limit, just under and just over, with what costs most to check."""
    filler = rng.choice(strings.FILLERS)
    size = SIZE_LIMIT + rng.choice((-1, 0, 1, -7, 5, 100_000, 2_000_000))
    own = text.encode()
    fill = (filler.encode() * (max(0, size - len(own)) // len(filler.encode()) + 1))[: max(0, size - len(own))]
    return own + fill if rng.random() < 0.8 else fill + own


def long_lines(rng: Random, text: str) -> bytes:
    word = rng.choice(strings.LONG)
    long = word * (rng.choice((400, 9_000, 200_000)) // len(word))
    return _written(rng, text, (long,), most=1)


_MEMBERS: Sequence[Callable[[int], str]] = (
    lambda n: f"k{n}: {n}",
    lambda n: f"{{id: s-{n}, do: Do it., check: tick}}",
    lambda n: "same: 1",
    lambda n: f"s-{n}",
    lambda n: f"v_{n}: {{kind: torque, label: Bolts {n}}}",
    lambda n: f"{{include: p-{n % 7}, as: a-{n}}}",
    lambda n: f"pump_bolt{n}",
    lambda n: f"v_{n}: v_{n + 1} + v_{n + 2}",
    lambda n: f"[{n}, {n}]",
    str,
)


def many_keys(rng: Random, text: str) -> bytes:
    """Write many names or members where a few belong: known and unknown, each once or all the same."""
    count = rng.choice((50, 1_000, 1_000, 20_000))
    made = rng.choice(_MEMBERS)
    members = [made(number) for number in range(count)]
    inner = "[" + ", ".join(members) + "]" if rng.random() < 0.5 else "{" + ", ".join(members) + "}"
    return _put(rng, text, inner)


# --- The grammar ------------------------------------------------------------------------------------------------------


def tree_changed(rng: Random, text: str) -> bytes:
    """Change the file's own groups and lists: move, double or rename parts, or put them into one another."""
    tree = yaml.load(text, Loader=yaml.CBaseLoader)  # only texts, written by us
    for _ in range(rng.randint(1, 4)):
        spots = list(_spots(tree))
        if not spots:
            break
        holder, key = rng.choice(spots)
        _change(rng, holder, key, rng.choice(spots))
    return _dumped(tree)


def _spots(tree: Any) -> list[tuple[Any, Any]]:
    """Return every (holder, key) of a tree."""
    keys = list(tree) if isinstance(tree, dict) else range(len(tree)) if isinstance(tree, list) else ()
    return [spot for key in keys for spot in ((tree, key), *_spots(tree[key]))]


def _change(rng: Random, holder: Any, key: Any, other: tuple[Any, Any]) -> None:
    way = rng.randrange(7)
    if way == 0:
        del holder[key]
    elif way == 1:
        holder[key] = rng.choice(
            ("", [], {}, [[]], {"a": {}}, "yes", "0", ["yes", "no"], [holder[key]], {"is": holder[key]})
        )
    elif way == 2 and isinstance(holder, dict):
        holder[rng.choice(KEYS)] = holder.pop(key)
    elif way == 3 and isinstance(holder, dict):
        holder[rng.choice(KEYS)] = rng.choice(("1", "a", [], {}, copy.deepcopy(holder[key])))
    elif way == 4 and isinstance(holder, list):
        holder.insert(rng.randrange(len(holder) + 1), copy.deepcopy(holder[key]))
    elif way == 5 and isinstance(holder, list):
        rng.shuffle(holder)
    else:
        holder[key] = copy.deepcopy(_there(*other))


def _there(holder: Any, key: Any) -> Any:
    """Return what is at a spot, if it is still there."""
    if isinstance(holder, dict):
        return holder.get(key, "")
    return holder[key] if key < len(holder) else "a"


def members_multiplied(rng: Random, text: str) -> bytes:
    """Repeat the members of a list or a group of the file many times, each with a name of its own."""
    tree = yaml.load(text, Loader=yaml.CBaseLoader)
    full = [there for holder, key in _spots(tree) if isinstance(there := holder[key], dict | list) and there]
    holder, times = rng.choice(full or [tree]), rng.choice((20, 300, 1_000, 5_000))
    names = list(holder)
    for number in range(times):
        if isinstance(holder, list):
            holder.append(_renamed(holder[number], number))
        else:
            key = names[number]
            names.append(f"{key[:30]}_{number}")
            holder[names[-1]] = _renamed(holder[key], number)
    return _dumped(tree, 10_000)


def _renamed(member: Any, number: int) -> Any:
    """Return a copy whose first key, or `as`, has another name."""
    if not isinstance(member, dict):
        return f"{member}-{number}" if isinstance(member, str) and number % 2 else copy.deepcopy(member)
    own = "as" if "as" in member else next(iter(member), "")
    name = member.get(own)
    return {**copy.deepcopy(member), own: f"{name[:30]}-{number}"} if isinstance(name, str) else copy.deepcopy(member)


def _dumped(tree: Any, most: int = 200) -> bytes:
    """Return YAML without anchors, no deeper than a source could be, because a part may have been put into itself."""
    out: str = yaml.dump(_cut(tree, 30, most), Dumper=_Plain, sort_keys=False, allow_unicode=True, width=1000)
    return out.replace("'", "").encode() if "'yes'" in out and len(out) % 2 else out.encode()


def _cut(tree: Any, deep: int, most: int) -> Any:
    if deep == 0 or isinstance(tree, str):
        return tree if isinstance(tree, str) else "deep"
    if isinstance(tree, dict):
        return {key: _cut(below, deep - 1, most) for key, below in list(tree.items())[:most]}
    return [_cut(below, deep - 1, most) for below in tree[:most]]


class _Plain(yaml.CSafeDumper):
    def ignore_aliases(self, data: Any) -> bool:
        return True


def _nouns() -> list[type[model.Noun]]:
    return sorted((noun for noun in model.Noun.__subclasses__()), key=lambda noun: noun.__name__)


KEYS = tuple(sorted({info.alias or name for noun in _nouns() for name, info in noun.model_fields.items()}))
_WORDS = (
    "tick", "yes", "no", "look", "pump_bolts", "fit-pump", "air", "10 N.m", "6", "kPa", "2026-10-02", "torque", "KS",
    "lead", "starter",
)  # fmt: skip


def made_up(rng: Random, text: str) -> bytes:
    """Write a file of nothing but keys of the grammar."""
    kind = rng.choice(("procedure", "engine", "shop", "job", "failure_modes", "table", rng.choice(KEYS)))
    tree = {kind: _made(rng, 2), **{rng.choice(KEYS): _made(rng, 6) for _ in range(rng.randint(1, 9))}}
    return _dumped(tree)


def _made(rng: Random, deep: int) -> Any:
    way = rng.random()
    if deep == 0 or way < 0.4:
        return rng.choice(_WORDS) if rng.random() < 0.8 else rng.choice(strings.SCALARS).replace("\ud800", "")
    if way < 0.6:
        return [_made(rng, deep - 1) for _ in range(rng.randint(0, 4))]
    return {rng.choice(KEYS): _made(rng, deep - 1) for _ in range(rng.randint(0, 5))}


def all_at_once(rng: Random, text: str) -> bytes:
    """Apply several kinds one after another, as long as the text can still be read as one."""
    for _ in range(rng.randint(2, 4)):
        spoil = rng.choice(
            (lines_swapped, indents_changed, signs_moved, odd_texts, mad_units, formulas, names_crossed, markup)
        )
        text = spoil(rng, text).decode("utf-8", "replace")
    return text.encode("utf-8", "surrogatepass")


# Kind -> function, and how often among about a thousand. The expensive ones are rarer.
KINDS: Mapping[str, tuple[Spoil, int]] = {
    "lines left out": (lines_left_out, 50),
    "lines twice": (lines_twice, 50),
    "lines swapped": (lines_swapped, 50),
    "indents changed": (indents_changed, 50),
    "tabs": (tabs, 30),
    "signs moved": (signs_moved, 60),
    "odd texts": (odd_texts, 80),
    "huge numbers": (huge_numbers, 40),
    "mad units": (mad_units, 50),
    "torque texts": (torque_texts, 40),
    "dates": (dates, 20),
    "formulas": (formulas, 80),
    "marks and braces": (markup, 40),
    "names crossed": (names_crossed, 60),
    "nested": (nested, 40),
    "anchors": (anchors, 25),
    "tags": (tags, 25),
    "merge keys": (merges, 15),
    "control characters": (control, 30),
    "invisible characters": (invisible, 30),
    "encodings": (encodings, 20),
    "broken UTF-8": (broken_utf8, 20),
    "several documents": (several_documents, 20),
    "bytes changed": (bytes_changed, 60),
    "about 1 MB": (about_a_megabyte, 4),
    "long lines": (long_lines, 20),
    "many keys": (many_keys, 12),
    "the file's own tree": (tree_changed, 90),
    "members multiplied": (members_multiplied, 12),
    "made up": (made_up, 50),
    "all at once": (all_at_once, 40),
}
