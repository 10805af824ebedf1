"""Expressions that the indexes and the searches of this floor share, so that a search always meets its index."""

from __future__ import annotations

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.search import SearchVector, SearchVectorField
from django.db.models import F, Func, Model, TextField, Value
from django.db.models.functions import Replace, Right, Upper

WORDS = "simple"
"""The text search configuration: names are not English, so no word is stemmed or left out."""


def squeezed(field: str) -> Upper:
    """A field in capitals without spaces and hyphens: people write slip B-14 as “b14” as well."""
    return Upper(Replace(Replace(F(field), Value("-"), Value("")), Value(" "), Value("")))


def squeeze(text: str) -> str:
    """The same for what somebody typed."""
    return text.replace("-", "").replace(" ", "").upper()


def inner_parts(field: str, longest: int, shortest: int) -> Func:
    """The ends of a text, from the longest to the shortest, to look up what stands inside it by its beginning."""
    ends = [Right(field, length) for length in range(longest, shortest - 1, -1)]
    listed = Func(*ends, template="ARRAY[%(expressions)s]", output_field=ArrayField(TextField()))
    filled = Func(listed, Value(""), function="array_remove", output_field=ArrayField(TextField()))
    return Func(filled, function="array_to_tsvector", output_field=SearchVectorField())


def words_of(*fields: str) -> SearchVector:
    """The words of some fields, for an index or a search."""
    return SearchVector(*fields, config=WORDS)


def keep_keys(spelling: Model) -> None:
    """Write the keys of a record's names in place of those it had, in one statement."""
    record = spelling._meta.pk.name
    type(spelling)._default_manager.bulk_create(
        [spelling], update_conflicts=True, unique_fields=[record], update_fields=["keys"]
    )
