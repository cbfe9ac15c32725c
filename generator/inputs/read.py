"""Text -> nodes with places. Nothing is guessed: every scalar stays the text that was written.

The C parser's events are walked by hand, never composed: its composer recurses, and a file of brackets would end the
process. YAML's own complaints become faults in plain words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import yaml
from yaml import CLoader

from generator.faults import Fault
from generator.faults import source as faults
from generator.place import Place

SIZE_LIMIT = 1_000_000
DEPTH_LIMIT = 20
TEXTS_LIMIT = 250_000  # keys, texts, lists and groups of one file


@dataclass(slots=True)
class ScalarNode:
    """A text as written. `quoted` is true for quotes and for blocks (`|`, `>`). `raw` is how it stands in the file."""

    text: str
    quoted: bool
    place: Place
    raw: str = field(default="", repr=False, compare=False)

    def place_of(self, at: int) -> Place:
        """Return the place of character number `at` (from 0) of the text, also in folded lines and after escapes."""
        line, column, here = self.place.line, self.place.column, 0
        for number, letter in enumerate(self.raw):
            if number >= self._begins and here < len(self.text) and _alike(letter, self.text[here]):
                if here == at:
                    break
                here += 1
            line, column = (line + 1, 1) if letter == "\n" else (line, column + 1)
        return replace(self.place, line=line, column=column)

    @property
    def _begins(self) -> int:
        """Return where the text itself starts in `raw`: after a quote, or on the line after a block's mark."""
        if not self.quoted:
            return 0
        return 1 if self.raw[:1] in ("'", '"') else self.raw.find("\n") + 1


@dataclass(slots=True)
class ListNode:
    items: list[Node]
    place: Place


@dataclass(slots=True)
class MapNode:
    """Keys in the order written, each once. The place is that of the first key, or of the brace."""

    entries: list[tuple[ScalarNode, Node]]
    place: Place
    _index: dict[str, tuple[ScalarNode, Node]] | None = field(default=None, repr=False, compare=False)

    def get(self, key: str) -> Node | None:
        found = self._indexed().get(key)
        return found[1] if found else None

    def key(self, key: str) -> ScalarNode | None:
        found = self._indexed().get(key)
        return found[0] if found else None

    def _indexed(self) -> dict[str, tuple[ScalarNode, Node]]:
        if self._index is None:
            self._index = {entry[0].text: entry for entry in self.entries}
        return self._index


Node = ScalarNode | ListNode | MapNode


def _alike(letter: str, other: str) -> bool:
    return letter == other or (letter.isspace() and other.isspace())


# Neither seen nor typed: control characters, line separators that editors do not count as lines, marks that turn the
# direction of reading, halves of characters, and what Unicode keeps free of characters.
_CONTROL = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)
_MERGE_MARK = re.compile(r"^(?:<{7}|>{7}) [^\r\n]*", re.MULTILINE)
_COMMENT = re.compile(r"[ \t]+(#[^\s#][^\r\n]*)")
_CURLY = re.compile(r"[“”„‟«»‘’‚](?s:.*)[“”‟«»‘’]")
# What YAML 1.1 programs make of an unquoted text. Looked up in this order.
_GUESSES: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("yes or no", re.compile(r"(?i:yes|no|on|off|true|false|y|n)")),
    ("nothing", re.compile(r"~|null|Null|NULL")),
    ("a date", re.compile(r"\d{4}-\d\d?-\d\d?([Tt ].*)?")),
    ("a time counted in sixties", re.compile(r"[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9_]*)?")),
    ("a number counted in eights", re.compile(r"[-+]?0o?[0-7_]+")),
    ("a number in hexadecimal", re.compile(r"[-+]?0x[0-9a-fA-F_]+")),
    ("a number in binary", re.compile(r"[-+]?0b[01_]+")),
    ("a number", re.compile(r"[-+]?(\d[\d_]*\.?[\d_]*|\.\d[\d_]*)([eE][-+]?\d+)?")),
    ("a number", re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")),
    ("a merge of keys", re.compile(r"<<|=")),
)


