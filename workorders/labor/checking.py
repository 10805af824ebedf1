"""What every act on hours checks before it writes, and who is locked meanwhile."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.formats import date_format

from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from vessels.log.chain import FUTURE_ALLOWED
from workorders.labor.models import Stretch
from workorders.labor.reckoning import is_same_day
from workorders.models import Job, JobLine

LONGEST_AGO = timedelta(days=366)
NO_LONGER_COUNTS = (
    "These hours were already corrected or voided. Look at the job’s hours: what counts now stands there."
)


def shop_zone() -> ZoneInfo:
    """The zone of the shop's clock."""
    return ZoneInfo(shop_profile().time_zone)


def moment_words(moment: datetime, zone: ZoneInfo) -> str:
    """A moment by the shop's clock: "Thu, Nov 26, 3:10 PM"."""
    return date_format(moment.astimezone(zone), "D, M j, g:i A")


def of_oneself_or_led(name: str) -> Any:
    """What an act on the hours of ``name`` needs: one's own, or the permission to keep those of others."""

    def needed(given: Mapping[str, Any]) -> Permission:
        found = given.get(name)
        key = found.person_id if isinstance(found, Stretch) else None if found is None else found.pk
        return Permission.CLOCK_HOURS if key in {None, given["by"].pk} else Permission.CORRECT_HOURS

    return needed


def hold_people(*people: int) -> None:
    """One writer at a time for the hours of each of these people, until the transaction's end."""
    keys = sorted(set(people))
    list(Person.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk").values_list("pk", flat=True))


def read_time(happened_at: datetime | None) -> datetime:
    """When a clock was touched: as the device says, or now.

    Raises:
        Refused: it is in the future, or longer ago than a clock is remembered.
    """
    now = timezone.now()
    at = (happened_at or now).astimezone(UTC)
    if at > now + FUTURE_ALLOWED:
        raise Refused(
            "This time is in the future. If it is not, the clock of this device is wrong: set it, and try again.",
            fields={"happened_at": "This is in the future."},
        )
    if at < now - LONGEST_AGO:
        raise Refused("This is more than a year ago. Check the date.", fields={"happened_at": "Check the date."})
    return at


def refuse_ended_by(job: Job, at: datetime) -> None:
    """No clock starts on a job that had ended by then; one that started before is as true as it was.

    Raises:
        Refused: the job was closed or canceled before.
    """
    if not job.is_open and job.closed_at is not None and at >= job.closed_at:
        state = job.get_state_display().lower()
        raise Refused(f"Job {job.number} is {state}. Open it again before somebody works on it.")


def refuse_superseded(stretch: Stretch) -> None:
    """Only what counts now can be corrected or voided.

    Raises:
        Refused: it was corrected or voided before.
    """
    if Stretch.objects.filter(pk=stretch.pk, corrected_by=None, voided=None).first() is None:
        raise Refused(NO_LONGER_COUNTS)


def refuse_not_a_worker(person: Person) -> None:
    """Hours are of people who work on engines.

    Raises:
        Refused: this one does not.
    """
    if not person.may(Permission.CLOCK_HOURS):
        sentence = f"{person} does not work on engines here. Choose a technician."
        raise Refused(sentence, fields={"person": sentence})


def fresh_line(line: JobLine) -> JobLine:
    """The line with its job as stored."""
    return JobLine.objects.select_related("job__vessel").get(pk=line.pk)


def key_of(entry_id: uuid.UUID | None) -> uuid.UUID:
    """The id of what an act makes: the client's choice, or a new one."""
    return entry_id or uuid.uuid4()


def refuse_strange_day(day: date, zone: ZoneInfo) -> None:
    """Hours are of a day that has been, and not long ago.

    Raises:
        Refused: it has not come yet, or is more than a year ago.
    """
    today = timezone.localdate(timezone.now(), zone)
    if day > today:
        raise Refused("This day has not come yet.", fields={"day": "Today, or a day before."})
    if day < today - LONGEST_AGO:
        raise Refused("This is more than a year ago.", fields={"day": "Check the year."})


def is_in_question(stretch: Stretch, zone: ZoneInfo) -> bool:
    """Whether a clock was left running, so that its hours are not known until somebody says until when it was."""
    if stretch.started_at is None or stretch.minutes is not None:
        return False
    return stretch.is_left_open or not is_same_day(stretch.started_at, timezone.now(), zone)
