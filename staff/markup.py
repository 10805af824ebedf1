"""Markup that is put together by the hundred pieces a page.

As ``format_html`` does, and as safe: whatever is not marked as safe is escaped. Only its search for lazy and
self-describing values is left out, which takes longer than the escaping.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from django.utils.safestring import SafeString

NOTHING = SafeString("")


def filled(pattern: str, *values: object) -> SafeString:
    """The pattern, markup of the program's own, with every value in its place."""
    return SafeString(pattern.format(*[value if type(value) is SafeString else escape(str(value)) for value in values]))


def each_filled(pattern: str, rows: Iterable[Iterable[object]]) -> SafeString:
    """The pattern for each row of values, one after the other."""
    return joined(filled(pattern, *row) for row in rows)


def joined(parts: Iterable[SafeString]) -> SafeString:
    """Pieces of markup in one."""
    return SafeString("".join(parts))
