"""The rule for names from outside: no script of the phone looks one up on an object that has a prototype.

A name from outside stands in an entry, a worksheet, a list or an address. `faults(files)` parses scripts with
tree-sitter and returns what breaks the rule:

- `a[b]` is allowed if `b` is a number or text literal, or the outcome of `-`, `*`, `/`, `%`; if `a` is a `table(...)`
  or `dict(...)`, here or in the module it comes from; if `a` ends in a name of `MAPS` (own.js).
  Everything else must be `own(a, b)`, or `a.at(b)` for a list.
- what has a name of `MAPS` must be made by `dict(...)`, never from an object literal or by `Object.fromEntries`. A
  constant in capitals is exempt: it describes a shape, and no outside name is looked up in it.
- the worker (sw.js) imports nothing and gets copies, which have prototypes again: there no name is a map's.
- no `in` except with a text literal, no `for ... in`, no `{[b]: c} = a`, no `hasOwnProperty`, `__proto__`, `Reflect`,
  and no `Object.assign` from anything but an object literal.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import tree_sitter_javascript
from tree_sitter import Language, Node, Parser

_PARSER = Parser(Language(tree_sitter_javascript.language()))
_NUMERIC = {"-", "*", "/", "%", "|", "&", ">>", "<<", ">>>", "**"}
_MAKERS = {"table", "dict"}
_FORBIDDEN = {"hasOwnProperty", "__proto__", "__lookupGetter__", "__defineGetter__", "propertyIsEnumerable"}
EXEMPT = frozenset({"own.js", "reach.js"})
"""own.js makes maps and asks them; reach.js asks the browser, which inherits most of what it has."""


@dataclass
class Module:
    tree: Node
    tables: set[str] = field(default_factory=set)
    """Names bound to a table or a map without a prototype."""
    imports: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Local name -> (module, its name there)."""


def maps_of(text: str) -> frozenset[str]:
    """Return the names in `MAPS` of own.js."""
    listed = re.search(r"MAPS = new Set\(\[(.*?)\]\)", text, re.DOTALL)
    assert listed, "own.js has no MAPS"
    return frozenset(re.findall(r"'(\w+)'", listed[1]))


def faults(files: Mapping[str, str], maps: frozenset[str]) -> list[str]:
    """Return `<file>:<line>: what stands there: what to write`, in order. `files`: texts by path below one folder."""
    modules = {name: _module(text) for name, text in files.items()}
    _follow_imports(modules)
    found: list[str] = []
    for name, module in modules.items():
        if name.rsplit("/", 1)[-1] not in EXEMPT:
            known = frozenset() if name.endswith("sw.js") else maps
            lines = {(node.start_point[0] + 1, said) for node, said in _faults(module, known)}
            found += [f"{name}:{line}: {said}" for line, said in sorted(lines)]
    return found


def parsed(text: str) -> Node:
    """Return the root of a script's syntax tree."""
    return _PARSER.parse(text.encode()).root_node


def nodes_of(node: Node) -> Iterator[Node]:
    """Yield a node and all nodes below it, in reading order."""
    waiting = [node]
    while waiting:
        one = waiting.pop()
        yield one
        waiting += reversed(one.children)


def text_of(node: Node | None) -> str:
    """Return the source text of a node, "" for none."""
    return node.text.decode() if node is not None and node.text is not None else ""


def _module(text: str) -> Module:
    module = Module(parsed(text))
    bound: dict[str, bool] = {}
    for node in nodes_of(module.tree):
        if node.type == "variable_declarator" and (name := node.child_by_field_name("name")) is not None:
            made = _is_made(node.child_by_field_name("value")) and _is_const(node)
            # If a name is bound twice in a file, and one of the two is not a table, the name is not a table.
            bound[text_of(name)] = bound.get(text_of(name), True) and made
        elif node.type in ("formal_parameters", "array_pattern", "object_pattern", "arrow_function"):
            for one in _bound_in(node):
                bound[one] = False
        elif node.type == "import_statement":
            module.imports |= _imported(node)
    module.tables = {name for name, made in bound.items() if made}
    return module


def _bound_in(node: Node) -> Iterator[str]:
    """Yield the names that a pattern or parameter list binds. Patterns inside it come up by themselves."""
    if node.type == "arrow_function":
        parameter = node.child_by_field_name("parameter")
        yield from [text_of(parameter)] if parameter is not None else []
        return
    for child in node.named_children:
        if child.type in ("identifier", "shorthand_property_identifier_pattern"):
            yield text_of(child)
        elif child.type in ("pair_pattern", "assignment_pattern", "object_assignment_pattern", "rest_pattern"):
            last = child.child_by_field_name("value") if child.type == "pair_pattern" else child.named_children[0]
            if last is not None and last.type == "assignment_pattern":
                last = last.named_children[0]
            if last is not None and last.type in ("identifier", "shorthand_property_identifier_pattern"):
                yield text_of(last)


def _is_const(node: Node) -> bool:
    return (
        node.parent is not None
        and node.parent.type == "lexical_declaration"
        and text_of(node.parent.children[0]) == "const"
    )


def _is_made(value: Node | None) -> bool:
    return (
        value is not None
        and value.type == "call_expression"
        and text_of(value.child_by_field_name("function")) in _MAKERS
    )


