"""What was heard but not decoded, counted by cause and PGN, each PGN with its name where the open database has one."""

from collections import Counter
from collections.abc import Callable, Iterator

import numpy as np

from engineering.canlog.frames import Mask
from engineering.canlog.summary import NotUnderstood
from engineering.canlog.tally import Tally
from engineering.codes.transport import TP_DT

_MOST_NAMED = 200

_SENTENCES = {
    "pgn": "Not among the messages that are decoded here.",
    "standard": "Frames with an 11-bit identifier: neither NMEA 2000 nor J1939.",
    "remote": "Remote frames: they ask for data and carry none.",
    "error": "Error frames: the adapter saw a fault on the bus. Many of them point to wiring or termination.",
    "fd": "CAN FD frames: NMEA 2000 and the J1939 read here use classic CAN.",
    "fast-packet-lost": "Frames of messages that were never complete.",
    "fast-packet-rest": "Frames that came twice, or cannot belong to their message.",
    "transport-lost": "Packets of long messages that were never complete.",
    "transport-rest": "Packets that came twice, that control the flow, or that belong to no announced message.",
    "too-short": "Frames that are too short for what they should carry.",
    "too-many": "More senders and instances than are kept apart.",
}


def leftovers(
    tally: Tally,
    not_decoded: Counter[tuple[str, int]],
    wanted: Mask,
    lost_fast: Callable[[int], int],
    lost_transport: int,
) -> tuple[NotUnderstood, ...]:
    """All that was not understood; the counts of frames add up with those decoded to all frames."""
    others = [
        NotUnderstood(cause, _SENTENCES[cause], None, "", count, 0)
        for cause, count in sorted(tally.other_frames.items())
    ]
    by_pgn = Counter({int(pgn): int(tally.by_pgn[pgn]) for pgn in np.flatnonzero((tally.by_pgn > 0) & ~wanted)})
    named = []
    for (cause, pgn), count in sorted(not_decoded.items()):
        if not count:
            continue
        if cause == "pgn":
            by_pgn[pgn] += count
            continue
        lost = lost_transport if pgn == TP_DT else lost_fast(pgn)
        messages = lost if cause.endswith("-lost") else 0
        named.append(NotUnderstood(cause, _SENTENCES[cause], pgn, name_of(pgn), count, messages))
    return (*others, *named, *_pgns(by_pgn))


def _pgns(by_pgn: Counter[int]) -> Iterator[NotUnderstood]:
    """The PGNs by how often they were sent; after the first two hundred the rest in one."""
    in_order = sorted(by_pgn.items(), key=lambda item: (-item[1], item[0]))
    for pgn, count in in_order[:_MOST_NAMED]:
        yield NotUnderstood("pgn", _SENTENCES["pgn"], pgn, name_of(pgn), count, 0)
    rest = in_order[_MOST_NAMED:]
    if rest:
        count = sum(count for _, count in rest)
        yield NotUnderstood("pgn", f"{len(rest)} further PGNs that are not decoded here.", None, "", count, 0)


def name_of(pgn: int) -> str:
    """The name of a PGN in words, from the canboat database within the nmea2000 package; empty where it has none."""
    from nmea2000 import backend

    variants = backend.DATABASE.pgn_variants(pgn)
    return _in_words(variants[0].id) if len(variants) == 1 else ""


def _in_words(identifier: str) -> str:
    """An identifier such as engineTripParameters in words; capitals that stand together stay together."""
    words = "".join(
        f" {character.lower()}" if character.isupper() and not identifier[at - 1 : at].isupper() else character
        for at, character in enumerate(identifier)
    ).strip()
    return words[:1].upper() + words[1:]
