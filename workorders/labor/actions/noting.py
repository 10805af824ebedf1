"""Hours without a clock, corrections and what is taken back. Nothing is edited: each is an entry beside the others."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import NOTHING_DIFFERS, Refused
from staff.models import Person
from vessels.log.chain import FUTURE_ALLOWED
from vessels.wording import date_words
from workorders.actions.checking import refuse_ended
from workorders.labor.checking import (
    fresh_line,
    hold_people,
    is_in_question,
    key_of,
    of_oneself_or_led,
    refuse_not_a_worker,
    refuse_strange_day,
    refuse_superseded,
    shop_zone,
)
from workorders.labor.models import Stretch, StretchVoid
from workorders.labor.overlaps import ask_about_overlap, refuse_too_much
from workorders.labor.reckoning import day_minutes, plain_hours, whole_minutes
from workorders.models import Job, JobLine

MOST_WORDS = 500


@dataclass(frozen=True)
class Told:
    """What was said of some work: the day and how long, with its times where those were said."""

    day: date
    minutes: int
    started_at: datetime | None
    ended_at: datetime | None


@command("note_hours", needs=of_oneself_or_led("person"), writes_to="line.job.vessel")
def note_hours(
    *,
    by: Person,
    line: JobLine,
    day: date,
    minutes: int | None = None,
    started_at: datetime | None = None,
    ended_at: datetime | None = None,
    person: Person | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> Stretch:
    """Note hours that nobody clocked: how long on a day, or from when until when.

    Raises:
        Refused: there is no length or two of them, the day cannot have been, it has not so many hours, or the job has
            ended. What is unusual, or lies over other hours, is asked about once.
    """
    who, zone = person or by, shop_zone()
    stored = fresh_line(line)
    refuse_ended(stored.job)
    refuse_not_a_worker(who)
    hold_people(by.pk, who.pk)
    told = _understood(who, day, minutes, started_at, ended_at, zone=zone)
    _ask_about_a_day_before(stored.job, told.day, zone)
    key = key_of(entry_id)
    return Stretch.objects.create(
        pk=key, source="noted", line=stored, person=who, day=told.day, started_at=told.started_at,
        ended_at=told.ended_at, minutes=told.minutes, remark=_words(remark), root_id=key, by=by,
        recorded_at=timezone.now(),
    )  # fmt: skip


@command("correct_hours", needs=of_oneself_or_led("stretch"), writes_to="line.job.vessel")
def correct_hours(
    *,
    by: Person,
    stretch: Stretch,
    line: JobLine,
    day: date,
    minutes: int | None = None,
    started_at: datetime | None = None,
    ended_at: datetime | None = None,
    reason: str,
    entry_id: uuid.UUID | None = None,
) -> Stretch:
    """Put other hours in the place of these, with why. Both stay visible, and the later ones count.

    Raises:
        Refused: nobody said why, they were already corrected or voided, their clock still runs, or as ``note_hours``.
    """
    zone = shop_zone()
    stored = fresh_line(line)
    hold_people(by.pk, stretch.person_id)
    stretch.refresh_from_db()
    refuse_superseded(stretch)
    _refuse_running(stretch, zone)
    why = _words(reason)
    if not why:
        raise Refused("Write why the hours are corrected.", fields={"reason": "Write why the hours are corrected."})
    told = _understood(stretch.person, day, minutes, started_at, ended_at, zone=zone, corrected=stretch)
    if told.day != stretch.day:
        _ask_about_a_day_before(stored.job, told.day, zone)
    same = (stretch.line_id, stretch.day, stretch.minutes, stretch.started_at, stretch.ended_at)
    if same == (stored.pk, told.day, told.minutes, told.started_at, told.ended_at):
        raise Refused(NOTHING_DIFFERS)
    tell(hours=[_hours(stretch.minutes), _hours(told.minutes)])
    return Stretch.objects.create(
        pk=key_of(entry_id), source="corrected", line=stored, person_id=stretch.person_id, day=told.day,
        started_at=told.started_at, ended_at=told.ended_at, minutes=told.minutes, remark=stretch.remark, why=why,
        amends=stretch, root_id=stretch.root_id, by=by, recorded_at=timezone.now(),
    )  # fmt: skip


@command("void_hours", needs=of_oneself_or_led("stretch"), writes_to="stretch.line.job.vessel")
def void_hours(*, by: Person, stretch: Stretch, reason: str, entry_id: uuid.UUID | None = None) -> Stretch:
    """Take hours back, with why. They stay visible and count for nothing.

    Raises:
        Refused: nobody said why, they were already corrected or voided, or their clock still runs.
    """
    hold_people(by.pk, stretch.person_id)
    stretch.refresh_from_db()
    refuse_superseded(stretch)
    _refuse_running(stretch, shop_zone())
    why = _words(reason)
    if not why:
        raise Refused("Write why the hours are voided.", fields={"reason": "Write why the hours are voided."})
    tell(hours=[_hours(stretch.minutes), None])
    StretchVoid.objects.create(pk=key_of(entry_id), stretch=stretch, reason=why, by=by, at=timezone.now())
    return stretch


def _ask_about_a_day_before(job: Job, day: date, zone: ZoneInfo) -> None:
    """Ask once about hours of a day before the job was opened: they may be of another job."""
    opened = timezone.localdate(job.opened_at, zone)
    if day < opened:
        said = f"Job {job.number} was opened on {date_words(opened)}, and these hours are of {date_words(day)}."
        ask_once(f"{day} before job {job.number}", said, field="day", tick="They were worked before it was opened")


def _hours(minutes: int | None) -> str:
    return "not known" if minutes is None else str(plain_hours(minutes))


def _words(text: str) -> str:
    return " ".join(text.split())[:MOST_WORDS]


def _refuse_running(stretch: Stretch, zone: ZoneInfo) -> None:
    if stretch.is_open and not is_in_question(stretch, zone):
        raise Refused("This clock is still running. Clock off first.")


def _understood(
    person: Person,
    day: date,
    minutes: int | None,
    started_at: datetime | None,
    ended_at: datetime | None,
    *,
    zone: ZoneInfo,
    corrected: Stretch | None = None,
) -> Told:
    """What was said, if it can have been."""
    if (started_at is None) != (ended_at is None):
        sentence = "Enter both times, or only how long it was."
        raise Refused(sentence, fields={"ended" if ended_at is None else "started": sentence})
    refuse_strange_day(day, zone)
    if started_at is None or ended_at is None:
        if minutes is None:
            sentence = "Enter how long it was, or from when until when."
            raise Refused(sentence, fields={"hours": sentence})
        if minutes <= 0:
            raise Refused("That is no time at all.", fields={"hours": "More than nothing: at least a minute."})
        refuse_too_much(person, day, minutes, zone=zone, field="hours", leaving_out=corrected)
        return Told(day, minutes, None, None)
    started, ended = started_at.astimezone(UTC), ended_at.astimezone(UTC)
    length = whole_minutes(started, ended)
    if length <= 0:
        sentence = "It ends before it begins. Work past midnight is noted as two: until midnight, and from then on."
        raise Refused(sentence, fields={"ended": sentence})
    if minutes is not None and minutes != length:
        sentence = f"From when until when makes {plain_hours(length).normalize():f} h. Leave one of them empty."
        raise Refused(sentence, fields={"hours": sentence})
    if ended > timezone.now() + FUTURE_ALLOWED:
        raise Refused("This time has not come yet.", fields={"ended": "A time that has been."})
    if started.astimezone(zone).date() != day:
        raise Refused("It does not begin on this day.", fields={"day": "The day on which it began."})
    if length > day_minutes(day, zone):
        sentence = "That is more than the day has hours. Note each day by itself."
        raise Refused(sentence, fields={"ended": sentence})
    refuse_too_much(person, day, length, zone=zone, field="ended", leaving_out=corrected)
    ask_about_overlap(person.pk, started, ended, leaving_out=corrected, zone=zone, field="ended")
    return Told(day, length, started, ended)
