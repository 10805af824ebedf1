"""Where each service stands that an engine follows: of one boat, of some, or of all, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from engineering.service import HoursOn, Judged, LaidUp, Seen, ServiceInterval, Standing, judge, next_turn, use_of
from engineering.service.running import WINDOW
from engineering.service.standing import URGENT
from vessels.hours import Known, hours_at_zero, ran_faster
from vessels.log.evidence import SUPERSEDED
from vessels.models import HourMeter
from vessels.models.hulls import engine_words
from vessels.queries.doubts import doubt_words
from vessels.queries.hours import HoursKnown, hours_by_key
from web.rows import rows
from workorders.upkeep.models import Basis, LayUp, Source, interval_words


class Followed(NamedTuple):
    """An engine's adoption of a plan, with what was done last by the log: ``done_at`` is by the shop's clock."""

    pk: int
    version: int
    plan_id: int
    plan: str
    every_hours: Decimal | None
    every_months: int | None
    first_hours: Decimal | None
    first_months: int | None
    engine_id: int
    position: str
    maker: str
    model: str
    vessel_id: int
    vessel: str
    berth: str
    owner_id: int
    owner: str
    basis: str
    last_on: date | None
    last_hours: Decimal | None
    source: str
    done_id: UUID | None
    done_at: datetime | None
    done_hours: Decimal | None
    open_job: int | None

    @property
    def engine(self) -> str:
        """The engine, by its place and what it is."""
        return engine_words(self.position, self.maker, self.model)

    @property
    def is_done(self) -> bool:
        """Whether what counts as the last time stands in the log."""
        return self.done_at is not None and (self.last_on is None or self.done_at.date() >= self.last_on)

    @property
    def last(self) -> HoursOn | None:
        """When it was last done, or when the new engine began; None where nobody said."""
        if self.done_at is not None and self.is_done:
            return HoursOn(self.done_at.date(), self.done_hours)
        return None if self.last_on is None else HoursOn(self.last_on, self.last_hours)

    @property
    def is_first(self) -> bool:
        """Whether the next one is the first of a new engine."""
        return not self.is_done and self.basis == Basis.NEW

    @property
    def is_told(self) -> bool:
        """Whether the last time is what somebody told, and not our own work."""
        return not self.is_done and self.source == Source.TOLD

    @property
    def interval(self) -> ServiceInterval:
        """The interval that counts now."""
        if self.is_first and (self.first_hours is not None or self.first_months is not None):
            return ServiceInterval(self.first_hours, self.first_months)
        return ServiceInterval(self.every_hours, self.every_months)

    @property
    def interval_words(self) -> str:
        """That interval in words."""
        return interval_words(self.interval.hours, self.interval.months)


@dataclass(frozen=True)
class Due:
    """Where one service of one engine stands on a day, with what a page says of why.

    ``per_week`` is the use in hours a week where it is known, ``laid_up`` the lay-up that the day falls into.
    ``turns_on`` is the first day after it on which it may be judged otherwise with the same records; None where no day
    changes it.
    """

    followed: Followed
    judged: Judged
    per_week: Decimal | None
    laid_up: LaidUp | None
    doubts: Sequence[str]
    today: date
    turns_on: date | None

    @property
    def standing(self) -> Standing:
        """Where it stands."""
        return self.judged.standing

    @property
    def is_asked_for(self) -> bool:
        """Whether it is due, overdue or soon."""
        return self.standing in ASKED_FOR

    @property
    def order(self) -> tuple[int, date, str, int]:
        """The most urgent first, then by day and boat."""
        return URGENT.index(self.standing), self.judged.due_on or date.max, self.followed.vessel, self.followed.pk


ASKED_FOR = (Standing.OVERDUE, Standing.DUE, Standing.SOON)

_READ_SUPERSEDED = SUPERSEDED.replace("entry.", "reading.")
_FOLLOWED = f"""
    WITH done AS (
        SELECT DISTINCT ON (entry.engine_id, version.plan_id) entry.engine_id, version.plan_id, entry.id,
               entry.happened_at, COALESCE(entry.engine_hours, (
                   SELECT reading.engine_hours FROM vessels_logentry reading
                   WHERE reading.id = done.read_in_id AND NOT {_READ_SUPERSEDED})) AS hours
        FROM upkeep_serviceof service
        JOIN upkeep_planversion version ON version.id = service.plan_version_id
        JOIN upkeep_servicedone done ON done.entry_id = service.done_id
        JOIN vessels_logentry entry ON entry.id = done.entry_id
        WHERE {{of_entries}} AND NOT {SUPERSEDED}
        ORDER BY entry.engine_id, version.plan_id, entry.happened_at DESC, entry.position DESC
    )
    SELECT adoption.id AS pk, adoption.version, plan.id AS plan_id, plan.name AS plan, plan.every_hours,
           plan.every_months, plan.first_hours, plan.first_months, engine.id AS engine_id, engine.position,
           engine.maker, engine.model, vessel.id AS vessel_id,
           COALESCE(NULLIF(vessel.name, ''), NULLIF(concat_ws(
             ' ', NULLIF(vessel.maker, ''), NULLIF(vessel.model, '')), ''), 'Vessel ' || vessel.id) AS vessel,
           vessel.berth, owner.id AS owner_id, owner.name AS owner, adoption.basis, adoption.last_on,
           adoption.last_hours, adoption.source, done.id AS done_id, done.happened_at AS done_at,
           done.hours AS done_hours,
           (SELECT max(job.number) FROM upkeep_plannedline planned
            JOIN workorders_jobline line ON line.id = planned.line_id JOIN workorders_job job ON job.id = line.job_id
            WHERE planned.adoption_id = adoption.id AND {{in_hand}}) AS open_job
    FROM upkeep_adoption adoption JOIN upkeep_serviceplan plan ON plan.id = adoption.plan_id
    JOIN vessels_engine engine ON engine.id = adoption.engine_id
    JOIN vessels_vessel vessel ON vessel.id = engine.vessel_id
    JOIN vessels_customer owner ON owner.id = vessel.owner_id
    LEFT JOIN done ON done.engine_id = engine.id AND done.plan_id = plan.id
    WHERE {{follows}}
      AND plan.family_id = engine.family_id AND {{of_engines}}
    ORDER BY vessel.id, engine.id, plan.name, adoption.id