def guess(text: str) -> str | None:
    """What YAML would take an unquoted text for, in words; None when it would stay a text.

    >>> guess("010"), guess("no"), guess("6 bolts")
    ('a number counted in eights', 'yes or no', None)
    """
    if len(text) > QUICK or (len(text) > WORDS and text[0].isalpha()):
        return None
    return next((name for name, pattern in _GUESSES if pattern.fullmatch(text)), None)


QUICK = 64  # a longer text is not guessed at
WORDS = 5  # nor is a longer word: "false" is the longest with another meaning


def read(data: str | bytes, file: str) -> tuple[Node | None, list[Fault]]:
    """The nodes of one file, or None with the faults that keep it from being read.

    `data` is the text, or its bytes in UTF-8; `file` is the path as the author would type it. Repeated keys are faults
    that leave the nodes standing, with the first of the two.
    """
    text, wrong = _text(data, file)
    if wrong is not None:
        return None, [wrong]
    events = _Events(text, file)
    try:
        node = events.document()
    except _Stop as stop:
        return None, [stop.fault]
    except yaml.MarkedYAMLError as error:
        return None, [_complaint(error, text.splitlines(), file, events.brackets)]
    except yaml.YAMLError:
        return None, [faults.CannotBeRead(Place(file))]
    return node, events.faults


def _text(data: str | bytes, file: str) -> tuple[str, Fault | None]:
    raw = data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data
    if len(raw) > SIZE_LIMIT:
        return "", faults.FileTooLarge(Place(file), SIZE_LIMIT)
    try:
        text = (data if isinstance(data, str) else raw.decode("utf-8")).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        return "", faults.NotUtf8(_place_of(raw[: error.start].decode("utf-8"), file), raw[error.start])
    found = _CONTROL.search(text)
    if found:
        return "", faults.ControlCharacter(_place_of(text[: found.start()], file), ord(found[0]))
    mark = _MERGE_MARK.search(text)
    if mark:
        return "", faults.MergeMarks(_place_of(text[: mark.start()], file), mark[0].rstrip())
    return text, None


def _place_of(before: str, file: str) -> Place:
    """Return the place right after this much of a file."""
    lines = re.split(r"\r\n|\r|\n", before)
    return Place(file, len(lines), len(lines[-1]) + 1)


