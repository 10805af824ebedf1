"""What is asked about instruments: those in use, and how one stood on a day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from findings.instruments.models import Calibration, Instrument, MadeWith
from findings.instruments.wording import calibration_words, instrument_words, is_out_of_calibration
from staff.queries import shop_profile

LAST = 20


def register() -> QuerySet[Instrument]:
    """Every instrument with its calibrations that count, newest first: two queries."""
    standing = Calibration.objects.filter(struck_at=None)
    return Instrument.objects.prefetch_related(Prefetch("calibrations", standing, to_attr="standing"))


def in_use(also: Iterable[int] = ()) -> QuerySet[Instrument]:
    """The instruments to choose from: those in service, and those named in ``also`` whatever became of them."""
    return register().filter(Q(out_of_service_on=None) | Q(pk__in=list(also)))


def calibration_on(instrument: Instrument, day: date) -> Calibration | None:
    """The calibration that counted on a day: the last one made by then, which may have run out."""
    known: list[Calibration] | None = getattr(instrument, "standing", None)
    if known is not None:
        return next((one for one in known if one.calibrated_on <= day), None)
    return instrument.calibrations.filter(struck_at=None, calibrated_on__lte=day).first()


def state_on(instrument: Instrument, day: date) -> str:
    """How an instrument stands on a day, in words."""
    found = calibration_on(instrument, day)
    return calibration_words(found.calibrated_on if found else None, found.due_on if found else None, day)


def as_at(instrument: Instrument | None, happened_at: datetime | None) -> dict[str, Any]:
    """The columns of ``MadeWith`` that keep an instrument as it stood when the finding was made."""
    if instrument is None:
        return {}
    day = timezone.localdate(happened_at or timezone.now(), ZoneInfo(shop_profile().time_zone))
    found = calibration_on(instrument, day)
    return {
        "registered": instrument,
        "registered_as": instrument.name,
        "instrument_serial": instrument.serial,
        "calibrated_on": found.calibrated_on if found else None,
        "calibrated_until": found.due_on if found else None,
    }


@dataclass(frozen=True)
class MadeWithWords:
    """What a page says of the instrument of a finding."""

    words: str
    calibration: str
    is_out: bool
    remark: str = ""
    """A question about it: whether it can have measured this at all."""


def made_with(finding: MadeWith, happened_at: datetime, *, calibration_matters: bool = True) -> MadeWithWords:
    """What a finding was made with, in words; empty where nothing was said.

    Of a typed instrument the register knows nothing, so nothing is said of its calibration. Where it does not matter
    (an instrument that lists codes measures nothing), it is said only if there is one on record.
    """
    words = instrument_words(finding.registered_as or "", finding.instrument)
    if finding.registered_id is None:
        return MadeWithWords(words, "", is_out=False)
    day = timezone.localdate(happened_at)
    if finding.instrument_serial:
        words += f", serial {finding.instrument_serial}"
    if finding.calibrated_on is None and not calibration_matters:
        return MadeWithWords(words, "", is_out=False)
    said = calibration_words(finding.calibrated_on, finding.calibrated_until, day)
    return MadeWithWords(words, said, is_out_of_calibration(finding.calibrated_until, day))
