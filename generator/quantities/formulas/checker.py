"""Python's tree of a formula -> a checked part: names looked up, kinds worked out, every fault with its place."""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from generator.faults import Fault
from generator.faults import formula as faults
from generator.faults import part as quoted
from generator.place import Place
from generator.quantities.formulas import formula_words, kinds
from generator.quantities.formulas.evaluation import Env, evaluate
from generator.quantities.formulas.functions import CALLED, FUNCTIONS, Made, call
from generator.quantities.formulas.parts import FormulaPart, Tight
from generator.quantities.formulas.scope import FormulaScope, TableKind
from generator.quantities.formulas.syntax import DEEPEST, PARTS, FormulaText
from generator.quantities.nearness import NEAR
from generator.quantities.numbers import exponent_of, finite, plain
from generator.quantities.quantity import Quantity, quantity_in
from generator.quantities.units import KINDS, UNITS, Kind, kind_of, named, shown, truth

TRUTHS = {"yes": True, "no": False}
UNSAID = "unknown"
"""The branch of an if for which the procedure has no figure."""
LARGEST_EXPONENT = 1000
MOST_PARTS = 500
# A temperature is rounded in steps from here, because people round on the scale they read.
ICE = 273.15
_SIGNS: Mapping[type[ast.AST], str] = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Mod: "%", ast.And: "and", ast.Or: "or",
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!=",
}  # fmt: skip
PartOrFault = FormulaPart | Fault | None
"""A part, its fault, or None if one of its own parts has a fault already."""


