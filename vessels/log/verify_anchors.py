"""Are the chains still those that were anchored, in the database and in places outside?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.utils.dateparse import parse_datetime

from commands.models import Command, CommandChain
from engineering.canonical import chain_digest
from vessels.log.anchor import body_of, lines_of
from vessels.log.chain import GENESIS
from vessels.models import LogAnchor, LogEntry, Vessel

CHUNK = 2000
Pins = dict[Any, dict[int, tuple[str, str]]]
"""By chain (a vessel's key, or the name of a chain of the journal) and position: the digest, and where it is from."""


@dataclass(frozen=True)
class Outside:
    """What a place outside tells: anchors whole, heads alone, and what is wrong with the place itself."""

    anchors: Sequence[LogAnchor]
    heads: dict[int, str]
    problems: Sequence[str]


def before_the_journal(anchors: Iterable[LogAnchor]) -> int:
    """The last of these anchors that speaks of the log alone; 0 where every one covers the journal."""
    return max((anchor.number for anchor in anchors if anchor.journal is None), default=0)


def anchor_problems() -> Iterator[str]:
    """What the anchors in the database tell against the chains."""
    pins, acts = _no_pins(), _no_pins()
    # Asked first: an anchor that is taken meanwhile pins more than this, and never less.
    said = dict(Vessel.objects.values_list("pk", "anchored_position"))
    said_of_acts = dict(CommandChain.objects.values_list("name", "anchored_position"))
    previous, expected = GENESIS, 1
    for anchor in LogAnchor.objects.order_by("number").iterator():
        if anchor.number != expected:
            yield f"anchor {expected} is missing"
        elif chain_digest(previous, body_of(anchor)) != anchor.head:
            yield f"anchor {anchor.number} of {anchor.taken_at:%Y-%m-%d} is not what was written"
        previous, expected = anchor.head, anchor.number + 1
        _pin(pins, acts, anchor, f"anchor {anchor.number} of {anchor.taken_at:%Y-%m-%d}")
    yield from _differences(pins)
    yield from _journal_differences(acts)
    for vessel, position in sorted(said.items()):
        if position > (pinned := max(pins[vessel], default=0)):
            yield f"vessel {vessel} is said to be anchored up to entry {position}, and the anchors go up to {pinned}"
    for chain, position in sorted(said_of_acts.items()):
        if position > (pinned := max(acts[chain], default=0)):
            yield f"journal of {chain} is said to be anchored up to act {position}, and the anchors go up to {pinned}"


def read_outside(path: Path) -> Outside:
    """Read a file of anchors, a backup's description, or a line with a head from anywhere.

    Raises:
        OSError: it cannot be read.
    """
    path.open("rb").close()
    anchors, heads, problems = [], {}, []
    previous: str | None = None  # a file may begin with any anchor
    for line in lines_of(path):
        anchor = _anchor(line)
        if anchor is None:
            heads[int(line["number"])] = str(line["head"])
            continue
        before = GENESIS if anchor.number == 1 else previous
        if before is not None and chain_digest(before, body_of(anchor)) != anchor.head:
            problems.append(
                f"{path.name}: the line of anchor {anchor.number} is not what was written after the one before"
            )
        previous = anchor.head
        anchors.append(anchor)
        heads[anchor.number] = anchor.head
    if not heads:
        problems.append(f"{path.name} holds no head of the log")
    return Outside(anchors, heads, problems)


def outside_problems(outside: Outside, name: str) -> Iterator[str]:
    """What a place outside tells against the database."""
    yield from outside.problems
    stored = dict(LogAnchor.objects.filter(number__in=outside.heads).values_list("number", "head"))
    for number, head in outside.heads.items():
        if number not in stored:
            yield f"{name} holds anchor {number}, which the database does not have any more"
        elif stored[number] != head:
            yield f"anchor {number} in the database is another one than in {name}: the log was rewritten"
    pins, acts = _no_pins(), _no_pins()
    for anchor in outside.anchors:
        _pin(pins, acts, anchor, f"{name}, anchor {anchor.number} of {anchor.taken_at:%Y-%m-%d}")
    yield from _differences(pins)
    yield from _journal_differences(acts)


def not_yet_anchored() -> int:
    """How many entries came after the last anchor that covers their chain."""
    return sum(
        max(0, position - anchored)
        for position, anchored in Vessel.objects.values_list("log_position", "anchored_position")
    )


def _no_pins() -> Pins:
    return defaultdict(dict)


def _pin(pins: Pins, acts: Pins, anchor: LogAnchor, where: str) -> None:
    for vessel, position, digest in _threes(anchor.changed, of=int):
        pins[vessel][position] = (digest, where)
    for chain, position, link in _threes(anchor.journal, of=str):
        acts[chain][position] = (link, where)


def _threes(pinned: Any, *, of: type[int] | type[str]) -> Iterator[tuple[Any, int, str]]:
    """Chain, position and digest of all that an anchor pins.

    What has another shape was not written by this program, and is passed over: the anchor's own head tells of it.
    """
    for one in pinned if isinstance(pinned, list) else ():
        match one:
            case [chain, int(position), str(digest)] if isinstance(chain, of):
                yield chain, position, digest


def _journal_differences(pins: Pins) -> Iterator[str]:
    """The first difference of each chain of the journal between what was pinned and what is."""
    for chain in sorted(pins):
        rows = Command.objects.filter(chain=chain, position__in=pins[chain])
        found = dict(rows.values_list("position", "link"))
        for position, (link, where) in sorted(pins[chain].items()):
            if found.get(position) != link:
                said = "is gone" if position not in found else "was rewritten"
                yield f"journal of {chain}: act {position} {said} ({where})"
                break


def _differences(pins: Pins) -> Iterator[str]:
    """The first difference of each vessel between what was pinned and what is."""
    there = set(Vessel.objects.values_list("pk", flat=True))
    for vessel in sorted(pins):
        if vessel not in there:
            _, where = max(pins[vessel].items())[1]
            yield f"vessel {vessel} is gone, with its log ({where})"
            continue
        positions = sorted(pins[vessel])
        for begin in range(0, len(positions), CHUNK):
            some = positions[begin : begin + CHUNK]
            rows = LogEntry.objects.filter(vessel=vessel, position__in=some)
            found = dict(rows.values_list("position", "digest"))
            wrong = next((one for one in some if found.get(one) != pins[vessel][one][0]), None)
            if wrong is not None:
                said = "is gone" if wrong not in found else "was rewritten"
                yield f"vessel {vessel}: entry {wrong} {said} ({pins[vessel][wrong][1]})"
                break


def _anchor(line: dict[str, Any]) -> LogAnchor | None:
    taken_at = parse_datetime(str(line.get("taken_at", "")))
    if taken_at is None or not isinstance(line.get("changed"), list):
        return None
    names = ["number", "vessels", "entries", "changed", "head"]
    return LogAnchor(taken_at=taken_at, **{name: line.get(name) for name in [*names, "journal"]})