"""  # noqa: S608  (put together from what the program says)
_NOW = {
    "follows": "adoption.ended_at IS NULL AND plan.ended_at IS NULL AND engine.removed_on IS NULL",
    "in_hand": "job.closed_at IS NULL",
}
_THEN = {
    "follows": """adoption.added_at < %(end)s AND (adoption.ended_at IS NULL OR adoption.ended_at >= %(end)s)
      AND (plan.ended_at IS NULL OR plan.ended_at >= %(end)s)
      AND (engine.removed_on IS NULL OR engine.removed_on > %(day)s)""",
    "in_hand": "job.opened_at < %(end)s AND (job.closed_at IS NULL OR job.closed_at >= %(end)s)",
}


class _Read(NamedTuple):
    engine_id: int
    hours: Decimal
    at: datetime


_READ = f"""
    SELECT entry.engine_id, entry.engine_hours AS hours, entry.happened_at AS at
    FROM unnest(%(engines)s::bigint[], %(since)s::timestamptz[]) AS asked(engine_id, since)
    JOIN vessels_logentry entry ON entry.engine_id = asked.engine_id AND entry.happened_at >= asked.since
    WHERE entry.engine_hours IS NOT NULL AND NOT {SUPERSEDED}
      AND (%(end)s::timestamptz IS NULL OR entry.happened_at < %(end)s)
    ORDER BY entry.engine_id, entry.happened_at, entry.position
"""  # noqa: S608


def due_of(vessel: int | None = None, *, vessels: Sequence[int] | None = None, today: date | None = None) -> list[Due]:
    """Every service that engines follow now, of one boat, of some or of all, the most urgent first: six queries.

    Engines that were removed, plans that have ended, and plans of another family than the engine is of now have none.
    """
    asked = [vessel] if vessel is not None else None if vessels is None else list(vessels)
    of_entries = "entry.vessel_id = ANY(%(keys)s)" if asked is not None else "true"
    of_engines = "engine.vessel_id = ANY(%(keys)s)" if asked is not None else "true"
    return sorted(_judged(of_entries, of_engines, asked, today), key=lambda one: one.order)


def due_as_of(day: date) -> list[Due]:
    """What stood on a day that has passed, by what the log says today had been done and read until its end.

    Intervals, owners and what was told of a last time are those of today; what was followed, what was in hand and which
    engine was aboard are those of the day. What came into the log late counts from the day on which it happened.
    """
    end = timezone.make_aware(datetime.combine(day + timedelta(days=1), time.min))
    return sorted(_judged("entry.happened_at < %(end)s", "true", None, day, end), key=lambda one: one.order)


def due_by_adoption(adoptions: Sequence[int], *, today: date) -> list[Due]:
    """The same of what is named by its key; what is followed no longer is left out."""
    of_entries = "entry.engine_id IN (SELECT engine_id FROM upkeep_adoption WHERE id = ANY(%(keys)s))"
    return _judged(of_entries, "adoption.id = ANY(%(keys)s)", list(adoptions), today)


def _judged(
    of_entries: str, of_engines: str, keys: Sequence[int] | None, today: date | None, end: datetime | None = None
) -> list[Due]:
    today, zone = today or timezone.localdate(), timezone.get_current_timezone()
    asked = _FOLLOWED.format(of_entries=of_entries, of_engines=of_engines, **(_THEN if end else _NOW))
    given = {"keys": keys} | ({"end": end, "day": today} if end else {})
    found = [
        one if one.done_at is None else one._replace(done_at=one.done_at.astimezone(zone))
        for one in rows(Followed, asked, given)
    ]
    if end:
        found = [_told_by(one, today) for one in found]
    if not found:
        return []
    engines = sorted({one.engine_id for one in found})
    last, read = hours_by_key(engines, before=end), _read_since(found, today, zone, end)
    unread, stays = _unread_since(engines, end), laid_up_of({one.vessel_id for one in found})
    if end:
        stays = {key: [stay for stay in of_boat if stay.from_on <= today] for key, of_boat in stays.items()}
    made = []
    for one in found:
        engine, away = one.engine_id, stays.get(one.vessel_id, [])
        latest, seen = last.get(engine), Seen(laid_up=away, unread_since=unread.get(engine))
        made.append(_due(one, latest, read.get(engine, []), seen, today=today))
    return made


def _told_by(one: Followed, day: date) -> Followed:
    """What was told of a last time counts from that day on, and says nothing of one before it."""
    if one.last_on is None or one.last_on <= day:
        return one
    return one._replace(basis=Basis.UNKNOWN, last_on=None, last_hours=None, source="")


class _ReadOn(NamedTuple):
    """Hours that were read, with the day by the shop's clock."""

    on: date
    known: Known


