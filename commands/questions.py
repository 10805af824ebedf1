"""Questions that are asked once: what is seldom so is kept where somebody ticks that it is so.

A page asks; what nobody waits for (a queued act, an import, the demo) is never asked and never lost. An answer is the
question's own key, which the form carries when it is sent again: another value is another question. All that is in
doubt of what was sent is asked together, each question with a tick of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import TypeVar

from commands.refusals import Refused

T = TypeVar("T")

FIELD = "asked"
"""The name under which a form sends back what was ticked."""
TICK_TO_KEEP = "To keep it, select it at the top and send this again."
MOST = 200


class Questions(Refused):
    """What is asked once, by the field that it is about; the first of it is the sentence."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        super().__init__(next(iter(fields.values()), ""), fields=fields)


@dataclass
class _Asking:
    """Somebody who can be asked: what was answered before, and what is asked now, with what each tick says."""

    answered: Callable[[], Collection[str]]
    open: dict[str, str] = field(default_factory=dict)


@dataclass
class Gathered:
    """The questions of several steps, asked together when all were taken."""

    fields: dict[str, str] = field(default_factory=dict)

    def made(self, step: Callable[[], T]) -> list[T]:
        """What a step makes; nothing where it asks: that waits for what the others ask."""
        try:
            return [step()]
        except Questions as questions:
            self.fields |= questions.fields
            return []


_SOMEBODY: ContextVar[_Asking | None] = ContextVar("somebody", default=None)
_GATHERED: ContextVar[Gathered | None] = ContextVar("gathered_questions", default=None)


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


@contextmanager
def all_at_once() -> Iterator[Gathered]:
    """Ask at the end what is in doubt of all that is done inside, inside a transaction that is undone then.

    Raises:
        Questions: something is to be asked.
    """
    gathered = Gathered()
    token = _GATHERED.set(gathered)
    try:
        yield gathered
    finally:
        _GATHERED.reset(token)
    if gathered.fields:
        raise Questions(gathered.fields)


def is_in_doubt(key: str, tick: str = "") -> bool:
    """Whether somebody is to be asked about it now; false where it was asked before, or nobody is there.

    ``tick`` is what the tick keeps, in a few words; the key, where that can be read.
    """
    somebody = _SOMEBODY.get()
    if somebody is None or key in somebody.answered():
        return False
    somebody.open.setdefault(key, tick or key)
    return True


def ask(questions: Mapping[str, str]) -> None:
    """Ask about fields, with all else that is asked of the same act.

    Raises:
        Questions: nothing else is waited for.
    """
    gathered = _GATHERED.get()
    if gathered is not None:
        gathered.fields |= questions
    elif questions:
        raise Questions(questions)


def ask_once(key: str, sentence: str, *, field: str, tick: str) -> None:
    """Ask about what is seldom so; sent again with its key it is taken.

    Raises:
        Questions: nobody answered it before, and nothing else is waited for.
    """
    if sentence and is_in_doubt(key, tick):
        ask({field: f"{sentence} {TICK_TO_KEEP}"})


@dataclass(frozen=True)
class Tick:
    """A question to be ticked: its key, and what the tick keeps."""

    key: str
    words: str


def open_questions() -> list[Tick]:
    """What is asked now."""
    somebody = _SOMEBODY.get()
    return [] if somebody is None else [Tick(key, words) for key, words in somebody.open.items()][:MOST]


def answered_questions() -> list[str]:
    """The keys of what was answered before, which a form sends back once more."""
    somebody = _SOMEBODY.get()
    return [] if somebody is None else [key for key in somebody.answered() if key not in somebody.open][:MOST]
