"""Questions that are asked once: what is seldom so is kept where the same is sent again.

A page asks; what nobody waits for (a queued act, an import, the demo) is never asked and never lost. An answer is the
question's own key, which the form carries when it is sent again: another value is another question.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

from commands.refusals import Refused

FIELD = "asked"
"""The name under which a form sends back what it was asked."""
SEND_AGAIN = "Send it again to keep it."


@dataclass
class _Asking:
    """Somebody who can be asked: what was answered before, and what is asked now."""

    answered: Callable[[], Collection[str]]
    open: list[str] = field(default_factory=list)


_SOMEBODY: ContextVar[_Asking | None] = ContextVar("somebody", default=None)


@contextmanager
def asking(answered: Callable[[], Collection[str]]) -> Iterator[None]:
    """Somebody waits for it; ``answered`` are the keys that the form sent back, read when first needed."""
    token = _SOMEBODY.set(_Asking(answered))
    try:
        yield
    finally:
        _SOMEBODY.reset(token)


@contextmanager
def nobody_to_ask() -> Iterator[None]:
    """What is seldom so is taken as it is."""
    token = _SOMEBODY.set(None)
    try:
        yield
    finally:
        _SOMEBODY.reset(token)


def is_in_doubt(key: str) -> bool:
    """Whether somebody is to be asked about it now; false where it was asked before, or nobody is there."""
    somebody = _SOMEBODY.get()
    if somebody is None or key in somebody.answered():
        return False
    if key not in somebody.open:
        somebody.open.append(key)
    return True


def ask_once(key: str, sentence: str, *, field: str) -> None:
    """Ask about what is seldom so.

    Raises:
        Refused: nobody answered it before; sent again with its key it is taken.
    """
    if sentence and is_in_doubt(key):
        raise Refused("This is unusual.", fields={field: f"{sentence} {SEND_AGAIN}"})


def open_questions() -> list[str]:
    """The keys that the form has to send back: what is asked now, and what was answered before."""
    somebody = _SOMEBODY.get()
    if somebody is None or not somebody.open:
        return []
    return [*somebody.open, *(key for key in somebody.answered() if key not in somebody.open)][:MOST]


MOST = 200
