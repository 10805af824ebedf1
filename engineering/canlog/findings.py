"""What one line or one entry of a log turned out to be."""

from dataclasses import dataclass, replace

from engineering.canlog.frames import NO_TIME


@dataclass(frozen=True, slots=True)
class Found:
    """A line of a text: ``at`` is its place among the lines that were handed over.

    A data frame has ``can_id`` (with 29 bits), ``data`` and ``channel``; a frame of another kind has its ``cause``, as
    in ``NotUnderstood``; what cannot be read has its kind of ``damage``.
    """

    at: int
    time: int = NO_TIME
    channel: str = ""
    can_id: int = 0
    data: bytes = b""
    cause: str = ""
    damage: str = ""
    time_is_unread: bool = False
    """The line has a time, but none that can be read; the frame counts all the same."""

    def placed(self, at: int) -> "Found":
        """The same at another place."""
        return replace(self, at=at)
