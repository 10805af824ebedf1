"""What a command says, spelled in one way, so that the same form sent twice has one digest."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import singledispatch
from typing import Any

from django.db import models

from engineering.canonical import canonical_json


def digest_of(kind: str, said: Mapping[str, Any]) -> str:
    """The SHA-256 of a command's kind and of everything that it was told."""
    return hashlib.sha256(canonical_json({"kind": kind, "said": spelled(said)})).hexdigest()


@singledispatch
def spelled(value: Any) -> Any:
    """A value as canonical JSON takes it: records by their table and key, texts as they are stored."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: spelled(getattr(value, one.name)) for one in fields(value)}
    return value


@spelled.register
def _(value: models.Model) -> str:
    return named(value)


@spelled.register
def _(value: Enum) -> Any:
    return spelled(value.value)


@spelled.register
def _(value: str) -> str:
    return value.replace("\r\n", "\n").strip()


@spelled.register
def _(value: bytes) -> str:
    return hashlib.sha256(value).hexdigest()


@spelled.register
def _(value: float) -> str:
    return repr(value)


@spelled.register
def _(value: Mapping) -> dict[str, Any]:  # type: ignore[type-arg]
    return {str(key): spelled(item) for key, item in value.items()}


@spelled.register
def _(value: AbstractSet) -> list[Any]:  # type: ignore[type-arg]
    return sorted((spelled(item) for item in value), key=canonical_json)


@spelled.register
def _(value: Sequence) -> list[Any]:  # type: ignore[type-arg]
    return [spelled(item) for item in value]


def named(record: models.Model) -> str:
    """A record by its table and key: "vessels.engine:7"."""
    return f"{record._meta.label_lower}:{record.pk}"
