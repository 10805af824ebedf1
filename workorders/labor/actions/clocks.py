"""Clocking on and off a line: each act says what happened and when, and what follows from it is worked out.

What a clock's stretch comes to is a function of what was said of it, in whatever order that arrived
(``workorders.labor.reckoning.end_of``). A person has one open clock: the database says so.
"""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.log.chain import following_id
from workorders.labor.checking import (
    fresh_line,
    hold_people,
    is_in_question,
    key_of,
    moment_words,
    of_oneself_or_led,
    read_time,
    refuse_ended_by,
    refuse_superseded,
    shop_zone,
)
from workorders.labor.models import Stretch, StretchEnd
from workorders.labor.overlaps import ask_about_overlap, overlapping
from workorders.labor.reckoning import (
    ANSWERED,
    HANDED_OVER,
    PAUSED,
    PRESSED,
    end_of,
    is_same_day,
    whole_minutes,
)
from workorders.models import JobLine

MOST_ANSWERED = timedelta(hours=24)
MOST_REASON = 120


@command("start_clock", needs=Permission.CLOCK_HOURS, writes_to="line.job.vessel")
def start_clock(
    *, by: Person, line: JobLine, happened_at: datetime | None = None, entry_id: uuid.UUID | None = None
) -> Stretch:
    """Clock on to a line. A clock that runs elsewhere stops at this moment.

    Raises:
        Refused: the job had ended, or the time is in the future or more than a year ago.
    """
    at = read_time(happened_at)
    stored = fresh_line(line)
    refuse_ended_by(stored.job, at)
    hold_people(by.pk)
    return _set_going(by, stored, at, key_of(entry_id))


@command("start_clock_since", needs=Permission.CLOCK_HOURS, writes_to="line.job.vessel")
def start_clock_since(*, by: Person, line: JobLine, since: datetime, entry_id: uuid.UUID | None = None) -> Stretch:
    """Clock on to a line on which one has worked for a while, as is remembered now.

    A touch of the time says what was, and cuts what lies over it; what is remembered does not. A clock that runs
    elsewhere since before stops at that moment.

    Raises:
        Refused: it is of another working day, has not come yet, lies over other hours of that person, or as
            ``start_clock``.
    """
    now, zone = timezone.now(), shop_zone()
    if since > now:
        raise Refused("This time has not come yet.", fields={"since": "A time that has been."})
    if not is_same_day(since, now, zone):
        sentence = "That was another day. Note its hours instead, and clock on for today."
        raise Refused(sentence, fields={"since": sentence})
    stored = fresh_line(line)
    refuse_ended_by(stored.job, since)
    hold_people(by.pk)
    _refuse_work_until_later(by, since, now, zone)
    return _set_going(by, stored, since, key_of(entry_id))


def _refuse_work_until_later(person: Person, since: datetime, now: datetime, zone: ZoneInfo) -> None:
    """What is remembered cuts nothing off; only a clock that runs since before stops then."""
    for one in overlapping(person.pk, since, now):
        began = one.started_at
        assert began is not None  # noqa: S101  (for the type checker: it was looked for by its times)
        if one.is_open and began < since:
            continue
        how = f"ended {moment_words(one.ended_at, zone)}" if one.ended_at else f"started {moment_words(began, zone)}"
        where = f"job {one.line.job.number}, line {one.line.position}"
        sentence = f"Your work on {where} {how}. Enter a time after that, or correct those hours first."
        raise Refused(sentence, fields={"since": sentence})


@command("stop_clock", needs=of_oneself_or_led("stretch"), writes_to="stretch.line.job.vessel")
def stop_clock(
    *, by: Person, stretch: Stretch, happened_at: datetime | None = None, entry_id: uuid.UUID | None = None
) -> Stretch:
    """Clock off.

    Raises:
        Refused: it is no clock, began later, or has run since another day, so that until when has to be said.
    """
    return _end(by, stretch, StretchEnd(pk=key_of(entry_id), kind=PRESSED), happened_at)


@command("pause_clock", needs=of_oneself_or_led("stretch"), writes_to="stretch.line.job.vessel")
def pause_clock(
    *,
    by: Person,
    stretch: Stretch,
    reason: str = "",
    happened_at: datetime | None = None,
    entry_id: uuid.UUID | None = None,
) -> Stretch:
    """Interrupt the work on a line, with a word of why or without; it is gone on with by clocking on again.

    Raises:
        Refused: as ``stop_clock``.
    """
    return _end(by, stretch, StretchEnd(pk=key_of(entry_id), kind=PAUSED, reason=reason), happened_at)


@command("take_over", needs=Permission.CLOCK_HOURS, writes_to="stretch.line.job.vessel")
def take_over(
    *, by: Person, stretch: Stretch, happened_at: datetime | None = None, entry_id: uuid.UUID | None = None
) -> Stretch:
    """Take a line over from another technician: one clock stops, and one's own starts at the same moment.

    Raises:
        Refused: it is one's own clock, the job had ended, or the other clock has run since another day.
    """
    if stretch.person_id == by.pk:
        raise Refused("This is your own clock.")
    at = read_time(happened_at)
    line = fresh_line(stretch.line)
    refuse_ended_by(line.job, at)
    key = key_of(entry_id)
    hold_people(by.pk, stretch.person_id)
    _say_end(by, stretch, StretchEnd(pk=following_id(key, "handed-over"), kind=HANDED_OVER, at=at))
    return _set_going(by, line, at, key)