class _Stop(Exception):
    """Carries a fault out of the walk. What follows it in the file cannot be trusted."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.said)
        self.fault = fault


@dataclass
class _Open:
    """A list or group that is still being read; `key` waits for its value."""

    node: ListNode | MapNode
    seen: dict[str, int] = field(default_factory=dict)
    key: ScalarNode | None = None
    dash_missing: bool = False


@dataclass
class _Events:
    text: str
    file: str
    faults: list[Fault] = field(default_factory=list)
    documents: int = 0
    parts: int = 0
    brackets: list[Place] = field(default_factory=list)  # opened and not yet closed, outermost first

    def document(self) -> Node | None:
        """Return the only document of the file. Raises `_Stop` and the parser's own errors."""
        root: Node | None = None
        stack: list[_Open] = []
        for event in self._events():
            self._refuse(event, len(stack))
            if isinstance(event, yaml.CollectionStartEvent):
                stack.append(self._opened(event))
                continue
            node: Node
            if isinstance(event, yaml.CollectionEndEvent):
                node = self._closed(stack.pop().node)
            elif isinstance(event, yaml.ScalarEvent):
                node = self._text(event)
            else:
                continue
            if stack:
                self._put(stack[-1], node, in_list=len(stack) > 1 and isinstance(stack[-2].node, ListNode))
            else:
                root = node
        return root

    def _text(self, event: yaml.ScalarEvent) -> ScalarNode:
        """Read a text. What may not be typed into a file may not get in by an escape either: "\\e[31m"."""
        node = ScalarNode(event.value, event.style not in ("", None), self._place(event), self._raw(event))
        found = _CONTROL.search(node.text) if event.style == '"' else None
        if found:
            raise _Stop(faults.ControlCharacter(node.place, ord(found[0])))
        if not node.quoted:
            self._look_at_plain(node, event)
        elif event.style in ("'", '"') and event.start_mark and "\n" in node.raw:
            self._look_at_quoted(node, event.style, event.start_mark.index)
        return node

    def _look_at_quoted(self, node: ScalarNode, quote: str, start: int) -> None:
        """Report a quote that was forgotten where another one, lines further down, happens to end the text."""
        first = self.text[self.text.rfind("\n", 0, start) + 1 : start]
        if any(_begins_anew(line, first) for line in node.raw.split("\n")[1:]):
            raise _Stop(faults.UnclosedQuote(node.place, quote))  # the lines it swallowed would all be missed

    def _look_at_plain(self, node: ScalarNode, event: yaml.ScalarEvent) -> None:
        """Report a text that would lose its end, or get letters that were meant as its quotes."""
        end = event.end_mark
        comment = _COMMENT.match(self.text, end.index) if end and node.text else None
        if end and comment:
            place = Place(self.file, end.line + 1, end.column + 1 + comment.start(1) - end.index)
            self.faults.append(faults.CutByComment(place, node.text, comment[1].rstrip()))
        elif _CURLY.fullmatch(node.text):
            self.faults.append(faults.CurlyQuotes(node.place, node.text))

    def _opened(self, event: yaml.CollectionStartEvent) -> _Open:
        place = self._place(event)
        start, end = event.start_mark, event.end_mark
        if event.flow_style and start and end and end.column > start.column:  # not the one key of [key: text]
            self.brackets.append(place)
        return _Open(MapNode([], place) if isinstance(event, yaml.MappingStartEvent) else ListNode([], place))

    def _closed(self, node: ListNode | MapNode) -> ListNode | MapNode:
        if self.brackets and self.brackets[-1] is node.place:
            self.brackets.pop()
        return node

    def _events(self) -> Iterator[yaml.Event]:
        yield from yaml.parse(self.text, Loader=CLoader)

    def _place(self, event: yaml.Event) -> Place:
        mark = event.start_mark
        return Place(self.file, mark.line + 1, mark.column + 1) if mark else Place(self.file)

    def _raw(self, event: yaml.Event) -> str:
        start, end = event.start_mark, event.end_mark
        return self.text[start.index : end.index] if start and end else ""

    def _refuse(self, event: yaml.Event, depth: int) -> None:
        """Stop at YAML that no source needs."""
        if isinstance(event, yaml.AliasEvent):
            raise _Stop(faults.AliasUsed(self._place(event), event.anchor or ""))
        if isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                raise _Stop(faults.SeveralDocuments(self._place(event)))
        if not isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent):
            return
        self.parts += 1
        if self.parts > TEXTS_LIMIT:
            raise _Stop(faults.TooManyTexts(self._place(event), TEXTS_LIMIT))
        if event.anchor is not None:
            raise _Stop(faults.AnchorUsed(self._place(event), event.anchor))
        if event.tag is not None:
            raise _Stop(faults.TagUsed(self._place(event), _tag(event.tag)))
        if isinstance(event, yaml.CollectionStartEvent) and depth >= DEPTH_LIMIT:
            raise _Stop(faults.NestedTooDeep(self._place(event), DEPTH_LIMIT))

    def _put(self, open_: _Open, node: Node, in_list: bool) -> None:
        if isinstance(open_.node, ListNode):
            open_.node.items.append(node)
        elif open_.key is None:
            open_.key = self._key(node)
        else:
            key, open_.key = open_.key, None
            first = open_.seen.setdefault(key.text, key.place.line)
            if len(open_.seen) > len(open_.node.entries):
                open_.node.entries.append((key, node))
            elif not open_.dash_missing:
                begins = in_list and key.text == open_.node.entries[0][0].text
                self.faults.append(faults.RepeatedKey(key.place, key.text, first, begins))
                open_.dash_missing = begins  # all further keys are the next entry's

    def _key(self, node: Node) -> ScalarNode:
        if not isinstance(node, ScalarNode):
            raise _Stop(faults.KeyNotText(node.place))
        if node.text == "<<" and not node.quoted:
            raise _Stop(faults.MergeKeyUsed(node.place))
        return node


