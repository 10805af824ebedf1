"""From where an act is sent: the device, and when its client says that it was done."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime

MOST = 60


def _never() -> None:
    return None


@dataclass(frozen=True)
class Sender:
    """A device, and the client's own time for what it sends; neither is proven, both are kept as they were said.

    ``time`` is asked when something is done, and not before: a request's body may not be read by then.
    """

    device: str = ""
    time: Callable[[], datetime | None] = _never

    @property
    def at(self) -> datetime | None:
        """The client's time."""
        return self.time()


NOBODY = Sender()
_sender: ContextVar[Sender] = ContextVar("commands_sender", default=NOBODY)


def sender() -> Sender:
    """Who sends what is being done; nobody known outside of a request."""
    return _sender.get()


@contextmanager
def sent_from(device: str, time: Callable[[], datetime | None]) -> Iterator[None]:
    """Say from where the acts of this block come."""
    token = _sender.set(Sender(device[:MOST], time))
    try:
        yield
    finally:
        _sender.reset(token)
