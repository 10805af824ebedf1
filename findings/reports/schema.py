"""The published form of a record, as JSON Schema (draft 2020-12), made from the record's own types.

``python -m findings.reports.schema`` prints it; ``docs/report-schema.json`` is that print, held equal by a test.
"""

from __future__ import annotations

import json
import re
import types
import typing
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, get_args, get_origin, get_type_hints

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

from findings.reports.record import (
    FORMAT,
    SEVERITIES,
    SORTS,
    URGENCIES,
    VERDICTS,
    ClearFacts,
    CoverageFacts,
    EngineFacts,
    FaultFacts,
    Findings,
    FunctionTestFacts,
    IssueFacts,
    PartFacts,
    ReadingFacts,
    Recommendation,
    Record,
    ScanFacts,
    SettingFacts,
    UnitFacts,
    VisualFacts,
    WorkFacts,
    WorkingFacts,
)

DECIMAL = {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$"}
TIME = {"type": "string", "format": "date-time", "pattern": r"[+-][0-9]{2}:[0-9]{2}$"}
WORDS: dict[tuple[type, str], list[str]] = {
    (FaultFacts, "state"): ["active", "stored", "returned", "not fixed yet", "cleared", "historic"],
    (ReadingFacts, "verdict"): ["in range", "near the limit", "out", "no limits known"],
    (Recommendation, "urgency"): list(URGENCIES),
    (VisualFacts, "severity"): list(SEVERITIES),
    (FunctionTestFacts, "verdict"): list(VERDICTS),
    (SettingFacts, "sort"): list(SORTS),
    (CoverageFacts, "arrival"): ["complete", "partial", "not scanned", ""],
    (CoverageFacts, "after"): ["complete", "partial", "not scanned", ""],
    (CoverageFacts, "other"): ["complete", "partial", ""],
}
ADDED: frozenset[tuple[type, str]] = frozenset(
    {
        (ScanFacts, "corrections"),
        (WorkFacts, "corrections"),
        (ClearFacts, "corrections"),
        (ReadingFacts, "corrections"),
        (ReadingFacts, "by_hand"),
        (Findings, "results"),
        (Findings, "wording"),
        (Findings, "visual"),
        (Findings, "tests"),
        (Findings, "settings"),
        (WorkingFacts, "is_measured"),
        (CoverageFacts, "other"),
        (UnitFacts, "another_unit"),
        (EngineFacts, "unread_since"),
        (EngineFacts, "hours_before"),
        (EngineFacts, "hours_before_at"),
        (PartFacts, "is_fitted"),
        (PartFacts, "condition"),
        (PartFacts, "serial"),
        (PartFacts, "engine"),
        (PartFacts, "hours"),
        (PartFacts, "is_correction"),
    }
)
"""What a record of this format did not say from the beginning: those signed before lack it, and stay of the format."""
PATTERNS: dict[tuple[type, str], str] = {(IssueFacts, "number"): r"^[0-9]+-[0-9]+$"}


@cache
def report_schema() -> dict[str, Any]:
    """The whole schema."""
    definitions: dict[str, Any] = {}
    root = _object(Record, definitions)
    root["properties"]["format"] = {"const": FORMAT}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Condition report",
        **root,
        "$defs": dict(sorted(definitions.items())),
    }


@cache
def _validator() -> Draft202012Validator:
    from jsonschema import Draft202012Validator, FormatChecker

    return Draft202012Validator(report_schema(), format_checker=FormatChecker())


def check(record: bytes) -> None:
    """Refuse a record that is not of the published form.

    Raises:
        jsonschema.ValidationError: it is a defect of the program, not of what was typed.
    """
    _validator().validate(json.loads(record))


def _object(kind: type, definitions: dict[str, Any]) -> dict[str, Any]:
    properties = {}
    for name, hint in get_type_hints(kind).items():
        properties[name] = _value(hint, definitions)
        if (kind, name) in WORDS:
            properties[name] = {"enum": WORDS[kind, name]}
        if (kind, name) in PATTERNS:
            properties[name] = {"type": "string", "pattern": PATTERNS[kind, name]}
    words = re.sub(r"``(\w+)``", r"\1", " ".join((kind.__doc__ or "").split()))
    return {
        "description": words,
        "type": "object",
        "properties": properties,
        "required": [field.name for field in fields(kind) if (kind, field.name) not in ADDED],
        "additionalProperties": False,
    }


def _value(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    origin = get_origin(hint)
    if origin in {types.UnionType, typing.Union}:
        known = next(option for option in get_args(hint) if option is not types.NoneType)
        return {"anyOf": [_value(known, definitions), {"type": "null"}]}
    if origin is tuple:
        return {"type": "array", "items": _value(get_args(hint)[0], definitions)}
    if is_dataclass(hint):
        kind = typing.cast("type", hint)
        if kind.__name__ not in definitions:
            definitions[kind.__name__] = {}
            definitions[kind.__name__] = _object(kind, definitions)
        return {"$ref": f"#/$defs/{kind.__name__}"}
    simple: dict[Any, dict[str, Any]] = {
        str: {"type": "string"},
        int: {"type": "integer"},
        bool: {"type": "boolean"},
        Decimal: DECIMAL,
        datetime: TIME,
        date: {"type": "string", "format": "date"},
    }
    return dict(simple[hint])


def published() -> str:
    """The schema as the file in ``docs/`` has it."""
    return json.dumps(report_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    print(published(), end="")