class Checker:
    """Checks one formula and collects what is wrong in `faults`."""

    def __init__(self, source: FormulaText, scope: FormulaScope) -> None:
        self.source = source
        self.scope = scope
        self.faults: list[Fault] = []

    def part(self, node: ast.expr) -> FormulaPart | None:
        """Return the checked part, or None if it or one of its own parts is wrong."""
        rule = _RULES.get(type(node))
        made = rule(self, node) if rule else faults.FormulaWord(self._at(node), f'"{self.source.of(node)}"', PARTS)
        if isinstance(made, Fault):
            self.faults.append(made)
            return None
        return made

    def _parts(self, nodes: Sequence[ast.expr]) -> list[FormulaPart] | None:
        """Return all checked parts, or None. Each is checked in any case."""
        parts = [self.part(node) for node in nodes]
        whole = [part for part in parts if part]
        return whole if len(whole) == len(parts) else None

    def _at(self, node: ast.expr) -> Place:
        return self.source.at(node.col_offset)

    def _leaf(self, node: ast.expr, tree: Any, kind: Kind, piece: Any, constant: bool = False) -> FormulaPart:
        text = self.source.of(node)
        return FormulaPart(tree, kind, (piece,), Tight.ATOM, text, self._at(node), constant=constant)

    def _made(
        self, node: ast.expr, made: Made | Fault, parts: Sequence[FormulaPart], more: int = 0
    ) -> FormulaPart | Fault:
        """Return a part made of these parts. `more` are nodes and levels that it has besides theirs."""
        if isinstance(made, Fault):
            return made
        size = 1 + more + sum(part.size for part in parts)
        depth = 1 + more + max(part.depth for part in parts)
        if size > MOST_PARTS or depth > DEEPEST:
            what, limit = ("parts", MOST_PARTS) if size > MOST_PARTS else ("levels", DEEPEST)
            return faults.FormulaTooLong(self._at(node), what, limit)
        constant = all(part.constant for part in parts)
        text, place = self.source.of(node), self._at(node)
        return FormulaPart(made.tree, made.kind, made.says.words, made.says.tight, text, place, size, depth, constant)

    # -- leaves --------------------------------------------------------------------------------------------------------

    def _constant(self, node: ast.Constant) -> PartOrFault:
        text = self.source.of(node)
        if isinstance(node.value, str):
            return self._quantity(node)
        number = finite(node.value)
        if number is None:
            return faults.NumberTooLarge(self._at(node), text)
        return self._leaf(node, number, kind_of(""), text, constant=True)

    def _quantity(self, node: ast.expr, bare: bool = False) -> FormulaPart | Fault:
        text = self.source.of(node)[1:-1]
        quantity = quantity_in(self.source, node.col_offset, text, bare)
        if not isinstance(quantity, Quantity):
            return quantity
        return self._leaf(
            node, plain(quantity.base), kind_of(quantity.unit), formula_words.quantity(text), constant=True
        )

    def _name(self, node: ast.Name) -> PartOrFault:
        name, scope = node.id, self.scope
        if name in scope.names:
            return self._leaf(node, ["name", name], scope.names[name], ("name", name))
        if name in TRUTHS:
            return self._leaf(node, TRUTHS[name], truth(), name, constant=True)
        if name == UNSAID:
            return faults.NameIsNoNumber(self._at(node), name, "one branch of  a if c else unknown")
        if name in scope.words_only:
            return faults.NameIsNoNumber(self._at(node), name, scope.words_only[name])
        if name in scope.tables:
            return faults.NameIsNoNumber(self._at(node), name, f"a table, read with interp({name}, x)")
        if name in FUNCTIONS:
            return faults.FunctionAlone(self._at(node), name, FUNCTIONS[name].usage)
        return faults.UnknownName(self._at(node), name, tuple(sorted(scope.names)), name in UNITS)

    # -- signs ---------------------------------------------------------------------------------------------------------

    def _unary(self, node: ast.UnaryOp) -> PartOrFault:
        part = self.part(node.operand)
        if part is None:
            return None
        if isinstance(node.op, ast.Not):
            fault = self._no_truth(part, '"not"')
            return self._made(node, fault or Made(["not", part.tree], truth(), formula_words.negated(part)), [part])
        sign = '"-"' if isinstance(node.op, ast.USub) else '"+"'
        fault = kinds.alone(part, sign)
        if fault or isinstance(node.op, ast.UAdd):
            return fault or part
        tree = plain(0.0 - part.tree) if isinstance(part.tree, int | float) else ["neg", part.tree]
        return self._made(node, Made(tree, part.kind, formula_words.negative(part)), [part])

    def _binary(self, node: ast.BinOp) -> PartOrFault:
        if isinstance(node.op, ast.Pow):
            return self._power(node)
        sign = _SIGNS.get(type(node.op))
        parts = self._parts([node.left, node.right])
        if parts is None or sign is None:
            return None if sign else faults.FormulaWord(self._at(node), f'"{self.source.of(node)}"', PARTS)
        kind = _kind(sign, *parts)
        if isinstance(kind, Fault):
            return kind
        return self._made(node, Made([sign, *_trees(parts)], kind, formula_words.signed(sign, *parts)), parts)

    def _power(self, node: ast.BinOp) -> PartOrFault:
        base = self.part(node.left)
        exponent = exponent_of(node.right)
        if exponent is None or exponent.denominator > 10**9:
            return faults.ExponentNotConstant(self._at(node.right), self.source.of(node.right))
        if abs(exponent) > LARGEST_EXPONENT:
            return faults.NumberTooLarge(self._at(node.right), self.source.of(node.right))
        if base is None:
            return None
        kind = kinds.power_of(base, exponent, '"**"')
        if isinstance(kind, Fault):
            return kind
        tree = ["**", base.tree, plain(float(exponent))]
        return self._made(node, Made(tree, kind, formula_words.power(base, str(exponent))), [base], more=1)

    # -- truths --------------------------------------------------------------------------------------------------------

    def _no_truth(self, part: FormulaPart, where: str) -> Fault | None:
        if part.kind.sort == "truth":
            return None
        example = f"{part.text} > {kinds.example_of(part.kind) or 'x'}" if len(part.text) < 30 else "a > b"
        return faults.NumberForTruth(part.place, part.text, kinds.described(part.kind), where, example)

    def _joined(self, node: ast.BoolOp) -> PartOrFault:
        parts, op = self._parts(node.values), _SIGNS[type(node.op)]
        if parts is None:
            return None
        wrong = [fault for part in parts if (fault := self._no_truth(part, f'"{op}"'))]
        self.faults.extend(wrong[:-1])
        made = Made([op, *_trees(parts)], truth(), formula_words.joined(op, parts))
        return self._made(node, wrong[-1] if wrong else made, parts)

    def _compared(self, node: ast.Compare) -> PartOrFault:
        parts = self._parts([node.left, *node.comparators])
        if parts is None:
            return None
        signs = [_SIGNS[type(op)] for op in node.ops]
        links = list(zip(signs, parts, parts[1:], strict=False))
        for sign, left, right in links:
            fault = kinds.alike(left, right, f'"{sign}"')
            if fault:
                return fault
        trees = [[sign, left.tree, right.tree] for sign, left, right in links]
        tree = trees[0] if len(trees) == 1 else ["and", *trees]
        made = Made(tree, truth(), formula_words.chained(list(zip(signs, parts[1:], strict=True)), parts[0]))
        return self._made(node, made, [*parts, *parts[1:-1]], more=len(links) - 1)

    def _branched(self, node: ast.IfExp) -> PartOrFault:
        arms = [arm for arm in (node.body, node.orelse) if not _is_unsaid(arm)]
        parts = self._parts([node.test, *(arms or [node.orelse])])
        if parts is None:
            return None
        when, *said = parts
        then = self._unsaid(node.body, said[0].kind) if _is_unsaid(node.body) else said[0]
        otherwise = self._unsaid(node.orelse, said[0].kind) if _is_unsaid(node.orelse) else said[-1]
        parts = [when, then, otherwise]
        fault = self._no_truth(when, '"if"')
        if not fault and then.kind != otherwise.kind:
            fault = kinds.alike(then, otherwise, '"if"')
        return self._made(node, fault or Made(["if", *_trees(parts)], then.kind, formula_words.branched(*parts)), parts)

    def _unsaid(self, node: ast.expr, kind: Kind) -> FormulaPart:
        return self._leaf(node, ["unknown"], kind, "not known")

    # -- functions -----------------------------------------------------------------------------------------------------

    def _call(self, node: ast.Call) -> PartOrFault:
        name = self.source.of(node.func)
        function = FUNCTIONS.get(name)
        if function is None:
            self._parts(node.args)
            return faults.UnknownFunction(self._at(node), name, tuple(FUNCTIONS))
        count = len(node.args)
        if count < function.least:
            return faults.WrongArguments(self._at(node), name, _counted(count), function.usage)
        if function.most is not None and count > function.most:
            return faults.WrongArguments(self._at(node.args[function.most]), name, _counted(count), function.usage)
        if name in CALLED:
            parts = self._parts(node.args)
            return self._made(node, call(name, parts), parts) if parts else None
        return _FORMS[name](self, node, name)

    def _rounded(self, node: ast.Call, name: str) -> PartOrFault:
        part = self.part(node.args[0])
        if part is None:
            return None
        if part.kind.sort in ("truth", "date"):
            return kinds.alone(part, name)
        if len(node.args) == 1:
            fault = kinds.wanted(part, kind_of(""), f"{name} without a step takes plain numbers")
            return self._made(
                node, fault or Made([name, part.tree], part.kind, formula_words.called(name, [part])), [part]
            )
        return self._stepped(node, name, part)

    def _stepped(self, node: ast.Call, name: str, part: FormulaPart) -> PartOrFault:
        step = self._step(node.args[1], name, part)
        if isinstance(step, Fault):
            return step
        says = formula_words.stepped(name, part, step.text[1:-1])
        if part.kind.sort != "temperature":
            return self._made(node, Made([name, part.tree, step.tree], part.kind, says), [part, step])
        tree = ["+", [name, ["-", part.tree, ICE], step.tree], ICE]
        return self._made(node, Made(tree, part.kind, says), [part, step], more=4)

    def _step(self, node: ast.expr, name: str, part: FormulaPart) -> FormulaPart | Fault:
        kind = kind_of("K") if part.kind.sort == "temperature" else part.kind
        text = self.source.of(node)
        unclear = faults.StepUnclear(self._at(node), name, text, _step_example(kind))
        if not _is_text(node):
            return unclear
        step = self._quantity(node, bare=kind == kind_of(""))
        if isinstance(step, Fault):
            return step
        return kinds.wanted(step, kind, f"{quoted(part.text)} is {kinds.described(part.kind)}") or (
            step if step.tree > 0 else unclear
        )

    def _interp(self, node: ast.Call, name: str) -> PartOrFault:
        table, x = self.source.of(node.args[0]), self.part(node.args[1])
        if _is_text(node.args[0]):
            return faults.WrongArguments(self._at(node.args[0]), name, "its table in quotes", FUNCTIONS[name].usage)
        kind = self.scope.tables.get(table)
        if kind is None:
            return faults.UnknownTable(self._at(node.args[0]), table, tuple(sorted(self.scope.tables)))
        if x is None:
            return None
        because = f'table "{table}" is read with {kinds.described(kind.x)}'
        fault = kinds.wanted(x, kind.x, because) or self._outside(x, table, kind)
        return self._made(
            node, fault or Made([name, table, x.tree], kind.y, formula_words.read_from(table, x)), [x], more=1
        )

    def _outside(self, x: FormulaPart, name: str, table: TableKind) -> Fault | None:
        slack = NEAR * (table.high - table.low)
        if all(table.low - slack <= at <= table.high + slack for at in self._ends(x)):
            return None
        unit = table.unit or KINDS[named(table.x) or "number"][0]
        low, high = (f"{shown(end, unit)} {unit}".rstrip() for end in (table.low, table.high))
        return faults.OutsideTable(x.place, x.text, name, low, high)

    def _ends(self, x: FormulaPart) -> list[float]:
        """Return the ends of the range that is known before any reading: the constant itself, or the limits of a
        bare reading."""
        if x.constant:
            value = evaluate(x.tree, Env())
            return [value] if isinstance(value, int | float) else []
        limits = self.scope.ranges.get(x.tree[1], ()) if x.tree[0] == "name" else ()
        return [end for end in limits if end is not None]

    def _tolerance(self, node: ast.Call, name: str) -> PartOrFault:
        value = self.source.of(node.args[0])
        if _is_text(node.args[0]):
            return faults.WrongArguments(self._at(node.args[0]), name, "its value in quotes", FUNCTIONS[name].usage)
        if value not in self.scope.tolerances or value not in self.scope.names:
            return faults.NoTolerance(self._at(node.args[0]), value, tuple(sorted(self.scope.tolerances)))
        kind = self.scope.names[value]
        margin = kind if kind.sort == "age" else Kind(kind.dims)
        part = self._leaf(node, ["name", f"{value}.tolerance"], margin, "")
        return self._made(node, Made(part.tree, margin, formula_words.tolerance_of(value)), [part])

    def _needle(self, node: ast.Call, name: str) -> PartOrFault:
        reading = self.source.of(node.args[0])
        if _is_text(node.args[0]):
            return faults.WrongArguments(self._at(node.args[0]), name, "its reading in quotes", FUNCTIONS[name].usage)
        if reading not in self.scope.gauges or reading not in self.scope.names:
            return faults.NoNeedle(self._at(node.args[0]), reading, tuple(sorted(self.scope.gauges)))
        if lacking := self.scope.gauges[reading]:
            return faults.NoDivision(self._at(node.args[0]), reading, lacking)
        kind = self.scope.names[reading]
        width = kind if kind.sort == "age" else Kind(kind.dims)
        part = self._leaf(node, ["needle", reading], width, "")
        return self._made(node, Made(part.tree, width, formula_words.needle_of(reading)), [part])

    def _found(self, node: ast.Call, name: str) -> PartOrFault:
        strange = next((argument for argument in node.args if not _is_text(argument)), None)
        if strange:
            usage = FUNCTIONS[name].usage
            return faults.WrongArguments(
                self._at(strange), name, f"{quoted(self.source.of(strange))} without quotes", usage
            )
        step, outcome = (self.source.of(argument)[1:-1] for argument in node.args)
        outcomes = self.scope.steps.get(step)
        at = [self.source.at(argument.col_offset + 1) for argument in node.args]
        if outcomes is None:
            return faults.NoSuchInspection(at[0], step, tuple(sorted(self.scope.steps)))
        if outcome not in outcomes:
            return faults.OutcomeNeverFound(at[1], step, outcome, outcomes)
        return self._leaf(node, ["found", step, outcome], truth(), ("step", step, outcome))


