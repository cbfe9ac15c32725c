"""Works out results one after the other, each with its verdict. The same table as phone/quantities/results.js."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from generator.canonical import Json
from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.quantities.units import to_base
from generator.sheet_types import LimitJson, ResultJson, TableJson
from generator.worksheet import Tree

GOOD = "good"


def work_out(
    results: Sequence[ResultJson],
    names: Mapping[str, float],
    found: Mapping[str, str],
    tables: Mapping[str, TableJson],
) -> dict[str, Json]:
    """What each result of a worksheet comes to: {base, needs, because, limit, verdict, bad, known, against?}.

    `results`, `tables`: as in sheet.json; each result after those it needs. `names`: what is known, in base units.
    `found`: path of a step -> its outcome. `base` is None while it is not known.
    `against`: the figures that it is compared with, where the worksheet lists them; None while one is not known.
    """
    known: dict[str, Any] = dict(names)
    env = Env(known, found, {name: table["rows"] for name, table in tables.items()})
    worked = {result["name"]: _one(result, known, env) for result in results}
    for result in results:
        if result.get("against") is not None:
            worked[result["name"]]["against"] = [_figure(tree, env) for tree in result["against"]]
    return worked


def given_figures(group: Mapping[str, Any]) -> dict[str, tuple[float, str]]:
    """Return what a worksheet, or a calculator's group, states before anything is read: its values, their tolerances
    and what the shop gives, each as a number and its unit."""
    figures: dict[str, tuple[float, str]] = {}
    for name, value in group["values"].items():
        for of, number in ((name, value.get("number")), (f"{name}.tolerance", value.get("margin"))):
            if number is not None:
                figures[of] = number["number"], number["unit"]
    for name, given in group["givens"].items():
        if given["number"] is not None:
            figures[name] = given["number"], given["unit"]
    return figures


def given_beforehand(group: Mapping[str, Any]) -> dict[str, float]:
    """Return the same in base units."""
    return {name: to_base(*figure) for name, figure in given_figures(group).items()}


def work_out_all(
    group: Mapping[str, Any], names: Mapping[str, float], found: Mapping[str, str]
) -> tuple[Json, dict[str, float]]:
    """Return every result of a worksheet or a group, and all names. If nobody gave a value, the result that fills it
    does, as on the phone."""
    known = dict(names)
    states = work_out(group["results"], known, found, group["tables"])
    for result in group["results"]:
        state = states[result["name"]]
        if result["fills"] not in (None, *known) and state["known"] and not state["bad"]:
            return work_out_all(group, {**known, result["fills"]: state["base"]}, found)
    return states, known


def with_unit(text: str, unit: str) -> str:
    """Return a figure with its unit; a date and a plain number have none."""
    return text if unit in ("", "date") else f"{text} {unit}"


def _one(result: ResultJson, known: dict[str, Any], env: Env) -> Json:
    worth = evaluate(result["tree"], env)
    known[result["name"]] = worth
    unknown = worth if isinstance(worth, Unknown) else None
    limit, doubt = (None, unknown) if unknown else _limit(result["limits"], env)
    said = result["limits"][limit] if limit is not None else None
    good = GOOD if result["limits"] and not doubt else None
    lacking = unknown or doubt
    return {
        "base": None if unknown else worth,
        "needs": list(lacking.needs) if lacking else [],
        "because": list(lacking.because) if lacking else [],
        "limit": limit,
        "verdict": said["verdict"] if said else good,
        "bad": bool(said and said["bad"]),
        "known": not lacking,
    }


def _figure(tree: Tree, env: Env) -> float | None:
    """Return what a result is compared with; None while that is not known."""
    worth = evaluate(tree, env)
    return None if isinstance(worth, Unknown | bool) else worth


def _limit(limits: Sequence[LimitJson], env: Env) -> tuple[int | None, Unknown | None]:
    """Return the number of the first limit that is true. Nothing after a limit that is not known counts."""
    for number, limit in enumerate(limits):
        true = True if limit["when"] is None else evaluate(limit["when"], env)
        if isinstance(true, Unknown):
            return None, true
        if true is True:
            return number, None
    return None, None
