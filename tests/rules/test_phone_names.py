"""No script of the phone looks up a name from outside on an object with a prototype. The rule catches one that does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.support import demo
from tests.support.journals import digest_of
from tests.support.node import node
from tests.support.phone_names import faults, maps_of

SITE = Path(__file__).parents[2] / "site_overrides"
OWN = (SITE / "phone" / "base" / "own.js").read_text()
MAPS = maps_of(OWN)


def served() -> dict[str, str]:
    paths = [*sorted((SITE / "phone").rglob("*.js")), SITE / "sw.js"]
    return {path.relative_to(SITE).as_posix(): path.read_text() for path in paths}


def test_no_script_looks_up_a_name_from_outside_on_an_object_with_a_prototype() -> None:
    assert faults(served(), MAPS) == []


BAD = [
    "const f = (o, k) => o[k];",
    "const f = (o, k) => o?.[k];",
    "const f = (o, k) => o.p[k].q;",
    "const f = (o, k) => { o[k] = 1; };",
    "const f = (o, k) => { o[k] ??= []; };",
    "const f = (o, k) => o[`${k}`];",
    "const f = (o, k) => o['x' + k];",
    "const f = (o, k) => o[k.length];",
    "const f = (o, k) => delete o[k];",
    "const f = (o, k) => k in o;",
    "const f = (o) => { for (const k in o) go(k); };",
    "const f = (o, k) => { const { [k]: found } = o; return found; };",
    "const f = ({ [k]: found }, k) => found;",
    "const f = (o, k) => { let v; ({ [k]: v } = o); return v; };",
    "const f = (o, k) => o.hasOwnProperty(k);",
    "const f = (o, k) => Object.prototype.hasOwnProperty.call(o, k);",
    "const f = (o, k) => Reflect.get(o, k);",
    "const f = (o) => o.__proto__;",
    "const f = (o) => o['__proto__'];",
    "const f = (o, p) => Object.assign(o, p);",
    "const TABLE = { a: 1 }; const f = (k) => TABLE[k];",
    "let t = table({ a: 1 }); const f = (k) => t[k];",
    "const t = table({ a: 1 }); const f = (t, k) => t[k];",
    "const t = table({ a: 1 }); const f = ({ u: t }, k) => t[k];",
    "const f = (k) => ({ a: 1 })[k];",
    "const values = {}; const f = (k) => values[k];",
    "const values = Object.fromEntries(pairs);",
    "const f = (state) => { state.steps = {}; };",
    "const f = ({ values = {} }, k) => values[k];",
    "const state = { steps: {}, open: 0 };",
    "import { T } from './other.js'; const f = (k) => T[k];",
    "const f = (o, k) => { const { ...rest } = o; return rest[k]; };",
    "const = ;",
]


@pytest.mark.parametrize("text", BAD)
def test_the_rule_bites(text: str) -> None:
    assert faults({"phone/a.js": text, "phone/other.js": "export const T = { a: 1 };"}, MAPS)


@pytest.mark.parametrize(
    "text",
    [
        "const f = (list, n) => [list[0], list[n - 1], list.at(n), list['a']];",
        "const T = table({ a: 1 }); const f = (k) => T[k];",
        "const f = (k) => table({ a: 1 })[k];",
        "const f = (state, k) => state.steps[k]?.why;",
        "const values = dict(pairs); const f = (k) => { values[k] = 1; };",
        "import { T as U } from './other.js'; const f = (k) => U[k];",
        "import { own } from './own.js'; const f = (o, k) => own(o, k);",
        "const f = (k, v) => ({ [k]: v });",
        "const f = (o, k) => 'gone' in o && Object.hasOwn(o, k);",
        "const SHAPE = { values: { '*': 'text' } };",
    ],
)
def test_what_is_safe_passes(text: str) -> None:
    assert faults({"phone/a.js": text, "phone/other.js": "export const T = table({ a: 1 });"}, MAPS) == []


def test_the_worker_trusts_no_name_of_a_map() -> None:
    assert faults({"sw.js": "const f = (packs, k) => packs[k];"}, MAPS)
    assert faults({"phone/a.js": "const f = (packs, k) => packs[k];"}, MAPS) == []


NOTHING = {key: "" for key in ("job", "device", "writer", "prev", "at", "who", "step", "part")}

WALK = """
const { parsed, own, dict, table, MAPS } = await import(`${site}/phone/base/own.js`);
const J = await import(`${site}/phone/journal/journal.js`);
const plain = [];
const walk = (value, path) => {
  if (value === null || typeof value !== 'object') return;
  for (const [name, of] of Object.entries(value)) {
    const isObject = of !== null && typeof of === 'object' && !Array.isArray(of);
    const isMap = MAPS.has(name) && !path.endsWith('.ready') && isObject;
    if (isMap && Object.getPrototypeOf(of) !== null) plain.push(`${path}.${name}`);
    if (isMap) maps.add(`${path}.${name}`);
    walk(of, Array.isArray(value) ? path : `${path}.${name}`);
  }
};
const maps = new Set();
const sheet = parsed(given.sheet);
walk(sheet, 'sheet');
const state = J.fold(given.entries, dict([[given.digest, sheet]]));
walk(state, 'state');
const names = ['toString', 'constructor', '__proto__', 'hasOwnProperty', 'valueOf'];
const spare = ['steps', 'items', 'values', 'readings', 'results', 'extras'];
return {
  plain, maps: [...maps].sort(),
  met: spare.flatMap((map) => names.filter((name) => state[map][name] !== undefined)),
  own: names.map((name) => own({}, name)),
  odd: [own(null, 'a'), own({}, {}), own({}, null), own([7], 0), own('text', 'length')],
  proto: [
    own(parsed('{"values": {"__proto__": 1}}').values, '__proto__'),
    own(JSON.parse('{"__proto__": 2}'), '__proto__'),
  ],
  table: names.map((name) => table({ a: 1 })[name] ?? null),
};
"""


def test_the_maps_of_a_state_and_of_a_worksheet_have_no_prototype() -> None:
    sheet = demo.sheet("vee-six")
    mark = digest_of(sheet)
    entries = [
        {"id": "0" * 20, "v": 1, "kind": "start", "sheet": mark, "value": {}, "lamport": 1, "seen": [], **NOTHING}
    ]
    said = node(WALK, {"sheet": json.dumps(sheet), "entries": entries, "digest": mark})
    assert said["plain"] == []
    assert {"sheet.values", "sheet.needs", "sheet.needs.tools", "sheet.units", "state.steps", "state.extras"} <= set(
        said["maps"]
    )
    assert said["met"] == [] and said["own"] == said["table"] == [None] * 5
    assert said["odd"] == [None, None, None, 7, None] and said["proto"] == [1, 2]
