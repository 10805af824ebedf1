"""Judgments are kept, and what has to be judged again is judged before anything is shown.

There is one way to judge, ``queries.due``; here its answers are stored. The database marks what a write touches
(``migrations/0003``), and a judgment itself knows the day from which on it may be another. Who asks for judgments
calls :func:`bring_up_to_date` first.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.db import connection, transaction
from django.utils import timezone

from engineering.service.standing import URGENT
from web.rows import figures
from workorders.upkeep.models import Judgment, StaleMark
from workorders.upkeep.queries.due import Due, due_by_adoption
from workorders.upkeep.spelling import RULES, spelled
from workorders.upkeep.wording import day_of

BATCH = 1000
TURN = 20_260_122
"""The key of the database's own lock under which one after the other judges."""

_OUTDATED = """
    SELECT adoption_id FROM upkeep_judgment WHERE turns_on <= %(today)s
    UNION SELECT adoption_id FROM upkeep_judgment WHERE judged_on > %(today)s
    UNION SELECT adoption_id FROM upkeep_judgment WHERE rules < %(rules)s
    UNION SELECT adoption_id FROM upkeep_judgment WHERE rules > %(rules)s
"""
IS_STALE = """
    SELECT EXISTS(SELECT FROM upkeep_stalemark) OR COALESCE(
        (SELECT min(turns_on) FROM upkeep_judgment) <= %(today)s
        OR (SELECT max(judged_on) FROM upkeep_judgment) > %(today)s
        OR (SELECT min(rules) FROM upkeep_judgment) < %(rules)s
        OR (SELECT max(rules) FROM upkeep_judgment) > %(rules)s, false) AS stale
"""
"""For a hand-written question, with ``today`` and ``rules``: whether something has to be judged first. Ends of an
index, as a plan for any day would look through the whole table."""
_MARK_OUTDATED = f"INSERT INTO upkeep_stalemark (adoption_id) {_OUTDATED}"


def bring_up_to_date(today: date | None = None) -> int:
    """Judge again what was marked, and what has another answer on that day; how many were judged.

    One query where nothing is to be done. A thousand are judged in a transaction, one transaction after the other.
    """
    today = today or timezone.localdate()
    asked = {"today": today, "rules": RULES}
    count = 0
    while figures(IS_STALE, asked)["stale"]:
        with transaction.atomic():
            count += _judge_some(today)
    return count


def mark_everything() -> None:
    """Have everything judged again: after rows were written beside the database's triggers."""
    with connection.cursor() as cursor:
        cursor.execute("INSERT INTO upkeep_stalemark (adoption_id) SELECT id FROM upkeep_adoption")


def _judge_some(today: date) -> int:
    """Judge up to a thousand, under the lock: so that what was read before a write never replaces what came of it.

    A mark is seen only with the write that made it, so what is read after the marks has all of what they are of.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [TURN])
        marks = list(StaleMark.objects.order_by("pk").values_list("pk", "adoption_id")[:BATCH])
        if not marks:
            cursor.execute(_MARK_OUTDATED, {"today": today, "rules": RULES})
            marks = list(StaleMark.objects.order_by("pk").values_list("pk", "adoption_id")[:BATCH])
    keys = sorted({adoption for _, adoption in marks})
    judged = due_by_adoption(keys, today=today)
    _store(judged)
    gone = set(keys) - {due.followed.pk for due in judged}
    if gone:
        Judgment.objects.filter(pk__in=gone).delete()
    StaleMark.objects.filter(pk__in=[pk for pk, _ in marks]).delete()
    return len(keys)


_STORED = (
    "vessel",
    "owner",
    "standing",
    "place",
    "due_on",
    "told_on",
    "words",
    "told",
    "judged_on",
    "turns_on",
    "rules",
)


def _store(judged: Sequence[Due]) -> None:
    Judgment.objects.bulk_create(
        [
            Judgment(
                adoption_id=due.followed.pk,
                vessel_id=due.followed.vessel_id,
                owner_id=due.followed.owner_id,
                standing=due.standing.value,
                place=place_of(due),
                due_on=due.judged.due_on,
                told_on=day_of(due),
                words=words_of(due),
                told=spelled(due),
                judged_on=due.today,
                turns_on=due.turns_on,
                rules=RULES,
            )
            for due in judged
        ],
        update_conflicts=True,
        unique_fields=["adoption"],
        update_fields=_STORED,
    )


def place_of(due: Due) -> str:
    """Its place in the list of the shop: the most urgent first, then by day and boat."""
    day = due.judged.due_on or date.max
    return f"{URGENT.index(due.standing)} {day.isoformat()} {due.followed.vessel}"


def words_of(due: Due) -> str:
    """What it is found by: boat, owner, berth, engine and service."""
    one = due.followed
    return f"{one.vessel} {one.owner} {one.berth} {one.engine} {one.plan}".lower()