def _tag(tag: str) -> str:
    return "!!" + tag.rpartition(":")[2] if tag.startswith("tag:yaml.org") else tag


# --- YAML's own complaints ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Trouble:
    """Where the parser stopped, and where the open quote or bracket started. Lines count from 0."""

    lines: list[str]
    file: str
    line: int
    column: int
    opened: tuple[int, int] | None
    bracket: Place | None

    @property
    def here(self) -> Place:
        return Place(self.file, self.line + 1, self.column + 1)

    @property
    def opening(self) -> Place:
        line, column = self.opened or (self.line, self.column)
        return Place(self.file, line + 1, column + 1)

    def source(self, line: int) -> str:
        return self.lines[line] if 0 <= line < len(self.lines) else ""

    @property
    def before(self) -> str:
        return self.source(self.line)[: self.column]

    @property
    def after(self) -> str:
        return self.source(self.line)[self.column :]


def _complaint(error: yaml.MarkedYAMLError, lines: list[str], file: str, brackets: list[Place]) -> Fault:
    mark = error.problem_mark or error.context_mark
    if mark is None:
        return faults.CannotBeRead(Place(file))
    context = error.context_mark
    opened = (context.line, context.column) if context else None
    trouble = _Trouble(lines, file, mark.line, mark.column, opened, brackets[-1] if brackets else None)
    problem = f"{error.context or ''}: {error.problem or ''}"
    translate = next((words for phrase, words in _WORDS if phrase in problem), _lost)
    return _swallowed(trouble) or translate(trouble)


def _swallowed(trouble: _Trouble) -> Fault | None:
    """Return the fault of a quote that was never closed, if that is why the parser stopped here: the next quote ended
    the text lines further down, and what follows it belongs to nothing."""
    before = trouble.before.rstrip()
    quote = before[-1:]
    if quote not in ("'", '"'):
        return None
    lines = [*trouble.lines[: trouble.line], before[:-1]]
    at = next((at for at in range(trouble.line, -1, -1) if _last_quote(lines[at], quote) is not None), trouble.line)
    column = _last_quote(lines[at], quote)
    if column is None or not any(_begins_anew(line, lines[at]) for line in lines[at + 1 :]):
        return None
    return faults.UnclosedQuote(Place(trouble.file, at + 1, column + 1), quote)


def _last_quote(line: str, quote: str) -> int | None:
    """Return where the last quote of this kind stands that is none of the text itself: not doubled, not escaped."""
    own = r"\\." if quote == '"' else "''"
    text = re.sub(own, "  ", line)
    return text.rindex(quote) if quote in text else None


_NEW_LINE = re.compile(r"( *)(?:- +)*(?:[a-z_]+:(?: |$)|\{)")


def _begins_anew(line: str, first: str) -> bool:
    """True if a line begins with a key of its own, no further in than the line `first`, where a text was opened."""
    begins, dashes = _NEW_LINE.match(line), first[: len(first) - len(first.lstrip(" -"))]
    is_key = first[len(dashes) : len(dashes) + 1] not in ("", "'", '"')  # else the text is the entry of a list itself
    margin = len(dashes) if is_key else len(first) - len(first.lstrip())
    return begins is not None and len(begins[1]) <= margin


def _lost(trouble: _Trouble) -> Fault:
    return faults.CannotBeRead(trouble.here)


def _colon(trouble: _Trouble) -> Fault:
    if re.fullmatch(r"\s*[\w-]+", trouble.before) and trouble.line > 0:
        return faults.BadIndent(_line_start(trouble))
    text = re.sub(r"^\s*(- +)*([\w\"'./-]+: +)?", "", trouble.source(trouble.line))
    return faults.ColonInText(trouble.here, text.strip())


def _line_start(trouble: _Trouble) -> Place:
    source = trouble.source(trouble.line)
    return Place(trouble.file, trouble.line + 1, len(source) - len(source.lstrip()) + 1)


