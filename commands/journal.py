"""Writing the journal, and walking it: is it what was written?

One chain over everything would have each act of the shop wait for every other. So each act is linked to the last one
on the same record whose turn it holds anyway, a vessel for nearly all, and otherwise to the same person's last one:
nobody waits who would not have waited. What holds the chains together is the head over all of them and those of the
vessels (``vessels.log.anchor``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import groupby
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection, models
from django.db.models import F, Min, Q, Sum
from django.utils import timezone

from commands.models import GENESIS, Command, CommandChain
from engineering.canonical import canonical_json, chain_digest

CHUNK = 2000
MOST_TOLD = 20
# Chains that somebody adds to at this moment are left to the next anchor: to wait for them could be to wait for ever.
PIN = """
WITH grown AS (
    SELECT name FROM commands_commandchain WHERE position <> anchored_position ORDER BY name
    FOR NO KEY UPDATE SKIP LOCKED
)
UPDATE commands_commandchain AS chain SET anchored_position = position FROM grown WHERE chain.name = grown.name
RETURNING chain.name, chain.position, chain.digest
"""
# Every act pays for these: they are written by hand, and what may go together is one question.
# The second statement sees what was committed while the first one waited.
KNOWN = """
SELECT pg_advisory_xact_lock(%s);
SELECT kind, digest, outcome FROM commands_command WHERE id = %s
"""
# Taking a chain's turn and reading its head is one question.
HOLD = """
INSERT INTO commands_commandchain AS chain (name, position, digest, anchored_position) VALUES (%s, 0, %s, 0)
ON CONFLICT (name) DO UPDATE SET name = EXCLUDED.name RETURNING chain.position, chain.digest
"""
COLUMNS = [str(field.column) for field in Command._meta.concrete_fields]
KEEP = """
UPDATE commands_commandchain SET position = %s, digest = %s WHERE name = %s;
INSERT INTO commands_command ({columns}) VALUES {rows}
"""


class Known(NamedTuple):
    """What is needed to answer an act that was done before."""

    kind: str
    digest: str
    outcome: str


def known(key: UUID) -> Known | None:
    """The act of this id, or None; waits for another sending of it that is under way, and has later ones wait."""
    with connection.cursor() as cursor:
        cursor.execute(KNOWN, [key.int % 2**63, key])
        cursor.nextset()
        row = cursor.fetchone()
    return Known(*row) if row else None


def take_turn(held: models.Model) -> None:
    """Wait for who writes to this record, and have later ones wait until the transaction's end."""
    with connection.cursor() as cursor:
        cursor.execute(_turn_of(type(held)), [held.pk])


@cache
def _turn_of(model: type[models.Model]) -> str:
    table, key = map(connection.ops.quote_name, (model._meta.db_table, str(model._meta.pk.column)))
    return f"SELECT FROM {table} WHERE {key} = %s FOR NO KEY UPDATE"


def write(acts: Sequence[Command]) -> None:
    """Link acts to their chains and keep them. Call last in a transaction: it takes the turn of their chains.

    Chains are taken in the order of their names, so that two who need several do not wait for each other.
    """
    now = timezone.now()
    for name, of_chain in groupby(sorted(acts, key=lambda act: act.chain), key=lambda act: act.chain):
        linked = list(of_chain)
        with connection.cursor() as cursor:
            cursor.execute(HOLD, [name, GENESIS])
            position, digest = cursor.fetchone()
            for act in linked:
                position += 1
                act.position, act.received_at = position, now
                act.link = digest = chain_digest(digest, body_of(act))
            row = f"({', '.join(['%s'] * len(COLUMNS))})"
            statement = KEEP.format(columns=", ".join(COLUMNS), rows=", ".join([row] * len(linked)))
            cursor.execute(statement, [position, digest, name, *(value for act in linked for value in _row(act))])


def _row(act: Command) -> list[Any]:
    return [field.get_db_prep_save(getattr(act, field.attname), connection) for field in Command._meta.concrete_fields]


def body_of(act: Command) -> bytes:
    """The canonical JSON that an act's link covers."""
    return canonical_json(
        {
            "id": act.pk,
            "kind": act.kind,
            "actor": act.actor_id,
            "device": act.device,
            "at": act.at,
            "received_at": act.received_at,
            "digest": act.digest,
            "outcome": act.outcome,
            "records": act.records,
            "told": act.told,
            "chain": act.chain,
            "position": act.position,
        }
    )


def problems() -> Iterator[str]:
    """The first place of each chain where the journal is not what was written, and acts that were put beside them."""
    yield from _beside_the_chains()
    heads = {chain.name: chain for chain in CommandChain.objects.all()}
    for name in Command.objects.exclude(position=None).values_list("chain", flat=True).distinct():
        heads.setdefault(name, CommandChain(name=name))
    for name in sorted(heads):
        problem = _problem(name)
        if problem:
            yield f"journal of {name}: {problem}"


def _beside_the_chains() -> Iterator[str]:
    """Acts that no walk of a chain meets. Those of before there were chains came before every act of a chain."""
    first = Command.objects.filter(position__gte=1).aggregate(first=Min("received_at"))["first"]
    beside = Q(position__lt=1)
    if first is not None:
        beside |= Q(position=None, received_at__gte=first)
    for act in Command.objects.filter(beside).order_by("received_at", "pk")[:MOST_TOLD]:
        yield f"journal: an act, {act.kind} of {act.received_at:%Y-%m-%d} ({act.pk}), stands in no chain"


def count_unchained() -> int:
    """How many acts are from before there were chains."""
    return Command.objects.filter(position=None).count()


def _problem(name: str) -> str:
    """What is wrong with one chain.

    Acts may be added during the walk, so the head is read before it, and only what lies under it is walked.
    """
    head = CommandChain.objects.filter(pk=name).first()
    end, digest = (head.position, head.digest) if head else (0, GENESIS)
    expected, previous = 1, GENESIS
    while True:
        acts = Command.objects.filter(chain=name, position__gte=expected).order_by("position")
        if head:
            acts = acts.filter(position__lte=end)
        chunk = list(acts[:CHUNK])
        for act in chunk:
            if act.position != expected:
                return f"act {expected} is missing"
            if chain_digest(previous, body_of(act)) != act.link:
                return f"act {expected}, {act.kind} of {act.received_at:%Y-%m-%d}, is not what was written"
            previous, expected = act.link, expected + 1
        if len(chunk) < CHUNK:
            break
    if head is None:
        return "its head is gone"
    if expected - 1 != end:
        return f"it ends at act {expected - 1}, not at {end}"
    return "" if previous == digest else "its last link is not the one that is kept as its head"


def pin_grown() -> list[list[Any]]:
    """Name, position and link of each chain that has grown since this was asked before, for an anchor."""
    with connection.cursor() as cursor:
        cursor.execute(PIN)
        return sorted([name, position, link] for name, position, link in cursor.fetchall())


def not_yet_pinned() -> int:
    """How many acts came after the last anchor that covers their chain."""
    newer = CommandChain.objects.aggregate(sum=Sum(F("position") - F("anchored_position")))["sum"]
    return int(newer or 0)


def count() -> int:
    """How many acts the journal holds."""
    return Command.objects.count()
