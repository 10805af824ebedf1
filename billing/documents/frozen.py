"""Documents as they were made: frozen dataclasses, kept as canonical JSON with a digest, and read again from that."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any, TypeVar

from engineering.canonical import canonical_json
from engineering.dataclass_json import dataclass_converter, structured

T = TypeVar("T")

_CONVERTER = dataclass_converter()


@dataclass(frozen=True)
class Frozen:
    """A document's text and its SHA-256."""

    text: str
    sha256: str


def freeze(document: Any) -> Frozen:
    """A document as canonical JSON: a dataclass, or plain values by name, of texts, decimals, days, moments, tuples."""
    data = canonical_json(_CONVERTER.unstructure(document))
    return Frozen(data.decode(), hashlib.sha256(data).hexdigest())


def thawed(kind: type[T], text: str) -> T:
    """The document that was frozen, or its plain values where ``kind`` is ``dict``.

    A field that the text does not have keeps its default. Raises ``UnreadableRecord`` where it is of another kind.
    """
    return structured(_CONVERTER, kind, json.loads(text))
