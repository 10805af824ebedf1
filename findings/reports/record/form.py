"""A record as JSON, and back without loss. Decimals are strings there and times ISO 8601 with the shop's offset."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from typing import Any

from engineering.canonical import plain_decimal
from engineering.dataclass_json import dataclass_converter, structured
from findings.reports.record.whole import KNOWN_FORMATS, Record

_CONVERTER = dataclass_converter()
_CONVERTER.register_unstructure_hook(Decimal, plain_decimal)
_CONVERTER.register_unstructure_hook(date, lambda day_or_moment: day_or_moment.isoformat())


def to_json(record: Record) -> bytes:
    """The record as people and programs read it: UTF-8, indented, in the order of the paper."""
    return json.dumps(plain_facts(record), ensure_ascii=False, indent=1).encode()


def from_json(data: bytes | str) -> Record:
    """The record that ``to_json`` wrote, now or in an older form.

    Raises:
        ValueError: it is not one of a known format.
    """
    facts = json.loads(data)
    if not isinstance(facts, dict) or facts.get("format") not in KNOWN_FORMATS:
        raise ValueError(f"this is not a record of a known format: {', '.join(sorted(KNOWN_FORMATS))}")
    return structured(_CONVERTER, Record, facts)


def plain_facts(facts: Any) -> Any:
    """A record or a part of one as plain JSON values."""
    return _CONVERTER.unstructure(facts)
