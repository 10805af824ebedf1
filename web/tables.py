"""Tables to keep: CSV (RFC 4180) in UTF-8, as a file."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from datetime import tzinfo
from itertools import islice

from django.http import HttpResponse, StreamingHttpResponse
from django.utils import timezone

CSV = "text/csv; charset=utf-8"
Rows = Iterable[Sequence[str]]
AT_ONCE = 100
"""Rows that are made, written and sent together: one by one, changing over takes a third of the time."""
FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def table(name: str, headings: Sequence[str], rows: Rows) -> HttpResponse:
    """The table, made at once."""
    return HttpResponse(_lines(headings, rows), content_type=CSV, headers=_as_file(name))


def streamed_table(name: str, headings: Sequence[str], rows: Rows) -> StreamingHttpResponse:
    """The table some rows at a time, however long: rows are asked for when the request, and its zone, are gone."""
    return StreamingHttpResponse(_lines(headings, rows), content_type=CSV, headers=_as_file(name))


def in_zone(rows: Rows, zone: tzinfo) -> Iterator[Sequence[str]]:
    """The same rows, made by the clock of that zone, some at a time, also after the request is gone."""
    remaining = iter(rows)
    while True:
        with timezone.override(zone):
            some = list(islice(remaining, AT_ONCE))
        if not some:
            return
        yield from some


def _as_file(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


class _Line:
    """Where the writer writes to: it gives back each line."""

    def write(self, line: str) -> str:
        return line


def _lines(headings: Sequence[str], rows: Rows) -> Iterator[str]:
    writer = csv.writer(_Line())
    yield writer.writerow(headings)
    remaining = iter(rows)
    while some := list(islice(remaining, AT_ONCE)):
        yield "".join(writer.writerow([harmless(cell) for cell in row]) for row in some)


def harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: what could begin one gets an apostrophe before it.

    Source: OWASP, "CSV Injection".
    """
    return f"'{cell}" if cell.startswith(FORMULA_BEGINS) else cell
