"""Documents as they were made: frozen dataclasses, kept as canonical JSON with a digest, and read again from that."""

from __future__ import annotations

import hashlib
import json
import types
import typing
from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from engineering.canonical import canonical_json

T = TypeVar("T")


@dataclass(frozen=True)
class Frozen:
    """A document's text and its SHA-256."""

    text: str
    sha256: str


def freeze(document: Any) -> Frozen:
    """A document as canonical JSON: a dataclass, or plain values by name, of texts, decimals, days, moments, tuples."""
    data = canonical_json(_plain(document))
    return Frozen(data.decode(), hashlib.sha256(data).hexdigest())


def thawed(kind: type[T], text: str) -> T:
    """The document that was frozen, or its plain values where ``kind`` is ``dict``.

    A field that the text does not have keeps its default.
    """
    made: T = _value_of(kind, json.loads(text))
    return made


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


_READ: dict[Any, Callable[[Any], Any]] = {
    Decimal: Decimal,
    datetime: datetime.fromisoformat,
    date: date.fromisoformat,
}


def _value_of(kind: Any, value: Any) -> Any:
    origin = get_origin(kind)
    if origin in {types.UnionType, typing.Union}:
        if value is None:
            return None
        return _value_of(next(one for one in get_args(kind) if one is not types.NoneType), value)
    if origin is tuple:
        return tuple(_value_of(get_args(kind)[0], one) for one in value)
    if is_dataclass(kind):
        hints = _hints(typing.cast("type", kind))
        return kind(**{name: _value_of(hints[name], one) for name, one in value.items()})  # type: ignore[operator]
    return _READ[kind](value) if kind in _READ else value
