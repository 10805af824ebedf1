"""Parameters found by typing a few letters of a few of their words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from findings.readings.models import Parameter

MOST_FOUND = 12
_WORDS = re.compile(r"[^\W_]+")
_LAST_FIGURE = re.compile(
    r"^(?P<name>.*[^\W\d_].*?)[\s:=]+(?P<value>[-+−]?[0-9.,][0-9.,/]*(?:\s*[^\s0-9]\S*)?|on|off)$", re.I
)


@dataclass(frozen=True)
class Wanted:
    """What was typed to find a parameter: words of its name, and its value where that was typed as well."""

    name: str
    value: str = ""


def wanted_of(text: str) -> Wanted:
    """Of "oil pr 45 psi" the name is "oil pr" and the value "45 psi".

    What ends in a figure may be a name all the same ("Exhaust temperature 2"): ``found_of`` looks for that first.
    """
    words = " ".join(text.replace("\0", "").split())[:120]
    parts = _LAST_FIGURE.match(words)
    return Wanted(parts["name"].strip(), parts["value"]) if parts else Wanted(words)


def found_of(text: str, known: Iterable[Parameter] | None = None) -> tuple[list[Parameter], str]:
    """The parameters that a text may mean, the likeliest first, and the value that was typed behind the name."""
    parameters = list(Parameter.objects.all() if known is None else known)
    whole = matching(" ".join(text.replace("\0", "").split())[:120], parameters)
    wanted = wanted_of(text)
    if whole or not wanted.value:
        return whole, ""
    return matching(wanted.name, parameters), wanted.value


def matching(name: str, known: Iterable[Parameter]) -> list[Parameter]:
    """Those that have all words of a name, each begun at least: the whole name first, then those that begin alike."""
    asked = _folded(name)
    if not asked:
        return []
    found = [(rank, one) for one in known if (rank := _rank(asked, _folded(one.name))) is not None]
    found.sort(key=lambda pair: (pair[0], pair[1].position, pair[1].name))
    return [one for _, one in found[:MOST_FOUND]]


def _folded(text: str) -> list[str]:
    return _WORDS.findall(text.casefold())


def _rank(asked: list[str], words: list[str]) -> int | None:
    """0: the very name; 1: it begins with what was asked, word by word; 2: it has the words somewhere; None: not."""
    if asked == words:
        return 0
    if len(asked) <= len(words) and all(word.startswith(part) for part, word in zip(asked, words, strict=False)):
        return 1
    rest = list(words)
    for part in asked:
        one = next((word for word in rest if word.startswith(part)), None)
        if one is None:
            return None
        rest.remove(one)
    return 2
