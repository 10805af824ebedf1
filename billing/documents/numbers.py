"""Giving a document its number: one after the other in each series, without a gap."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import connection

from billing.documents.models import NumberSeries


@dataclass(frozen=True)
class Series:
    """A kind of document that is numbered: its name, and what its numbers begin with in a new shop."""

    name: str
    prefix: str
    before_first: int = 1000


def next_number(series: Series) -> str:
    """The next number of a series. Call it inside the transaction that makes the document, and as late as may be.

    Who comes second waits until the first has made its document or given the number back.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("a number is given inside the transaction that makes its document")
    begun = NumberSeries(name=series.name, prefix=series.prefix, last=series.before_first)
    NumberSeries.objects.bulk_create([begun], ignore_conflicts=True)
    row = NumberSeries.objects.select_for_update().get(pk=series.name)
    row.last += 1
    row.save(update_fields=["last"])
    return str(row)