def _imported(node: Node) -> dict[str, tuple[str, str]]:
    source = text_of(node.child_by_field_name("source")).strip("'\"")
    found: dict[str, tuple[str, str]] = {}
    for one in nodes_of(node):
        if one.type == "import_specifier":
            name, alias = text_of(one.child_by_field_name("name")), text_of(one.child_by_field_name("alias"))
            found[alias or name] = (source, name)
    return found


def _follow_imports(modules: Mapping[str, Module]) -> None:
    own_tables = {name: set(module.tables) for name, module in modules.items()}
    for path, module in modules.items():
        for local, (source, name) in module.imports.items():
            parts = path.split("/")[:-1]
            for step in source.split("/"):
                if step == "..":
                    parts = parts[:-1]
                elif step != ".":
                    parts = [*parts, step]
            if name in own_tables.get("/".join(parts), ()):
                module.tables.add(local)


def _faults(module: Module, maps: frozenset[str]) -> Iterator[tuple[Node, str]]:
    for node in nodes_of(module.tree):
        if node.type == "ERROR" or node.is_missing:
            yield node, "the parser cannot read this: nothing is known of it"
        said = _RULES.get(node.type, lambda *_: None)(node, module, maps)
        if said:
            yield node, said


def _last_name(node: Node | None) -> str:
    while node is not None and node.type == "parenthesized_expression":
        node = node.named_children[0]
    if node is None:
        return ""
    return text_of(node.child_by_field_name("property") if node.type == "member_expression" else node)


def _subscript(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    of, by = node.child_by_field_name("object"), node.child_by_field_name("index")
    if of is None or by is None or _is_sure(by):
        return None
    if _is_made(of) or (of.type == "identifier" and text_of(of) in module.tables):
        return None
    if of.type in ("identifier", "member_expression") and _last_name(of) in maps:
        return None
    return f"{_short(node)}: write own({_short(of)}, {_short(by)}), or .at() for a list"


def _is_sure(by: Node) -> bool:
    """True for a number or text literal, or the outcome of arithmetic."""
    if by.type in ("number", "string") or (by.type == "unary_expression" and text_of(by.children[0]) == "-"):
        return True
    return by.type == "binary_expression" and text_of(by.child_by_field_name("operator")) in _NUMERIC


def _binary(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    left = node.child_by_field_name("left")
    if text_of(node.child_by_field_name("operator")) != "in" or (left is not None and left.type == "string"):
        return None
    return f"{_short(node)}: write Object.hasOwn(...)"


def _for_in(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    is_in = text_of(node.child_by_field_name("operator")) == "in"
    return f"{_short(node)}: write for ... of Object.keys(...)" if is_in else None


def _pattern(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    computed = [
        pair
        for pair in node.named_children
        if pair.type == "pair_pattern" and pair.named_children[0].type == "computed_property_name"
    ]
    return f"{_short(node)}: write own(...)" if computed else None


def _call(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    if text_of(node.child_by_field_name("function")) != "Object.assign":
        return None
    arguments = node.child_by_field_name("arguments")
    sources = arguments.named_children[1:] if arguments is not None else []
    return None if all(one.type == "object" for one in sources) else f"{_short(node)}: write {{...a, ...b}}"


def _word(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    text = text_of(node).strip("'\"")
    return f"{text}: write Object.hasOwn or own(...)" if text in _FORBIDDEN or text == "Reflect" else None


def _declared(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    name, value = node.child_by_field_name("name"), node.child_by_field_name("value")
    return _map_made(text_of(name), value, maps)


def _pair(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    return _map_made(text_of(node.child_by_field_name("key")).strip("'\""), node.child_by_field_name("value"), maps)


def _assigned(node: Node, module: Module, maps: frozenset[str]) -> str | None:
    return _map_made(_last_name(node.child_by_field_name("left")), node.child_by_field_name("right"), maps)


def _map_made(name: str, value: Node | None, maps: frozenset[str]) -> str | None:
    """Return the fault of something named like a map but made of something with a prototype."""
    if name not in maps or value is None or _is_described(value):
        return None
    is_plain = value.type == "object" or text_of(value.child_by_field_name("function")) == "Object.fromEntries"
    return f"{name} is a map: write dict(...)" if is_plain else None


def _is_described(node: Node) -> bool:
    while node.parent is not None:
        node = node.parent
        if node.type == "variable_declarator":
            return text_of(node.child_by_field_name("name")).isupper()
        if node.type in ("arrow_function", "function_declaration"):
            return False
    return False


def _short(node: Node) -> str:
    text = " ".join(text_of(node).split())
    return text if len(text) < 50 else f"{text[:47]}..."


_RULES = {
    "subscript_expression": _subscript,
    "binary_expression": _binary,
    "for_in_statement": _for_in,
    "object_pattern": _pattern,
    "call_expression": _call,
    "property_identifier": _word,
    "identifier": _word,
    "string": _word,
    "variable_declarator": _declared,
    "pair": _pair,
    "assignment_expression": _assigned,
    "augmented_assignment_expression": _assigned,
    "assignment_pattern": _assigned,
    "object_assignment_pattern": _assigned,
}