def _unreadable_character(trouble: _Trouble) -> Fault:
    if trouble.after.startswith("\t"):
        return faults.TabIndent(trouble.here)
    return _strange(trouble.here, trouble)


def _strange(place: Place, trouble: _Trouble) -> Fault:
    text = trouble.source(place.line - 1)[place.column - 1 :]
    return faults.StrangeStart(place, text[:1], text.strip())


def _tab(trouble: _Trouble) -> Fault:
    return faults.TabIndent(trouble.here)


def _quote(trouble: _Trouble) -> Fault:
    place = trouble.opening
    quote = trouble.source(place.line - 1)[place.column - 1 : place.column]
    return faults.UnclosedQuote(place, quote or '"')


def _bracket(trouble: _Trouble) -> Fault:
    place = trouble.bracket or trouble.opening
    bracket = trouble.source(place.line - 1)[place.column - 1 : place.column]
    return faults.UnclosedBracket(place, bracket or "[", trouble.line + 1, trouble.after)


def _expected_key(trouble: _Trouble) -> Fault:
    """Name the fault where a key was expected: text after a closed text, or a line in the wrong column."""
    last = trouble.before.rstrip()[-1:]
    if last in ("'", '"'):
        return faults.TextAfterQuote(trouble.here, trouble.after)
    if trouble.after[:1] in ("]", "}", ","):
        return faults.StrayBracket(trouble.here, trouble.after[:1])
    if last in ("]", "}"):
        return faults.TextAfterBracket(trouble.here, trouble.after)
    return faults.BadIndent(trouble.here)


def _expected_dash(trouble: _Trouble) -> Fault:
    if trouble.before.strip():
        return _expected_key(trouble)
    return faults.BadIndent(trouble.here)


def _expected_node(trouble: _Trouble) -> Fault:
    character = trouble.after[:1]
    if character == "," or (character in ("]", "}") and not trouble.bracket):
        return faults.StrayBracket(trouble.here, character)
    return _bracket(trouble) if trouble.bracket else faults.CannotBeRead(trouble.here)


def _second_document(trouble: _Trouble) -> Fault:
    if re.match(r"(---|\.\.\.)(\s|$)", trouble.after):
        return faults.SeveralDocuments(trouble.here)
    if trouble.before.strip():
        return _expected_key(trouble)
    return faults.BadIndent(trouble.here)


def _dash(trouble: _Trouble) -> Fault:
    return faults.DashAfterKey(trouble.here)


def _no_colon(trouble: _Trouble) -> Fault:
    place = trouble.opening
    return faults.LineWithoutColon(place, trouble.source(place.line - 1).strip())


def _opening_character(trouble: _Trouble) -> Fault:
    return _strange(trouble.opening, trouble)


def _escape(trouble: _Trouble) -> Fault:
    return faults.BadEscape(trouble.here)


def _deep(trouble: _Trouble) -> Fault:
    return faults.NestedTooDeep(trouble.here, DEPTH_LIMIT)


# Phrases of the parser's messages and our faults for them. The first phrase that is found counts.
_WORDS: tuple[tuple[str, Callable[[_Trouble], Fault]], ...] = (
    ("exceeded maximum nesting", _deep),
    ("mapping values are not allowed", _colon),
    ("block sequence entries are not allowed", _dash),
    ("cannot start any token", _unreadable_character),
    ("tab character", _tab),
    ("quoted scalar: found unexpected end of stream", _quote),
    ("quoted scalar: found unexpected document indicator", _quote),
    ("quoted scalar: ", _escape),
    ("flow sequence: did not find expected", _bracket),
    ("flow mapping: did not find expected", _bracket),
    ("block mapping: did not find expected key", _expected_key),
    ("block collection: did not find expected '-'", _expected_dash),
    ("did not find expected <document start>", _second_document),
    ("did not find expected node content", _expected_node),
    ("could not find expected ':'", _no_colon),
    ("scanning a block scalar", _opening_character),
    ("scanning an anchor", _opening_character),
    ("scanning an alias", _opening_character),
    ("scanning a tag", _opening_character),
    ("parsing a tag", _opening_character),
    ("undefined tag handle", _opening_character),
)
