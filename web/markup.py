"""The only place where text becomes markup: whatever is put into a pattern here is escaped, once.

Everywhere else markup is a ``SafeString`` that these functions gave, or what a template drew. ``tests/look`` refuses
``mark_safe``, ``SafeString(…)``, ``escape``, ``|safe`` and tags within f-strings outside of this module, and a pattern
that is not written out where it is used: a text that somebody typed cannot become markup by mistake.

As ``format_html`` does, and as safe. Only its search for lazy and self-describing values is left out, which takes
longer than the escaping: pages put markup together by the hundred pieces.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

from django.utils.safestring import SafeString

NOTHING = SafeString("")


def _safely(value: object) -> str:
    kind = type(value)
    if kind is SafeString:
        return value  # type: ignore[return-value]
    return str(value) if kind is int or kind is float else escape(str(value))  # no number has a sign of markup


def filled(pattern: str, *values: object) -> SafeString:
    """The pattern, markup of the program's own, with every value in its place."""
    return SafeString(pattern.format(*[_safely(value) for value in values]))


def each_filled(pattern: str, rows: Iterable[Iterable[object]]) -> SafeString:
    """The pattern for each row of values, one after the other."""
    return joined(filled(pattern, *row) for row in rows)


def joined(parts: Iterable[str]) -> SafeString:
    """Pieces of markup in one; what is only text is escaped."""
    return SafeString("".join([_safely(part) for part in parts]))


def attributes(pairs: Mapping[str, object]) -> SafeString:
    """Attributes of an element, each with a space before it; True stands alone, False is left out."""
    return SafeString(
        "".join(
            [
                f" {_safely(name)}" if value is True else f' {_safely(name)}="{_safely(value)}"'
                for name, value in pairs.items()
                if value is not False
            ]
        )
    )


def picture_of_a_library(svg: str) -> SafeString:
    """An SVG that a library drew and that holds nothing but its shapes: a QR code."""
    return SafeString(svg)
