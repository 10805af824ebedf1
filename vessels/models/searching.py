"""Expressions that the indexes and the searches of this floor share, so that a search always meets its index."""

from __future__ import annotations

from django.contrib.postgres.search import SearchVector
from django.db.models import F, Value
from django.db.models.functions import Replace, Upper

WORDS = "simple"
"""The text search configuration: names are not English, so no word is stemmed or left out."""


def squeezed(field: str) -> Upper:
    """A field in capitals without spaces and hyphens: people write slip B-14 as “b14” as well."""
    return Upper(Replace(Replace(F(field), Value("-"), Value("")), Value(" "), Value("")))


def squeeze(text: str) -> str:
    """The same for what somebody typed."""
    return text.replace("-", "").replace(" ", "").upper()


def words_of(*fields: str) -> SearchVector:
    """The words of some fields, for an index or a search."""
    return SearchVector(*fields, config=WORDS)