def _trees(parts: Sequence[FormulaPart]) -> list[Any]:
    return [part.tree for part in parts]


def _kind(sign: str, left: FormulaPart, right: FormulaPart) -> Kind | Fault:
    if sign == "%":
        return kinds.remainder_of(left, right)
    return kinds.sum_of(sign, left, right) if sign in "+-" else kinds.product_of(sign, left, right)


def _is_unsaid(node: ast.expr) -> bool:
    return isinstance(node, ast.Name) and node.id == UNSAID


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _step_example(kind: Kind) -> str:
    name = named(kind)
    return f'"0.1 {KINDS[name][0]}"' if name and name in KINDS and name != "number" else '"0.1"'


def _counted(count: int) -> str:
    return {0: "nothing in its brackets", 1: "one argument"}.get(count, f"{count} arguments")


_FORMS: Mapping[str, Callable[[Checker, ast.Call, str], PartOrFault]] = {
    "round": Checker._rounded,
    "floor": Checker._rounded,
    "ceil": Checker._rounded,
    "interp": Checker._interp,
    "tolerance": Checker._tolerance,
    "needle": Checker._needle,
    "found": Checker._found,
}
_RULES: Mapping[type[ast.AST], Callable[[Checker, Any], PartOrFault]] = {
    ast.Constant: Checker._constant,
    ast.Name: Checker._name,
    ast.UnaryOp: Checker._unary,
    ast.BinOp: Checker._binary,
    ast.BoolOp: Checker._joined,
    ast.Compare: Checker._compared,
    ast.IfExp: Checker._branched,
    ast.Call: Checker._call,
}
