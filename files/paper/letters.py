"""Whether everything that a document says can be printed: no empty box stands in a signed one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from django.conf import settings
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

FACES = re.compile(r"\.\./fonts/([a-z0-9-]+\.ttf)")
MOST_NAMED = 8
AROUND = 20
"""How many characters are shown on either side of one that cannot be printed."""


@lru_cache(maxsize=1)
def printable() -> frozenset[int]:
    """Every character that the fonts for paper have a shape for; those fonts are named in ``paper-fonts.css``."""
    styles = (settings.BASE_DIR / "static" / "css" / "paper-fonts.css").read_text()
    known: set[int] = set()
    for name in FACES.findall(styles):
        with TTFont(settings.BASE_DIR / "static" / "fonts" / name, lazy=True) as font:
            known |= set(font.getBestCmap())
    return frozenset(known)


def lacking_in(text: str) -> list[str]:
    """The characters of a text that no font for paper has, each once, in order. Line ends and joiners need no shape."""
    known = printable()
    return list(
        dict.fromkeys(
            one
            for one in unicodedata.normalize("NFC", text)
            if ord(one) not in known and unicodedata.category(one) not in {"Cc", "Cf"}
        )
    )


def unprintable(facts: dict[str, Any], document: str, *, then: str = "sign") -> str:
    """What of a document's facts cannot be printed, and the words it stands in, in a sentence; empty where all can.

    ``facts`` are plain values under the names of their fields; ``document`` is what the paper is called: "report";
    ``then`` what is done afterwards.
    """
    lacking: dict[str, str] = {}
    for text in _texts(facts):
        for one in lacking_in(text):
            lacking.setdefault(one, text)
    if not lacking:
        return ""
    named = [f"“{_shown(one)}” in “{_around(one, text)}”" for one, text in list(lacking.items())[:MOST_NAMED]]
    more = f" and {len(lacking) - MOST_NAMED} more" if len(lacking) > MOST_NAMED else ""
    letters = any(unicodedata.category(one)[0] in "LMN" for one in lacking)
    way_out = "Write them in another script, such as Latin" if letters else "Leave them out, or say it in words"
    return (
        f"The printed {document} has no characters for {', '.join(named)}{more}, so it would show empty boxes. "
        f"{way_out}, then {then}."
    )


def _shown(character: str) -> str:
    """A character, or its number where nobody can see it."""
    return character if character.isprintable() else f"U+{ord(character):04X}"


def _around(character: str, text: str) -> str:
    """The words around a character, so that a person finds it in what was typed."""
    plain = unicodedata.normalize("NFC", text)
    at = plain.index(character)
    start, end = max(0, at - AROUND), at + 1 + AROUND
    cut = " ".join(plain[start:end].split())
    return f"{'…' if start else ''}{cut}{'…' if end < len(plain) else ''}"


def _texts(value: Any) -> Iterator[str]:
    """Every text of the record."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)
    elif isinstance(value, str):
        yield value
