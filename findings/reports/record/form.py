"""A record as JSON, and back without loss. Decimals are strings there and times ISO 8601 with the shop's offset."""

from __future__ import annotations

import json
import types
import typing
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from engineering.canonical import plain_decimal
from findings.reports.record.whole import KNOWN_FORMATS, Record

T = typing.TypeVar("T")


def to_json(record: Record) -> bytes:
    """The record as people and programs read it: UTF-8, indented, in the order of the paper."""
    return json.dumps(_plain(record), ensure_ascii=False, indent=1).encode()


def from_json(data: bytes | str) -> Record:
    """The record that ``to_json`` wrote, now or in an older form.

    Raises:
        ValueError: it is not one of a known format.
    """
    facts = json.loads(data)
    if not isinstance(facts, dict) or facts.get("format") not in KNOWN_FORMATS:
        raise ValueError(f"this is not a record of a known format: {', '.join(sorted(KNOWN_FORMATS))}")
    return _typed(Record, facts)


def plain_facts(facts: Any) -> Any:
    """A record or a part of one as plain JSON values."""
    return _plain(facts)


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return plain_decimal(value)
    if isinstance(value, date):
        return value.isoformat()
    return value


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _typed(kind: type[T], value: Any) -> T:
    made: Any = _value_of(kind, value)
    return typing.cast("T", made)


def _value_of(kind: Any, value: Any) -> Any:
    origin = get_origin(kind)
    if origin in {types.UnionType, typing.Union}:
        if value is None:
            return None
        return _value_of(next(option for option in get_args(kind) if option is not types.NoneType), value)
    if origin is tuple:
        return tuple(_value_of(get_args(kind)[0], item) for item in value)
    if is_dataclass(kind):
        hints = _hints(typing.cast("type", kind))
        return kind(**{name: _value_of(hints[name], item) for name, item in value.items()})  # type: ignore[operator]
    reads: dict[Any, typing.Callable[[Any], Any]] = {
        Decimal: Decimal,
        datetime: datetime.fromisoformat,
        date: date.fromisoformat,
    }
    return reads[kind](value) if kind in reads else value
