"""Service due across the shop, as it is kept: lists, counts, the CSV and the calendar read it here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Count, QuerySet
from django.utils import timezone

from engineering.service import Standing
from engineering.service.standing import URGENT
from web.rows import figures, rows
from workorders.upkeep.keeping import IS_STALE, bring_up_to_date
from workorders.upkeep.models import Judgment
from workorders.upkeep.queries.due import ASKED_FOR, Due
from workorders.upkeep.spelling import RULES, read

STEP = 1000
_COUNTS = f"""
    SELECT ({IS_STALE}) AS stale, {
    ", ".join(
        f"(SELECT count(*) FROM upkeep_judgment WHERE place >= '{URGENT.index(one)} ' "
        f"AND place < '{URGENT.index(one) + 1} ') AS {one.name.lower()}"
        for one in ASKED_FOR
    )
}
"""  # noqa: S608  (put together from what the program says)


def judgments(today: date | None = None) -> QuerySet[Judgment]:
    """Every judgment, true on that day. What is read of them later, the day after say, is what was true then."""
    bring_up_to_date(today)
    return Judgment.objects.all()


def of_standing(found: QuerySet[Judgment], *standings: Standing) -> QuerySet[Judgment]:
    """Those that stand so. The place begins with it, so that an index in the order of the list serves it."""
    places = [URGENT.index(one) for one in standings]
    if places != list(range(places[0], places[-1] + 1)):
        raise ValueError("standings that do not follow each other")
    return found.filter(place__gte=f"{places[0]} ", place__lt=f"{places[-1] + 1} ")


def open_jobs(adoptions: Iterable[int] | None = None) -> dict[int, int]:
    """The last job in hand that each service is on, by the key of what is followed: one query."""
    asked = {"adoptions": None if adoptions is None else list(adoptions)}
    return {one.adoption_id: one.number for one in rows(_OnJob, _ON_JOBS, asked)}


class _OnJob(NamedTuple):
    adoption_id: int
    number: int


_ON_JOBS = """
    SELECT planned.adoption_id, max(job.number) AS number FROM upkeep_plannedline planned
    JOIN workorders_jobline line ON line.id = planned.line_id JOIN workorders_job job ON job.id = line.job_id
    WHERE job.closed_at IS NULL AND (%(adoptions)s::bigint[] IS NULL OR planned.adoption_id = ANY(%(adoptions)s))
    GROUP BY planned.adoption_id
"""


def answers(found: Iterable[Judgment]) -> list[Due]:
    """Some judgments as they were answered, with the jobs that they are on now: one query."""
    kept = list(found)
    jobs = open_jobs([one.pk for one in kept]) if kept else {}
    return [_answer(one, jobs) for one in kept]


def every_answer(found: QuerySet[Judgment]) -> Iterator[Due]:
    """All of them in the order of the list, a thousand at a time."""
    jobs = open_jobs()
    for pk, _, told, judged_on, turns_on in in_order(found, "told", "judged_on", "turns_on"):
        yield read(told, judged_on=judged_on, turns_on=turns_on, open_job=jobs.get(pk))


def in_order(found: QuerySet[Judgment], *columns: str) -> Iterator[tuple[Any, ...]]:
    """Key, place and these columns of all of them, in the order of the list, read a thousand at a time.

    Each thousand begins after the row before it, so that an index finds it.
    """
    kept = found.order_by("place", "pk").values_list("pk", "place", *columns)
    beyond = kept
    while True:
        some = list(beyond[:STEP])
        yield from some
        if len(some) < STEP:
            return
        pk, place = some[-1][:2]
        beyond = kept.filter(place__gte=place).exclude(place=place, pk__lte=pk)


def counts_asked_for() -> dict[Standing, int]:
    """How many are overdue, due and due soon: one query, where nothing has to be judged first."""
    today, counted = timezone.localdate(), dict.fromkeys(ASKED_FOR, 0)
    found = figures(_COUNTS, {"today": today, "rules": RULES})
    if found["stale"]:
        return counted | {key: n for key, n in count_by_standing(judgments(today)).items() if key in counted}
    return {standing: found[standing.name.lower()] for standing in counted}


def count_by_standing(found: QuerySet[Judgment]) -> dict[Standing, int]:
    """How many stand so: one query."""
    counted = found.order_by().values_list("standing").annotate(count=Count("pk"))
    return {Standing(standing): count for standing, count in counted}


def asked_for(today: date | None = None) -> QuerySet[Judgment]:
    """What is overdue, due or due soon."""
    return of_standing(judgments(today or timezone.localdate()), *ASKED_FOR)


def _answer(one: Judgment, jobs: dict[int, int]) -> Due:
    return read(one.told, judged_on=one.judged_on, turns_on=one.turns_on, open_job=jobs.get(one.pk))
