"""Hours of one person that lie over each other: they are asked about once, and told wherever the day is shown."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, Sum
from django.utils.formats import date_format

from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from workorders.labor.models import Stretch
from workorders.labor.reckoning import day_minutes, plain_hours

LONG_DAY = 14 * 60
"""More than this in one day is seldom so, and asked about (common practice, no source)."""


def counting() -> Q:
    """Stretches that count: neither corrected nor voided."""
    return Q(corrected_by=None, voided=None)


def overlapping(person_id: int, start: datetime, end: datetime, *, leaving_out: Stretch | None = None) -> list[Stretch]:
    """The stretches of this person that lie over this time; one that still runs lies over all that comes after."""
    found = Stretch.objects.filter(
        counting(), Q(ended_at__gt=start) | Q(is_open=True), person=person_id, started_at__lt=end
    )
    if leaving_out is not None:
        found = found.exclude(root=leaving_out.root_id)
    return list(found.select_related("line__job").order_by("started_at"))


def ask_about_overlap(
    person_id: int, start: datetime, end: datetime, *, leaving_out: Stretch | None, zone: ZoneInfo, field: str
) -> None:
    """Ask once where other hours of this person lie over these.

    Raises:
        Refused: nobody was asked yet.
    """
    others = overlapping(person_id, start, end, leaving_out=leaving_out)
    if not others:
        return
    first = others[0]
    assert first.started_at is not None  # noqa: S101  (for the type checker: it was looked for by its times)
    until = "now" if first.ended_at is None else _clock(first.ended_at, zone)
    more = f", and {len(others) - 1} more" if len(others) > 1 else ""
    ask_once(
        f"overlap {person_id} {start:%Y%m%dT%H%M} {end:%Y%m%dT%H%M}",
        f"{_clock(first.started_at, zone)} to {until} on job {first.line.job.number}, line {first.line.position}, "
        f"lies over this{more}.",
        field=field,
        tick=f"Hours that lie over job {first.line.job.number}, line {first.line.position}",
    )


def _clock(moment: datetime, zone: ZoneInfo) -> str:
    return date_format(moment.astimezone(zone), "g:i A")


def minutes_on(person_id: int, day: date, *, leaving_out: Stretch | None = None) -> int:
    """The known minutes that count for this person on a day."""
    found = Stretch.objects.filter(counting(), person=person_id, day=day)
    if leaving_out is not None:
        found = found.exclude(root=leaving_out.root_id)
    return int(found.aggregate(sum=Sum("minutes"))["sum"] or 0)


def refuse_too_much(
    person: Person, day: date, minutes: int, *, zone: ZoneInfo, field: str, leaving_out: Stretch | None = None
) -> None:
    """A day has 24 hours, and seldom so many of work.

    Raises:
        Refused: the person's day would have more hours than there are, or so many that it is asked about once.
    """
    before = minutes_on(person.pk, day, leaving_out=leaving_out)
    total, most = before + minutes, day_minutes(day, zone)
    said = f"{plain_hours(total).normalize():f} h for {person} on {date_format(day, 'D, M j')}"
    if total > most:
        known = f" {plain_hours(before).normalize():f} h are there already." if before else ""
        sentence = f"That would make {said}: the day has {plain_hours(most).normalize():f}.{known}"
        raise Refused(sentence, fields={field: sentence})
    if total > LONG_DAY:
        ask_once(f"long day {person.pk} {day} {total}", f"That makes {said}.", field=field, tick=said)
