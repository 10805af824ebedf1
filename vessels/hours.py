"""An engine's true hours over time: its meters, and the readings on either side of a moment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from django.db.models import QuerySet
from django.utils import timezone

from commands.questions import ask_once
from commands.refusals import Refused
from engineering.canonical import plain_decimal
from engineering.hours import hours_words
from vessels.log.evidence import effective
from vessels.models import Engine, HourMeter, HourReading, LogEntry
from vessels.wording import day_words, moment_words

TENTH = Decimal("0.1")
A_DAY = timedelta(days=1)
"""What is dated by the day alone may have been read at its end: so far hours may seem to outrun the clock."""
ROUNDED = timedelta(hours=1)
"""A meter that shows whole hours may click right after one reading and right before the next, and a time typed an hour
off, as when clocks change, is no slip of the meter."""


class Known(NamedTuple):
    """True hours at a moment."""

    hours: Decimal
    at: datetime

    @property
    def local_at(self) -> datetime:
        """The moment by the shop's clock."""
        return timezone.localtime(self.at)


@dataclass(frozen=True)
class KnownHours:
    """True hours that an engine had at a moment."""

    hours: Decimal
    at: datetime
    entry: LogEntry


@dataclass(frozen=True)
class Neighbors:
    """The hours known last before a moment and first after it."""

    before: KnownHours | None
    after: KnownHours | None


def meter_at(engine: Engine, when: datetime) -> HourMeter | None:
    """The meter that the engine had then; before its first fitting that is known, the first one."""
    meters = sorted(engine.meters.all(), key=lambda one: (one.fitted_at, one.pk))  # few, and often fetched already
    fitted = [one for one in meters if one.fitted_at <= when]
    return fitted[-1] if fitted else next(iter(meters), None)


def first_meter(engine: Engine) -> HourMeter:
    """The meter of an engine that has none on record yet: taken at its word."""
    return HourMeter.objects.create(engine=engine, fitted_at=timezone.now())


def engine_hours_at_zero(meter: HourMeter) -> Decimal | None:
    """The engine's true hours when this meter stood, or would have stood, at zero; None where nobody knows them.

    A meter that took the place of one that was not read tells them only by a reading that gave them from elsewhere,
    and only as long as that reading counts.
    """
    return hours_at_zero([meter]).get(meter.pk)


def hours_at_zero(meters: Iterable[HourMeter]) -> dict[int, Decimal]:
    """The same for several meters, by their keys and in one query at most; those of which nobody knows are left out."""
    found, unread = {}, []
    for meter in meters:
        if meter.engine_hours_when_fitted is None:
            unread.append(meter)
        else:
            found[meter.pk] = meter.engine_hours_when_fitted - meter.shown_when_fitted
    if unread:
        entries = LogEntry.objects.filter(engine__in={meter.engine_id for meter in unread})
        told = (
            HourReading.objects.filter(meter__in=unread, entry__in=effective(entries))
            .filter(entry__engine_hours__isnull=False)
            .order_by("meter", "entry__position")
            .distinct("meter")
            .values_list("meter", "entry__engine_hours", "shown")
        )
        found |= {meter: hours - shown for meter, hours, shown in told if hours is not None}
    return found


def true_hours(meter: HourMeter, shown: Decimal) -> Decimal | None:
    """The engine's true hours when this meter shows ``shown``; None where they are not known."""
    start = engine_hours_at_zero(meter)
    return None if start is None else start + shown


def unread_since(engine: Engine, at: datetime | None = None) -> datetime | None:
    """Since when the engine's true hours are not known, because a meter was replaced unread; None where they are."""
    meter = meter_at(engine, at or timezone.now())
    return meter.fitted_at if meter is not None and engine_hours_at_zero(meter) is None else None


def not_known_words(since: datetime) -> str:
    """Why an engine's true hours are not known, in a sentence."""
    return (
        f"The engine’s hours are not known since {day_words(since)}: the old meter was not read when it was replaced."
    )


