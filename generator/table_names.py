"""The names that stand in the shared tables, for the type checker. Never edit this file: change generator/tables.py,
then write it anew with `python -m tools.tables`."""

from typing import Literal

EntryKind = Literal[
    "start",
    "correct",
    "adopt",
    "confirm",
    "read",
    "check",
    "finish",
    "settle",
    "skip",
    "not-fitted",
    "refuse",
    "depart",
    "back",
    "not-disturbed",
    "took-off",
    "extra",
    "count",
    "put-back",
    "elapsed",
    "take-back",
    "decline",
    "pass-on",
    "receive",
]
ReturnKind = Literal["back", "take-back"]
StartField = Literal["number", "vehicle", "odometer", "vin", "more"]
SaidField = Literal[
    "number",
    "vehicle",
    "odometer",
    "role",
    "procedure",
    "vin",
    "local",
    "reason",
    "sheet",
    "same",
    "text",
    "unit",
    "margin",
    "source",
    "not_published",
    "sure",
    "second",
    "set",
    "wrench",
    "adapter",
    "new",
    "outcome",
    "note",
    "kept_at",
    "self",
    "permit",
    "despite",
    "instead",
    "with",
    "how",
    "told_by",
    "price",
    "to",
    "label",
    "kind",
    "count",
    "list",
    "approved_by",
    "seconds",
    "why",
]
OdometerUnit = Literal["km", "mi"]
ActionableState = Literal["disputed", "failed", "recheck", "open"]
ClosedState = Literal["done", "hidden", "not-fitted", "refused", "skipped"]
StateName = Literal[
    "disputed",
    "failed",
    "recheck",
    "open",
    "done",
    "hidden",
    "not-fitted",
    "refused",
    "skipped",
    "blocked",
    "waiting",
]
BlockingCode = Literal["after", "hold", "list", "open", "order", "ready"]
DutyField = Literal["takes", "cautions", "opens", "closes", "hold", "gate", "picture"]
WordingField = Literal["do", "why"]
SectionName = Literal["parts", "tools", "consumables", "one_time", "values"]
RuledSection = Literal["parts", "tools", "consumables"]
SourceField = Literal["document", "where"]
GaugeKind = Literal["gauge", "vacuum"]
TimeUnit = Literal["s", "min", "h", "day", "week"]
RecordLimit = Literal["bytes", "lines", "nested"]
RefusalCode = Literal[
    "too-large",
    "too-many",
    "no-record",
    "version",
    "cut-short",
    "damaged",
    "after-end",
    "no-line",
    "nested",
    "not-canonical",
    "sheet",
    "entry",
    "jobs",
    "other-job",
    "empty",
]
