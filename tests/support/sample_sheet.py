"""One small worksheet, complete, written by hand: every check-off, gates, holds, a finding, missing values.

Everything in it is invented. The numbers mean nothing.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

from generator.quantities.units import KINDS, table_json

Sheet = dict[str, Any]

SOURCE = {
    "document": "Workshop manual WM-22, 2nd edition",
    "where": "section 4, page 118",
    "read": "2026-10-02",
    "by": "KS",
    "checked_by": "RT",
}


def canonical(thing: object) -> str:
    return json.dumps(thing, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def digest(thing: object) -> str:
    return hashlib.sha256(canonical(thing).encode()).hexdigest()


def value(label: str, kind: str, text: str | None, rank: str = "critical", **more: Any) -> dict[str, Any]:
    return {
        "label": label,
        "kind": kind,
        "class": rank,
        "text": text,
        "missing": None if text else "the engine sheet does not list it",
        "source": SOURCE if text else None,
        "count": None,
        "reuse": None,
        "passes": [],
        "order": [],
        "tolerance": None,
        "thread": None,
        "number": None,
        "margin": None,
        "units": [],
        **more,
    }


VALUES = {
    "drain_time": value("Draining time", "time", "20 min"),
    "cover_bolts": value(
        "Lower cover bolts", "torque", "9 N.m", "ordinary", count=6, passes=["9 N.m"], reuse="yes", thread="M6x1.0"
    ),
    "tensioner_bolts": value(
        "Tensioner bolts",
        "torque",
        "12 N.m then 90 deg",
        count=2,
        passes=["12 N.m", "90 deg"],
        order=[1, 2],
        reuse="no",
        tolerance="10 %",
        thread="M8x1.25",
    ),
    "idler_bolt": value("Idler bolt", "torque", None, count=1, reuse="ask", thread="M10x1.25"),
    "turns": value("Turns by hand", "count", "2"),
    "turn_direction": value("Direction of turning", "direction", "clockwise, seen from the belt side"),
    "jiggle_pin": value("Where the jiggle pin stands", "orientation", None),
    "coolant": value("Coolant specification", "coolant", "CS-7 premix, 50 %"),
    "hose_clamps": value("Hose clamps", "torque", None, "clip", count=2),
}


def caution(level: str, hazard: str, harm: str, avoid: str) -> dict[str, str]:
    return {"level": level, "hazard": hazard, "harm": harm, "avoid": avoid}


def step(path: str, stage: int, do: list[Any], check: dict[str, Any], **more: Any) -> dict[str, Any]:
    made: dict[str, Any] = {
        "path": path,
        "stage": stage,
        "do": do,
        "why": None,
        "words": {},
        "cautions": [],
        "check": check,
        "opens": [],
        "closes": [],
        "hold": False,
        "gate": None,
        "when": [],
        "after": [],
        "if_failed": None,
        "leave": "own",
        "may_refuse": False,
        "landmark": None,
        "catches": [],
        "uses": [],
        "takes": [],
        "shows": [],
        "holds": [],
        "values": [node["v"] for node in do if isinstance(node, dict) and "v" in node],
        "decides": False,
        "picture": None,
        "was": [],
        "completion": False,
        **more,
    }
    if check["kind"] in ("tighten", "wait", "turn") and check["value"] not in made["values"]:
        made["values"].append(check["value"])
    duty = {key: made[key] for key in ("cautions", "check", "opens", "closes", "hold", "gate", "picture")}
    made["duty"] = digest([duty, [VALUES[name] for name in made["values"]]])
    made["wording"] = digest([made["do"], made["why"]])
    return made


def tick(hold_down: bool = False) -> dict[str, Any]:
    return {"kind": "tick", "hold_down": hold_down}


def tighten(name: str, item: str | None = None, list_: str | None = None) -> dict[str, Any]:
    """Return parts as the worksheet has them: by pass and bolt if critical, by pass if ordinary."""
    data = VALUES[name]
    passes = data["passes"] or [data["text"]]
    count = data["count"] or 1
    if data["class"] == "critical":
        parts = [
            {"id": f"{p}.{b}", "label": f"Bolt {b}, pull {p}" if len(passes) > 1 else f"Bolt {b}", "target": target}
            for p, target in enumerate(passes, 1)
            for b in range(1, count + 1)
        ]
    elif data["class"] == "ordinary":
        parts = [
            {"id": str(p), "label": f"All {count}, pull {p}" if len(passes) > 1 else f"All {count}", "target": target}
            for p, target in enumerate(passes, 1)
        ]
    else:
        parts = [{"id": "1", "label": f"All {count} seated", "target": None}]
    return {"kind": "tighten", "value": name, "fastener": data["class"], "list": list_, "item": item, "parts": parts}


def outcomes(**labels: str) -> list[dict[str, Any]]:
    """`good="Aligned", bad_off="One tooth off"`: a name that begins with bad_ fails."""
    return [
        {"name": name.removeprefix("bad_").replace("_", "-"), "label": label, "fails": name.startswith("bad_")}
        for name, label in labels.items()
    ]


def inspect(**labels: str) -> dict[str, Any]:
    return {"kind": "inspect", "outcomes": outcomes(**labels)}


STAGES = [
    {"id": "stop", "title": "First stop and make safe", "order": "kept", "why": None, "cautions": []},
    {"id": "strip", "title": "Drain and strip", "order": "any", "why": None, "cautions": []},
    {
        "id": "timing",
        "title": "Timing position and belt",
        "order": "absolute",
        "why": ["One tooth off and the valves meet the pistons."],
        "cautions": [
            caution(
                "notice",
                "A cam can jump when the belt goes slack.",
                "Valves and pistons meet and bend.",
                "Leave the locking tool in until the step that takes it out.",
            )
        ],
    },
    {"id": "close", "title": "Close up and refill", "order": "any", "why": None, "cautions": []},
    {"id": "hand-over", "title": "Start and hand over", "order": "kept", "why": None, "cautions": []},
]

STEPS = [
    step(
        "first-stop",
        0,
        ["Look for orange cables and a second battery. Is there any voltage above 12 V on this car?"],
        inspect(none="12 V only", bad_high="High voltage or 48 V"),
        hold=True,
        leave="never",
        cautions=[
            caution(
                "danger",
                "A high-voltage system stays live with the 12 V battery off.",
                "It can kill.",
                "Do not use this worksheet on such a car.",
            )
        ],
        if_failed={
            "when": "there is any voltage above 12 V",
            "outcomes": ["high"],
            "back_to": None,
            "disturbs": [],
            "say": "Stop here. This worksheet is not for this car.",
        },
    ),
    step(
        "windows",
        0,
        ["Open the driver's window and the boot."],
        tick(),
        why=["They may not open with the battery off."],
    ),
    step(
        "battery-off",
        0,
        ["Take the earth clamp off the battery and cover the post."],
        tick(),
        opens=[{"what": "battery", "count": 1}],
        uses=["spanner_10"],
    ),
    step(
        "strip-down",
        0,
        ["Check that everything is here before the first bolt."],
        tick(),
        hold=True,
        leave="never",
        gate={"for": "strip-down", "kinds": [], "lists": [], "ready": True},
    ),
    step(
        "drain",
        1,
        ["Open the drain and let the coolant run out for ", {"v": "drain_time"}, "."],
        {
            "kind": "wait",
            "value": "drain_time",
            "seconds": 1200,
            "every": None,
            "every_value": None,
            "watch": None,
            "say": "Let it drain",
        },
        opens=[{"what": "coolant_in", "count": 1}],
        uses=["tray"],
        leave="lead",
        cautions=[
            caution(
                "warning", "Hot coolant is under pressure.", "It scalds.", "Open the cap only when the hose is cold."
            )
        ],
    ),
    step(
        "cover-off",
        1,
        ["Take off the lower cover. Count the bolts into the tray."],
        tick(),
        opens=[{"what": "cover_bolts", "count": 6}],
        after=["strip-down"],
    ),
    step(
        "hoses-off",
        1,
        ["Pull the two hoses off the thermostat housing."],
        tick(),
        opens=[{"what": "hoses", "count": 2}],
        after=["drain"],
    ),
    step(
        "as-found",
        2,
        ["Photograph the marks as found, square on."],
        {"kind": "photo", "label": "Marks as found"},
        why=["It is the only proof of how the car came in."],
    ),
    step(
        "lock",
        2,
        ["Push the locking tool into the crank until it is home."],
        tick(hold_down=True),
        opens=[{"what": "crank_lock", "count": 1}],
        uses=["crank_lock"],
        landmark="locked",
        words={"locking tool": "A pin or plate that holds the crank in one position. It is never a counter-hold."},
        cautions=[
            caution(
                "caution",
                "The tool is not made to hold against a bolt.",
                "It snaps, and the hand goes into the edge.",
                "Use the counter-hold for every bolt.",
            )
        ],
    ),
    step(
        "tensioner",
        2,
        ["Fit the tensioner with new bolts and tighten them in order."],
        tighten("tensioner_bolts"),
        takes=["tensioner"],
        leave="lead",
    ),
    step("idler", 2, ["Fit the idler and tighten its bolt."], tighten("idler_bolt"), takes=["idler"], leave="lead"),
    step(
        "belt-on",
        2,
        ["Lay the belt on, slack on the tensioner's side last."],
        tick(),
        opens=[{"what": "timing_proof", "count": 1}],
        takes=["belt"],
        landmark="belt-on",
    ),
    step(
        "lock-out",
        2,
        ["Take the locking tool out and hang it on its hook."],
        tick(),
        closes=[{"what": "crank_lock", "count": None}],
    ),
    step(
        "two-turns",
        2,
        ["Turn the crank ", {"v": "turns"}, " full turns by hand, ", {"v": "turn_direction"}, "."],
        {"kind": "turn", "value": "turns", "count": 2},
        hold=True,
        leave="never",
        gate={"for": "hand-turn", "kinds": ["pin", "locking-tool"], "lists": [], "ready": False},
        cautions=[
            caution(
                "notice",
                "Any hard stop is a valve on a piston.",
                "The engine is lost.",
                "Stop at once and go back; never pull harder.",
            )
        ],
    ),
    step(
        "marks",
        2,
        ["Look at the sprocket marks, square on."],
        inspect(aligned="All marks meet", bad_off="A mark is off"),
        hold=True,
        leave="never",
        closes=[{"what": "timing_proof", "count": None}],
        decides=True,
        if_failed={
            "when": "a mark is off",
            "outcomes": ["off"],
            "back_to": "lock",
            "disturbs": ["lock", "belt-on", "lock-out", "two-turns"],
            "say": "The belt comes off again.",
        },
    ),
    step(
        "second-look",
        2,
        ["Let somebody else look at the marks."],
        {"kind": "sign", "of": ["marks"], "self_check_after": 600},
        leave="lead",
    ),
    step(
        "seal",
        3,
        ["Look at the crank seal with a torch."],
        inspect(dry="Dry", wet="Wet"),
        decides=True,
        may_refuse=True,
    ),
    step(
        "seal-new", 3, ["Fit a new crank seal."], tick(), when=[{"step": "seal", "outcomes": ["wet"]}], takes=["seal"]
    ),
    step(
        "thermostat",
        3,
        ["Set the thermostat in its housing, ", {"v": "jiggle_pin"}, "."],
        tick(),
        words={"jiggle pin": "The small loose rivet that lets air out of the thermostat while the system fills."},
    ),
    step(
        "hoses-on",
        3,
        ["Push both hoses home and seat the clamps."],
        tighten("hose_clamps", item="hoses"),
        closes=[{"what": "hoses", "count": None}],
        after=["thermostat"],
    ),
    step(
        "cover-on",
        3,
        ["Fit the lower cover and tighten its bolts."],
        tighten("cover_bolts", item="cover_bolts", list_="covers"),
        closes=[{"what": "cover_bolts", "count": None}],
    ),
    step(
        "refill",
        3,
        ["Fill with ", {"v": "coolant"}, ". Note how much went in."],
        {"kind": "measure", "reading": "filled", "against": None},
        closes=[{"what": "coolant_in", "count": None}],
        takes=["coolant"],
        after=["hoses-on"],
    ),
    step(
        "start-gate",
        4,
        ["Walk round once: nothing left in, nothing left loose."],
        tick(hold_down=True),
        hold=True,
        leave="never",
        gate={
            "for": "starter",
            "kinds": ["pin", "locking-tool", "plug", "rag", "tool", "turning-bar", "proof", "fluid"],
            "lists": ["covers", "bay"],
            "ready": False,
        },
    ),
    step(
        "battery-on",
        4,
        ["Put the earth clamp back and tighten it."],
        tick(),
        closes=[{"what": "battery", "count": None}],
    ),
    step("done", 4, ["The car is ready to be handed over."], tick(), completion=True, leave="never"),
]

ITEMS = {
    "battery": {"kind": "battery", "label": "Battery earth clamp", "list": None, "count": 1},
    "coolant_in": {"kind": "fluid", "label": "Coolant", "list": None, "count": 1},
    "cover_bolts": {"kind": "bolt", "label": "Lower cover bolts", "list": "covers", "count": 6},
    "hoses": {"kind": "hose", "label": "Thermostat hoses", "list": None, "count": 2},
    "crank_lock": {"kind": "locking-tool", "label": "Crank locking tool", "list": None, "count": 1},
    "timing_proof": {"kind": "proof", "label": "Proof of the timing", "list": None, "count": 1},
}


FILLED = {"label": "Coolant filled", "kind": "volume", "unit": "L", "units": list(KINDS["volume"]), "from": 0, "to": 20}


def sample_sheet() -> Sheet:
    """Return a fresh copy, as read from sheet.json."""
    sheet = {
        "v": 1,
        "worksheet": "belt-service-four",
        "procedure": "belt-service",
        "title": "Timing belt service",
        "revision": 3,
        "engine": {
            "id": "four",
            "title": "Inline four, 1.6 l, belt driven",
            "revision": 2,
            "facts": {"tensioner": "hydraulic"},
        },
        "shop": {
            "id": "demo",
            "title": "Quayside Garage",
            "odometer": "km",
            "people": [
                {"initials": "KS", "name": "Kim Sandberg", "role": "tech"},
                {"initials": "LM", "name": "Lou Marten", "role": "apprentice"},
                {"initials": "RT", "name": "Robin Thal", "role": "lead"},
            ],
            "units": {},
        },
        "stages": STAGES,
        "steps": STEPS,
        "values": VALUES,
        "readings": {"filled": FILLED},
        "results": [],
        "tables": {},
        "givens": {},
        "units": table_json(["volume"]),
        "items": ITEMS,
        "needs": {
            "parts": {
                "belt": {"label": "Timing belt", "number": "99/001", "count": 1, "one_time": False},
                "tensioner": {"label": "Hydraulic tensioner", "number": "99/002", "count": 1, "one_time": False},
                "idler": {"label": "Idler", "number": None, "count": 1, "one_time": False},
                "seal": {"label": "Crank seal", "number": None, "count": 1, "one_time": True},
            },
            "tools": {
                "spanner_10": {"label": "Spanner, 10 mm"},
                "crank_lock": {"label": "Crank locking tool"},
                "tray": {"label": "Drain tray, 10 l"},
            },
            "consumables": {"coolant": {"label": "Coolant, 8 l premix"}},
            "one_time": {"tensioner_bolts": {"label": "Tensioner bolts, new", "count": 2}},
            "values": ["idler_bolt", "jiggle_pin"],
        },
        "budget": {"taps": 40, "holds": 3, "photos": 1},
    }
    copy: Sheet = json.loads(canonical(sheet))
    return copy
