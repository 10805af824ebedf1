"""One head over all chains of the log and of the journal, to be kept where the database's owner cannot reach it.

The chains prove themselves only against mistakes: whoever may write anything can take the last entry away and put the
vessel's head back, or link a chain anew. Against a head that stands on a signed report, in a backup or in a file
elsewhere they cannot. Each anchor pins the chains that have grown since the one before, and its head covers the
head before, so a file of anchors is whole by itself.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.db.models import Sum
from django.utils import timezone

from commands import journal
from engineering.canonical import canonical_json, chain_digest
from files import durable
from vessels.log.chain import GENESIS
from vessels.models import LogAnchor, Vessel

# Chains that somebody adds to at this moment are left to the next anchor: to wait for them could be to wait for ever.
PIN = """
WITH grown AS (
    SELECT id FROM vessels_vessel WHERE log_position <> anchored_position ORDER BY id FOR NO KEY UPDATE SKIP LOCKED
)
UPDATE vessels_vessel AS vessel SET anchored_position = log_position FROM grown WHERE vessel.id = grown.id
RETURNING vessel.id, vessel.log_position, vessel.log_digest
"""


@dataclass(frozen=True)
class Head:
    """A head over all chains: what goes on a report, into a backup, or anywhere else outside."""

    number: int
    head: str
    taken_at: datetime
    vessels: int
    entries: int

    @property
    def sentence(self) -> str:
        """The head in words, for paper."""
        return (
            f"Log head {self.number} of {self.taken_at:%Y-%m-%d %H:%M} UTC over {self.vessels} vessels and "
            f"{self.entries} entries: {self.head}"
        )


@transaction.atomic
def current_head() -> Head:
    """The head over all chains, the journal's as well, as they stand now; makes an anchor when one has grown.

    What the calling transaction has logged itself is covered. Call it after taking a vessel's turn, never before.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtext('garboard anchor'))")
        cursor.execute(PIN)
        changed = sorted([vessel, position, digest] for vessel, position, digest in cursor.fetchall())
    acts = journal.pin_grown()
    last = LogAnchor.objects.order_by("number").last()
    if last is not None and not changed and not acts:
        return head_of(last)
    anchor = LogAnchor(
        number=last.number + 1 if last else 1,
        taken_at=timezone.now(),
        vessels=Vessel.objects.count(),
        entries=Vessel.objects.aggregate(sum=Sum("log_position"))["sum"] or 0,
        changed=changed,
        journal=acts,
    )
    anchor.head = chain_digest(last.head if last else GENESIS, body_of(anchor))
    anchor.save(force_insert=True)
    return head_of(anchor)


def head_of(anchor: LogAnchor) -> Head:
    """What of an anchor goes outside."""
    return Head(anchor.number, anchor.head, anchor.taken_at, anchor.vessels, anchor.entries)


def body_of(anchor: LogAnchor) -> bytes:
    """What the head of an anchor covers, beside the head before."""
    return canonical_json({name: value for name, value in _facts(anchor).items() if name != "head"})


def _facts(anchor: LogAnchor) -> dict[str, Any]:
    names = ["number", "taken_at", "vessels", "entries", "changed", "head"]
    # Of the time before the journal was anchored, no head covers a word of it.
    names += ["journal"] if anchor.journal is not None else []
    return {name: getattr(anchor, name) for name in names}


def append_to_file(path: Path) -> int:
    """Add the anchors that a file does not have yet, a line each; how many. The file is only ever added to.

    Raises:
        OSError: the file cannot be written.
    """
    current_head()
    durable.make_folder(path.parent)
    known = last_number(path)
    added = 0
    with path.open("ab") as file:
        if file.tell() and not _ends_with_a_line(path):
            file.write(b"\n")  # a line that was cut off by a full disk stays, and is passed over
        for anchor in LogAnchor.objects.filter(number__gt=known).iterator():
            file.write(canonical_json(_facts(anchor)) + b"\n")
            added += 1
    if added:
        durable.settle(path)
    return added


def last_number(path: Path) -> int:
    """The number of the last anchor in a file; 0 where there is none."""
    return max((int(line["number"]) for line in lines_of(path)), default=0)


def lines_of(path: Path) -> Iterator[dict[str, Any]]:
    """The anchors in a file, or the one head in a backup's description or a report's record."""
    try:
        text = path.read_text(errors="replace")
    except FileNotFoundError:
        return
    for part in [text, *text.splitlines()]:
        try:
            found = json.loads(part)
        except (ValueError, RecursionError):
            continue
        if isinstance(found, dict) and isinstance(found.get("number"), int) and isinstance(found.get("head"), str):
            yield found
            if part is text:
                return


def _ends_with_a_line(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(-1, 2)
        return file.read(1) == b"\n"
