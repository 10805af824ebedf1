"""What a code says by itself, in our own words, and who defines the rest."""

from dataclasses import dataclass

from engineering.codes.code import Code


@dataclass(frozen=True, slots=True)
class Explanation:
    """A code in words: ``title`` on one line, ``facts`` as whole sentences, ``source`` naming where they come from."""

    title: str
    facts: tuple[str, ...]
    source: str


def explain(code: Code) -> Explanation:
    """Say what the code means as far as an open standard defines it, and who defines the rest."""
    raise NotImplementedError