def meter_backwards(meter: HourMeter, shown: Decimal, when: datetime, *, but: LogEntry | None = None) -> str | None:
    """Why a meter cannot show this between what it showed before and after; None where it can."""
    if when >= meter.fitted_at and shown < meter.shown_when_fitted:
        began = f"The meter began at {hours_words(meter.shown_when_fitted)} on {day_words(meter.fitted_at)}"
        return f"{began}; {hours_words(shown)} is less. Read it again."
    around = shown_around(meter, when, but=but)
    before, after = around.before, around.after
    if before is not None and shown < before.hours:
        showed = f"The meter showed {hours_words(before.hours)} on {day_words(before.at)}"
        return f"{showed}; {hours_words(shown)} is less. If it was replaced again, log that first."
    if after is not None and shown > after.hours:
        showed = f"On {day_words(after.at)}, after this, the meter showed {hours_words(after.hours)}"
        return f"{showed}; {hours_words(shown)} is more. Check the day and the figure."
    return None


def shown_around(meter: HourMeter, when: datetime, *, but: LogEntry | None = None) -> Neighbors:
    """What a meter showed just before and just after a moment, whatever the engine's true hours were."""
    seen = HourReading.objects.filter(
        meter=meter, entry__in=effective(LogEntry.objects.filter(engine_id=meter.engine_id))
    ).select_related("entry")
    if but is not None:
        seen = seen.exclude(pk=but.pk)
    before = seen.filter(entry__happened_at__lte=when).order_by("-entry__happened_at", "-entry__position").first()
    after = seen.filter(entry__happened_at__gt=when).order_by("entry__happened_at", "entry__position").first()
    return Neighbors(
        *(None if one is None else KnownHours(one.shown, one.entry.happened_at, one.entry) for one in (before, after))
    )


def known_hours(engine: Engine) -> QuerySet[LogEntry]:
    """The entries that tell the engine's hours and still stand: readings of its meter, and what was logged at hours."""
    return effective(LogEntry.objects.filter(engine=engine, engine_hours__isnull=False))


def hours_around(engine: Engine, when: datetime, *, but: LogEntry | None = None) -> Neighbors:
    """What is known just before and just after a moment, leaving out an entry that is about to be replaced."""
    known = known_hours(engine)
    if but is not None:
        known = known.exclude(pk=but.pk)
    before = known.filter(happened_at__lte=when).order_by("-happened_at", "-position").first()
    after = known.filter(happened_at__gt=when).order_by("happened_at", "position").first()
    return Neighbors(_as_known(before), _as_known(after))


def _as_known(entry: LogEntry | None) -> KnownHours | None:
    if entry is None or entry.engine_hours is None:
        return None
    return KnownHours(entry.engine_hours, entry.happened_at, entry)


def backwards(hours: Decimal, around: Neighbors) -> str | None:
    """Why true hours cannot lie between what is known before and after them; None where they can."""
    before, after = around.before, around.after
    if hours < 0:
        return "That is before the engine's first hour. Read the meter again."
    if before is not None and hours < before.hours:
        return (
            f"The engine had {hours_words(before.hours)} on {day_words(before.at)}; {hours_words(hours)} is less. "
            f"If the meter was replaced, log that first. If you read this earlier, give the day and time when you "
            f"did. If the older figure was wrong, correct it or void it in the log."
        )
    if after is not None and hours > after.hours:
        return (
            f"On {day_words(after.at)}, after this reading, the engine had {hours_words(after.hours)}; "
            f"{hours_words(hours)} is more. Check the day and the figure."
        )
    return None


def outrun(hours: Decimal, when: datetime, around: Neighbors) -> str | None:
    """How true hours would have passed faster than the clock, by more than a day; None where they did not."""
    before = around.before
    if before is None:
        return None
    ran = hours - before.hours
    if ran <= _clock_hours(before.at, when, A_DAY):
        return None
    return (
        f"That is {hours_words(ran)} more than the {hours_words(before.hours)} of {day_words(before.at)}, and more "
        f"than have passed since. Read the meter again: a decimal point may be missing."
    )


