"""What is asked about parts. Every way in has its own index."""

# ruff: noqa: S608  (questions are put together from what the program says; what people typed stays a value)
from __future__ import annotations

from typing import Any, NamedTuple

from django.db.models import QuerySet
from django.db.models.functions import Upper

from parts.models import Part
from vessels.models.searching import squeeze, squeezed, words_of
from vessels.queries import word_query
from vessels.queries.finding import beginning, word_pattern
from web.rows import rows

PAGE = 50
BY_NUMBER = Upper("number")
"""The order of the catalog."""


def find_parts(text: str, *, at_most: int = 20, sold_only: bool = False) -> QuerySet[Part]:
    """Parts whose number begins so, with or without hyphens, or whose description and maker have words that do."""
    return _ordered(_fitting(text.replace("\0", ""), sold_only=sold_only))[:at_most]


class FoundPart(NamedTuple):
    """A part as the search shows it."""

    pk: int
    number: str
    maker: str
    description: str
    is_active: bool


_TIGHT = "upper(replace(replace(part.number, '-', ''), ' ', ''))"
_NUMBERED = f"SELECT part.id FROM parts_part part WHERE {_TIGHT} ~>=~ %(tight)s AND {_TIGHT} ~<~ %(tight_end)s"
_DESCRIBED = """
    SELECT part.id FROM parts_part part
    WHERE to_tsvector('simple', COALESCE(part.description, '') || ' ' || COALESCE(part.maker, ''))
          @@ to_tsquery('simple', %(words)s)
"""
_FOUND = """
    SELECT part.id AS pk, part.number, part.maker, part.description, part.is_active FROM parts_part part
    WHERE part.id = ANY(ARRAY({ways})) ORDER BY upper(part.number), part.id LIMIT %(most)s
"""


def found_parts(text: str, *, sign: str, at_most: int) -> list[FoundPart]:
    """The same for the search box: ``sign`` is what of the text can be a number."""
    tight, words = squeeze(sign), word_pattern(text)
    if not tight:
        return []
    asked: dict[str, Any] = {**beginning("tight", tight), "most": at_most}
    ways = _NUMBERED
    if words is not None:
        asked["words"] = words
        ways += f" UNION {_DESCRIBED}"
    return rows(FoundPart, _FOUND.format(ways=ways), asked)


def _fitting(text: str, *, sold_only: bool) -> QuerySet[Part]:
    parts = Part.objects.filter(is_active=True) if sold_only else Part.objects.all()
    tight = squeeze(text)
    if not tight:
        return parts.none()
    ways = Part.objects.annotate(tight=squeezed("number")).filter(tight__startswith=tight).order_by().values_list("pk")
    words = word_query(text)
    if words is not None:
        described = Part.objects.annotate(words=words_of("description", "maker")).filter(words=words)
        ways = ways.union(described.order_by().values_list("pk"))
    return parts.filter(pk__in=ways)


def _ordered(parts: QuerySet[Part]) -> QuerySet[Part]:
    return parts.alias(key=Upper("number")).order_by("key", "pk")


def catalog(*, text: str = "", sold_only: bool = True) -> QuerySet[Part]:
    """The parts of the catalog that fit, not yet ordered or cut."""
    parts = _fitting(text, sold_only=sold_only) if text.strip() else Part.objects.all()
    return parts.filter(is_active=True) if sold_only else parts
