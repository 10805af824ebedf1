"""Everything about a log that is counted: frames by PGN, what is no data frame, damage with its first places."""

from collections import Counter

import numpy as np

from engineering.canlog.frames import PGN_COUNT, Ints, pgns_of
from engineering.canlog.summary import Damage, Place
from engineering.canlog.times import Timeline

_SAMPLES, _EXCERPT, _MOST_CHANNELS, _MOST_NAMES = 5, 80, 64, 1000

_SENTENCES = {
    "line": "Lines that look like a frame but cannot be read.",
    "unknown-line": "Lines that are neither a frame nor a comment known here.",
    "long-line": "Lines that are too long to be a frame; they were passed over.",
    "time": "Frames whose time cannot be read; the frame itself was used.",
    "time-back": "Frames that are earlier than the frame before them: the clock was set, or the log put together.",
    "cut-off": "The file ends in the middle of a frame.",
    "object": "Places where the file is not what its format says; it was searched for the next readable place.",
    "container": "Packed blocks that cannot be unpacked.",
    "other-object": "Entries of the file that are no CAN frame known here.",
    "channels": "Channels beyond the first 63 were put together as one.",
    "codes": "Trouble codes beyond the first 4,096 different ones were left out.",
    "code-rest": "Diagnostic messages whose last bytes belong to no code.",
}


class Tally:
    """Counts while the log is read."""

    def __init__(self) -> None:
        """Nothing counted."""
        self.timeline = Timeline()
        self.lines = self.frames = 0
        self.by_pgn = np.zeros(PGN_COUNT, np.int64)
        self.other_frames: Counter[str] = Counter()
        self._damages: dict[str, tuple[int, list[Place]]] = {}
        self._channels: dict[str, int] = {}
        self._more_channels: set[str] = set()

    @property
    def channels(self) -> tuple[str, ...]:
        """The names of the channels, by number."""
        return tuple(self._channels)

    def channel(self, name: str) -> int:
        """The number of a channel; a new one is given its number."""
        number = self._channels.get(name)
        if number is not None:
            return number
        if len(self._channels) >= _MOST_CHANNELS - 1 and name != "others":
            if name not in self._more_channels and len(self._more_channels) < _MOST_NAMES:
                self._more_channels.add(name)
                self.damage("channels", Place(None, None, name[:_EXCERPT]))
            return self.channel("others")
        return self._channels.setdefault(name, len(self._channels))

    def take(self, can_ids: Ints) -> Ints:
        """Count data frames with 29-bit identifiers; their PGNs come back."""
        pgns = pgns_of(can_ids)
        np.add.at(self.by_pgn, pgns, 1)
        self.frames += len(can_ids)
        return pgns

    def other(self, cause: str, count: int = 1) -> None:
        """Count frames that are no data frames with a 29-bit identifier."""
        self.frames += count
        self.other_frames[cause] += count

    def damage(self, kind: str, place: Place | None, count: int = 1) -> None:
        """Count damage, and keep its first few places."""
        before, samples = self._damages.setdefault(kind, (0, []))
        self._damages[kind] = (before + count, samples)
        if place is not None and len(samples) < _SAMPLES:
            samples.append(place)

    def wants_places(self, kind: str) -> bool:
        """Whether a further place of this kind of damage would be kept."""
        return kind not in self._damages or len(self._damages[kind][1]) < _SAMPLES

    def damages(self) -> tuple[Damage, ...]:
        """All damage, by kind."""
        return tuple(
            Damage(kind, _SENTENCES[kind], count, tuple(samples))
            for kind, (count, samples) in sorted(self._damages.items())
        )


def line_place(line: int, text: bytes) -> Place:
    """A place in a text, with a short, printable piece of it."""
    return Place(line, None, shown(text))


def shown(text: bytes) -> str:
    """The beginning of a text with nothing in it that does not print."""
    decoded = text[: _EXCERPT * 4].decode("utf-8", "replace").strip()[:_EXCERPT]
    return "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in decoded)