@command("answer_clock", needs=of_oneself_or_led("stretch"), writes_to="stretch.line.job.vessel")
def answer_clock(*, by: Person, stretch: Stretch, until: datetime, entry_id: uuid.UUID | None = None) -> Stretch:
    """Say until when a clock that was left running was worked.

    Raises:
        Refused: it was not left running, or that is no time until when it can have been.
    """
    hold_people(by.pk, stretch.person_id)
    stretch.refresh_from_db()
    zone = shop_zone()
    _refuse_no_clock(stretch)
    refuse_superseded(stretch)
    if not is_in_question(stretch, zone):
        raise Refused("This clock was not left running: nothing has to be said. Correct the hours if they are wrong.")
    field = "until"
    started = stretch.started_at
    assert started is not None  # noqa: S101  (for the type checker: it is a clock)
    if until > timezone.now():
        raise Refused("This time has not come yet.", fields={field: "A time that has been."})
    if whole_minutes(started, until) < 0:
        said = moment_words(started, zone)
        raise Refused("The clock was started after that.", fields={field: f"The clock was started {said}."})
    if until - started > MOST_ANSWERED:
        sentence = "That would be more than 24 hours at a stretch. Check the day."
        raise Refused(sentence, fields={field: sentence})
    following = _following(stretch)
    if following is not None and following.started_at is not None and until > following.started_at:
        said = moment_words(following.started_at, zone)
        sentence = f"The next clock was started {said}: it was not later than that."
        raise Refused(sentence, fields={field: sentence})
    ask_about_overlap(stretch.person_id, started, until, leaving_out=stretch, zone=zone, field=field)
    _say_end(by, stretch, StretchEnd(pk=key_of(entry_id), kind=ANSWERED, at=max(until, started)))
    return stretch


def _set_going(person: Person, line: JobLine, at: datetime, key: uuid.UUID) -> Stretch:
    """Add a clock, and work out anew the one that ran before it."""
    zone = shop_zone()
    made = Stretch.objects.create(
        pk=key, source="clock", line=line, person=person, started_at=at, day=at.astimezone(zone).date(), root_id=key,
        by=person, recorded_at=timezone.now(),
    )  # fmt: skip
    earlier = Q(started_at__lt=at) | Q(started_at=at, pk__lt=made.pk)
    before = _clocks_of(made).filter(earlier).order_by("-started_at", "-pk").first()
    if before is not None:
        work_out(before, zone)
    work_out(made, zone)
    return made


def _clocks_of(stretch: Stretch) -> QuerySet[Stretch]:
    return Stretch.objects.filter(person=stretch.person_id, source="clock")


def _following(stretch: Stretch) -> Stretch | None:
    """The same person's next clock; of several at one instant their ids say which comes first."""
    at = stretch.started_at
    later = Q(started_at__gt=at) | Q(started_at=at, pk__gt=stretch.pk)
    return _clocks_of(stretch).filter(later).order_by("started_at", "pk").first()


def _end(by: Person, stretch: Stretch, said: StretchEnd, happened_at: datetime | None) -> Stretch:
    said.at = read_time(happened_at)
    hold_people(stretch.person_id)
    _say_end(by, stretch, said)
    return stretch


def _say_end(by: Person, stretch: Stretch, said: StretchEnd) -> None:
    """Keep what is said of a clock's end, and work out what it comes to."""
    zone = shop_zone()
    _refuse_no_clock(stretch)
    started = stretch.started_at
    assert started is not None  # noqa: S101  (for the type checker: it is a clock)
    if said.at < started:
        raise Refused(f"This clock was started {moment_words(started, zone)}, after that.")
    if said.kind != ANSWERED and not is_same_day(started, said.at, zone):
        whose = "Your clock" if stretch.person_id == by.pk else f"The clock of {stretch.person}"
        raise Refused(f"{whose} has run since {moment_words(started, zone)}. Say until when it was, and then go on.")
    said.stretch, said.by, said.recorded_at = stretch, by, timezone.now()
    said.reason = " ".join(said.reason.split())[:MOST_REASON]
    said.save(force_insert=True)
    work_out(stretch, zone)


def _refuse_no_clock(stretch: Stretch) -> None:
    if stretch.source != "clock":
        raise Refused("These hours were not clocked. Correct them instead.")


def work_out(stretch: Stretch, zone: ZoneInfo) -> None:
    """Put what follows from all that was said of a clock into its row. The person's hours are held by the caller."""
    started, following = stretch.started_at, _following(stretch)
    assert started is not None  # noqa: S101  (for the type checker: it is a clock)
    said = list(stretch.ends.values_list("kind", "at"))
    end = end_of(started, said, following.started_at if following else None, zone)
    stretch.ended_at = end
    stretch.minutes = None if end is None else whole_minutes(started, end)
    stretch.is_open = end is None and following is None
    stretch.save(update_fields=["ended_at", "minutes", "is_open"])
