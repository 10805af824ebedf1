"""Meanings of generic P0, P2 and U0 codes that an engine on a boat can have, in our own words.

The rows are in plain text files under ``meanings``, one for each subsystem; each file's head says where its rows come
from. They are read when the first code is asked for. A row says what a unit saw; causes and remedies are the maker's.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

_FOLDER = Path(__file__).with_name("meanings")


@dataclass(frozen=True, slots=True)
class GenericMeaning:
    """What one code says: ``words`` on one line, the ``subsystem`` that it is about, the ``source`` of the words."""

    words: str
    subsystem: str
    source: str


def generic_meaning(text: str) -> GenericMeaning | None:
    """What a code without failure type, such as "P0217", says on every make; None where no meaning is known here."""
    return all_meanings().get(text)


@cache
def all_meanings() -> dict[str, GenericMeaning]:
    """Every meaning by its code. Raises ValueError for a file that is not of this form."""
    found: dict[str, GenericMeaning] = {}
    for path in sorted(_FOLDER.glob("*.txt")):
        head, _, body = path.read_text(encoding="utf-8").partition("\n\n")
        said = dict(line.split(": ", 1) for line in head.splitlines())
        if set(said) != {"subsystem", "source"}:
            raise ValueError(f"{path.name} does not begin with its subsystem and its source.")
        for row in body.splitlines():
            code, _, words = row.partition(" ")
            if code in found or not words:
                raise ValueError(f"{path.name} has no words for {code}, or has it twice.")
            found[code] = GenericMeaning(words, said["subsystem"], said["source"])
    return found