def slightly_outrun(hours: Decimal, when: datetime, around: Neighbors) -> str | None:
    """How true hours would have passed faster than the clock before or after; None where they surely need not have."""
    for earlier, later in _stretches(hours, when, around):
        passed = ran_faster(earlier, later)
        if passed is not None:
            began, ended, ran = (
                moment_words(earlier.local_at),
                moment_words(later.local_at),
                later.hours - earlier.hours,
            )
            return (
                f"From {began} to {ended} only {hours_words(passed)} passed, and the engine would have run "
                f"{hours_words(ran)}, from {hours_words(earlier.hours)} to {hours_words(later.hours)}. Check the "
                "figure, and when it was read."
            )
    return None


def ran_faster(earlier: Known, later: Known) -> Decimal | None:
    """The hours that passed by the clock where true hours ran faster than it; None where they surely need not have.

    Two moments that were told to the minute leave an hour of room, a day without its time a day.
    """
    ran = later.hours - earlier.hours
    if ran <= _clock_hours(earlier.at, later.at, ROUNDED):
        return None
    if (_is_a_day(earlier) or _is_a_day(later)) and ran <= _clock_hours(earlier.at, later.at, A_DAY):
        return None
    return _clock_hours(earlier.at, later.at).quantize(TENTH)


def _stretches(hours: Decimal, when: datetime, around: Neighbors) -> list[tuple[Known, Known]]:
    here = Known(hours, when)
    before = [(Known(around.before.hours, around.before.at), here)] if around.before else []
    after = [(here, Known(around.after.hours, around.after.at))] if around.after else []
    return before + after


def _clock_hours(earlier: datetime, later: datetime, slack: timedelta = timedelta(0)) -> Decimal:
    return Decimal((later - earlier + slack).total_seconds()) / 3600


def _is_a_day(known: Known) -> bool:
    """Whether it was at the very beginning of a day, as a date without a time is."""
    local = known.local_at
    return (local.hour, local.minute, local.second) == (0, 0, 0)


def refuse_impossible_hours(
    engine: Engine | None, hours: Decimal | None, at: datetime | None, *, amends: LogEntry | None = None
) -> None:
    """Refuse true hours that run backward against the hours on record, or by a day faster than the clock.

    Hours that run faster than the clock by less are asked about once.

    Raises:
        Refused: with the sentence for the field ``hours``.
    """
    if engine is None or hours is None:
        return
    when = at or timezone.now()
    hours = hours.quantize(TENTH, rounding=ROUND_HALF_UP)  # as it will stand on record
    around = hours_around(engine, when, but=amends)
    faster = outrun(hours, when, around)
    if faster is not None:
        faster += " If the meter really shows this, log its hours on the engine's page first."
    sentence = backwards(hours, around) or faster
    if sentence is not None:
        raise impossible_hours(sentence)
    if odd := slightly_outrun(hours, when, around):
        ask_once(
            f"hours of {engine.pk}: {plain_decimal(hours)}", odd, field="hours", tick=f"{engine}: {hours_words(hours)}"
        )


def impossible_hours(sentence: str) -> Refused:
    """A refusal of hours, for the field that they were written in."""
    return Refused("The hours cannot be right.", fields={"hours": sentence})


def shown_for(engine: Engine | None, hours: Decimal | None, *, at: datetime | None = None) -> Decimal | None:
    """What the meter that was fitted then, or is now, shows at these true hours."""
    if engine is None or hours is None:
        return None
    meter = meter_at(engine, at or timezone.now())
    return hours if meter is None else shown_from(engine_hours_at_zero(meter), hours)


def shown_from(start: Decimal | None, hours: Decimal) -> Decimal | None:
    """What a meter shows at these true hours that stood at zero at ``start``."""
    return None if start is None or hours < start else hours - start
