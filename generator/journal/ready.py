"""The preparation, as a gate asks for it: what keeps the gate shut, and what opens it again after it was passed.

The same table as site_overrides/phone/journal/ready.js.
"""

from __future__ import annotations

from generator.journal.entries import of_job
from generator.journal.view import View, Why, preparation, same_needs
from generator.tables import RULE_OF_SECTION, SECTIONS, row


def unready(view: View, departs: set[str]) -> list[Why]:
    """Return lists that are not confirmed, and what is missing. Nothing is said of a tool, part or consumable that
    somebody gave a reason to work without."""
    ready = preparation(view)
    whys: list[Why] = []
    for section in SECTIONS:
        missing = [
            name for name in ready[section]["except"] if f"{row(RULE_OF_SECTION, section)}:{name}" not in departs
        ]
        if not ready[section]["confirmed"]:
            whys.append({"code": "ready", "section": section})
        elif missing and section != "values":
            whys.append({"code": "ready", "section": section, "items": missing})
    return whys


def _is_gone(view: View, section: str) -> bool:
    """True if the list was confirmed as it is asked now, and that was taken back, or denied on an older worksheet."""
    told = view.in_job(f"confirm:{section}")
    every = of_job(view.gathered, f"confirm:{section}")
    asked = [entry for entry in every if entry["kind"] == "confirm" and same_needs(view, entry, section)]
    heads = [answer.entry for answer in told.answers]
    denied = any(isinstance(entry["value"].get("except"), list) and entry["value"]["except"] for entry in heads)
    denied = denied and any(entry is other for entry in heads for other in asked)
    return bool(asked) and (told.returned or denied or not any(view.alive(entry) for entry in asked))


def contradicted(view: View, departs: set[str]) -> list[Why]:
    """Return what contradicts the preparation after a gate was passed on it.

    Nobody can pass the gate while something is missing in view, so it was reported later, or on another phone. If the
    worksheet in use now only asks for something else, that contradicts nothing.
    """
    return [why for why in unready(view, departs) if "items" in why or _is_gone(view, why["section"])]
