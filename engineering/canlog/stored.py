"""A summary as JSON whose every value is a string, so that a preview can be stored and come back the same."""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from decimal import Decimal
from functools import cache
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

from engineering.canlog.summary import LogProblem, LogSummary
from engineering.codes import Code, CodeProblem, make_code


def to_json(summary: LogSummary) -> dict[str, Any]:
    """The summary as objects, arrays and strings; what is None is left out."""
    stored: dict[str, Any] = _stored(summary)
    return stored


def from_json(stored: Mapping[str, Any]) -> LogSummary:
    """The summary that :func:`to_json` stored. Raises :class:`LogProblem` for anything else."""
    try:
        summary: LogSummary = _restored(LogSummary, stored)
    except (ArithmeticError, AttributeError, CodeProblem, KeyError, TypeError, ValueError) as problem:
        raise LogProblem("What was stored from this log can no longer be read. Read the log again.") from problem
    return summary


def _stored(value: Any) -> Any:
    if isinstance(value, Code):
        return {"system": value.system.value, "text": value.text}
    if is_dataclass(value) and not isinstance(value, type):
        named = ((field.name, getattr(value, field.name)) for field in fields(value))
        return {name: _stored(content) for name, content in named if content is not None}
    if isinstance(value, tuple):
        return [_stored(content) for content in value]
    return _as_text(value)


def _as_text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat()
    return format(value, "f") if isinstance(value, Decimal) else str(value)


def _restored(kind: Any, stored: Any) -> Any:
    if get_origin(kind) is UnionType:
        (kind,) = (one for one in get_args(kind) if one is not NoneType)
    if get_origin(kind) is tuple:
        return tuple(_restored(get_args(kind)[0], one) for one in _list(stored))
    if kind is Code:
        return make_code(_CODE["system"](stored["system"]), _text(stored["text"]))
    if is_dataclass(kind):
        return _restored_dataclass(kind, stored)
    if kind is bool:
        return {"yes": True, "no": False}[_text(stored)]
    made: Callable[[str], Any] = datetime.fromisoformat if kind is datetime else kind
    return made(_text(stored))


def _restored_dataclass(kind: Any, stored: Any) -> Any:
    hints = _hints(kind)
    if not isinstance(stored, Mapping) or not stored.keys() <= hints.keys():
        raise ValueError("fields")
    values = {name: _restored(hint, stored[name]) for name, hint in hints.items() if name in stored}
    missing = hints.keys() - values.keys()
    if any(NoneType not in get_args(hints[name]) for name in missing):
        raise ValueError("fields")
    return kind(**values, **dict.fromkeys(missing))


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _list(stored: Any) -> list[Any]:
    if not isinstance(stored, list):
        raise TypeError("list")
    return stored


def _text(stored: Any) -> str:
    if not isinstance(stored, str):
        raise TypeError("text")
    return stored


_CODE = _hints(Code)
