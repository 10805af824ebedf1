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
    """What of a document's facts cannot be printed, and where it stands, in a sentence; empty where all of it can.

    ``facts`` are plain values under the names of their fields; ``document`` is what the paper is called: "report";
    ``then`` what is done afterwards.
    """
    lacking: dict[str, str] = {}
    for where, text in _texts(facts, ""):
        for one in lacking_in(text):
            lacking.setdefault(one, where)
    if not lacking:
        return ""
    named = [f"“{one}” (U+{ord(one):04X}, {where})" for one, where in list(lacking.items())[:MOST_NAMED]]
    more = f" and {len(lacking) - MOST_NAMED} more" if len(lacking) > MOST_NAMED else ""
    return (
        f"The printed {document} has no characters for {', '.join(named)}{more}, so it would show empty boxes. "
        f"Write them in another script, such as Latin, then {then}."
    )


def _texts(value: Any, where: str) -> Iterator[tuple[str, str]]:
    """Every text of the record with the name of the field that holds it."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _texts(inner, f"{where} {name.replace('_', ' ')}".strip() if not where else _below(where, name))
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner, where)
    elif isinstance(value, str):
        yield where, value


def _below(where: str, name: str) -> str:
    return f"{where.split(': ', maxsplit=1)[0]}: {name.replace('_', ' ')}"
