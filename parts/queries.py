"""What is asked about parts. Every way in has its own index."""

# ruff: noqa: S608  (questions are put together from what the program says; what people typed stays a value)
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet
from django.db.models.functions import Upper

from parts.models import Part
from vessels.models.searching import squeeze, squeezed, words_of
from vessels.queries import word_query
from vessels.queries.finding import beginning, word_pattern
from web.rows import rows

PAGE = 50


def find_parts(text: str, *, at_most: int = 20, sold_only: bool = False) -> QuerySet[Part]:
    """Parts whose number begins so, with or without hyphens, or whose description and maker have words that do."""
    return _ordered(_fitting(text, sold_only=sold_only))[:at_most]


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
    SELECT part.id, part.number, part.maker, part.description, part.is_active FROM parts_part part
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


@dataclass(frozen=True)
class Page:
    """A stretch of the catalog. ``before`` and ``after`` are keys of the parts at its ends, where there is more."""

    parts: Sequence[Part]
    before: int | None = None
    after: int | None = None


def catalog_page(
    *, text: str = "", sold_only: bool = True, after: int | None = None, before: int | None = None, size: int = PAGE
) -> Page:
    """One page of the catalog by part number: the first one, or the one after or before the part with that key."""
    parts = _fitting(text, sold_only=sold_only) if text.strip() else Part.objects.all()
    if sold_only:
        parts = parts.filter(is_active=True)
    keyed = parts.annotate(key=Upper("number"))
    key = before or after
    edge = Part.objects.filter(pk=key).first() if key else None
    if edge is None:
        rows = list(keyed.order_by("key", "pk")[: size + 1])
        return Page(rows[:size], after=rows[size - 1].pk if len(rows) > size else None)
    number = edge.number.upper()
    if before:
        earlier = keyed.filter(Q(key__lt=number) | Q(key=number, pk__lt=edge.pk))
        rows = list(earlier.order_by("-key", "-pk")[: size + 1])
        shown = rows[:size][::-1]
        return Page(shown, before=shown[0].pk if len(rows) > size else None, after=shown[-1].pk if shown else None)
    later = keyed.filter(Q(key__gt=number) | Q(key=number, pk__gt=edge.pk))
    rows = list(later.order_by("key", "pk")[: size + 1])
    return Page(rows[:size], before=rows[0].pk if rows else None, after=rows[size - 1].pk if len(rows) > size else None)
