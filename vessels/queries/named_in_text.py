"""Which boats a text names as a whole, by name or HIN. Names are found by their own index; no table is read."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.db.models.functions import Lower

from vessels.models import Vessel

MOST_LINES, MOST_WORDS_OF_A_LINE, MOST_PIECES = 300, 40, 4000
_LONGEST_NAME = 5
"""Words of a boat's name."""
_LEAST_LETTERS = 3
_AROUND = " \t.,;:!?\"'“”‘’„«»()[]{}<>|=*_~-"
_HIN = re.compile(r"[A-Z]{2}-?[A-Z0-9]{3}[A-Z0-9-]{7,12}", re.IGNORECASE)


@dataclass(frozen=True)
class Named:
    """A boat that a text names: how it is written there, and whether that is its HIN."""

    vessel: Vessel
    written: str
    is_hin: bool


@dataclass(frozen=True)
class _Piece:
    line: int
    first: int
    words: int
    text: str


def boats_named(text: str, *, common: Collection[str] = ()) -> list[Named]:
    """The boats whose whole name or HIN stands in the first lines of a text, each once, as they come in it.

    Of names within a longer one only the longer counts. A name of one word counts where it is written with a capital.
    ``common`` are words, in capitals, that such a text has anyway: a name of nothing else is not looked for.
    """
    pieces = [piece for piece in _pieces(text) if _may_be_name(piece.text, common)]
    hins = {re.sub("[^A-Z0-9]", "", found.upper()): found for found in _HIN.findall(_first_lines(text))}
    names = {piece.text.casefold() for piece in pieces}
    if not names and not hins:
        return []
    low = Vessel.objects.alias(low=Lower("name"))
    found: QuerySet[Vessel] = low.filter(Q(low__in=names) | Q(hin__in=hins)).order_by("pk")
    named: dict[int, Named] = {}
    by_name: dict[str, list[Vessel]] = {}
    for vessel in found:
        if vessel.hin and vessel.hin in hins:
            named[vessel.pk] = Named(vessel, hins[vessel.hin], is_hin=True)
        by_name.setdefault(vessel.name.casefold(), []).append(vessel)
    for piece in _longest(piece for piece in pieces if piece.text.casefold() in by_name):
        for vessel in by_name[piece.text.casefold()]:
            named.setdefault(vessel.pk, Named(vessel, piece.text, is_hin=False))
    return list(named.values())


def _first_lines(text: str) -> str:
    return "\n".join(line[:2000] for line in text.splitlines()[:MOST_LINES])


def _pieces(text: str) -> Iterator[_Piece]:
    """Each run of one to five words of a line, without the signs around it, once for each way it is written."""
    written: set[str] = set()
    for number, line in enumerate(_first_lines(text).splitlines()):
        words = line.split()[:MOST_WORDS_OF_A_LINE]
        for first in range(len(words)):
            for length in range(1, min(_LONGEST_NAME, len(words) - first) + 1):
                piece = " ".join(words[first : first + length]).strip(_AROUND)
                if piece and piece not in written:
                    written.add(piece)
                    yield _Piece(number, first, length, piece)
                    if len(written) == MOST_PIECES:
                        return


def _may_be_name(piece: str, common: Collection[str]) -> bool:
    letters = [sign for sign in piece if sign.isalpha()]
    if len(letters) < _LEAST_LETTERS or (" " not in piece and not letters[0].isupper()):
        return False
    return any(word not in common for word in re.findall(r"[^\W\d_]+", piece.upper()))


def _longest(found: Iterator[_Piece]) -> Iterator[_Piece]:
    """Without those that stand inside a longer one."""
    taken: set[tuple[int, int]] = set()
    for piece in sorted(found, key=lambda one: (-one.words, one.line, one.first)):
        places = {(piece.line, place) for place in range(piece.first, piece.first + piece.words)}
        if not places & taken:
            taken |= places
            yield piece
