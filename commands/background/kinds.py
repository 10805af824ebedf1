"""The kinds of work that are known: each app registers its own in ``AppConfig.ready``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commands.background.running import Run


def _nothing_more(subject: str, sentence: str) -> None:
    """Nobody keeps the failure anywhere else."""


@dataclass(frozen=True)
class Kind:
    """One kind of work.

    ``work`` may run again after it was killed, so it writes its result inside ``Run.finishing`` or bears repetition.
    It raises ``Refused`` where trying again cannot help; whatever else it raises is tried again, ``tries`` times in
    all, and said with ``went_wrong``. ``broke_off`` is said where no try came to an end. ``fail`` writes the sentence
    where people look for it, in the transaction that ends the task. ``longest`` is how many seconds one try may take.
    """

    name: str
    work: Callable[[Run], None]
    went_wrong: Callable[[Exception], str]
    broke_off: str
    fail: Callable[[str, str], None] = _nothing_more
    tries: int = 3
    longest: int = 900


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Make a kind of work known.

    Raises:
        ValueError: another one has this name.
    """
    if KINDS.get(kind.name, kind) != kind:
        raise ValueError(f"two kinds of background work are called {kind.name}")
    KINDS[kind.name] = kind