def _due(one: Followed, last: HoursKnown | None, read: Sequence[_ReadOn], seen: Seen, *, today: date) -> Due:
    base = one.last
    doubts: list[str] = []
    looked_at: list[HoursOn] = []
    if one.interval.hours is not None:
        since = _since(one, today)
        counting = [reading for reading in read if reading.on >= since]
        looked_at = [HoursOn(reading.on, reading.known.hours) for reading in counting]
        doubts = [
            doubt_words(earlier.known, later.known)
            for earlier, later in pairwise(counting)
            if base is not None and later.on >= base.on and ran_faster(earlier.known, later.known) is not None
        ]
        latest = None if last is None else HoursOn(timezone.localdate(last.happened_at), last.engine_hours)
        use = None if doubts or seen.unread_since else use_of(looked_at, today, seen.laid_up)
        seen = replace(seen, read=latest, use=use, in_doubt=bool(doubts))
    judged = judge(interval=one.interval, last=base, seen=seen, today=today, last_is_read=not one.is_told)
    return Due(
        followed=one,
        judged=judged,
        per_week=None if seen.use is None else seen.use.per_week,
        laid_up=seen.laid_up_on(today),
        doubts=doubts,
        today=today,
        turns_on=next_turn(judged, seen=seen, readings=looked_at, today=today),
    )


def _since(one: Followed, today: date) -> date:
    """From which day on hours that were read matter: since the use counts, or the last service."""
    return min(today - WINDOW, one.last.on if one.last is not None else today)


def _read_since(
    found: Iterable[Followed], today: date, zone: tzinfo, end: datetime | None
) -> Mapping[int, list[_ReadOn]]:
    """The hours read of each engine over the days that matter."""
    since: dict[int, date] = {}
    for one in found:
        begins = _since(one, today)
        since[one.engine_id] = min(begins, since.get(one.engine_id, begins))
    moments = [timezone.make_aware(datetime.combine(day, time.min)) for day in since.values()]
    read: dict[int, list[_ReadOn]] = defaultdict(list)
    for seen in rows(_Read, _READ, {"engines": list(since), "since": moments, "end": end}):
        at = seen.at.astimezone(zone)
        read[seen.engine_id].append(_ReadOn(at.date(), Known(seen.hours, at)))
    return read


def _unread_since(engines: Sequence[int], end: datetime | None) -> dict[int, date]:
    """Of each engine whose meter was replaced unread, since when its true hours are not known."""
    now: dict[int, HourMeter] = {}
    fitted = Q() if end is None else Q(fitted_at__lt=end)
    for meter in HourMeter.objects.filter(fitted, engine__in=engines).order_by("fitted_at", "pk"):
        now[meter.engine_id] = meter
    known = hours_at_zero(now.values())
    return {key: timezone.localdate(meter.fitted_at) for key, meter in now.items() if meter.pk not in known}


def laid_up_of(vessels: Iterable[int]) -> Mapping[int, list[LaidUp]]:
    """When each boat is or was laid up: one query."""
    found: dict[int, list[LaidUp]] = defaultdict(list)
    for stay in LayUp.objects.filter(vessel__in=list(vessels), struck_at=None).order_by("from_on"):
        found[stay.vessel_id].append(stay.days)
    return found
