"""What is done to the register of instruments. Findings keep an instrument as it stood when they were made."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused, refusal_of
from findings.instruments.models import Calibration, Instrument
from staff.models import Person
from staff.policy import Permission
from web.versions import apply_changes

FIELDS = frozenset({"kind", "make", "serial", "out_of_service_on"})
KNOWN_ALREADY = "An instrument of this maker and model with this serial number is already in the register."
LONGEST = timedelta(days=366 * 20)


@command("add_instrument", needs=Permission.EDIT_INSTRUMENTS)
def add_instrument(
    *,
    by: Person,
    kind: str,
    make: str = "",
    serial: str = "",
    calibrated_on: date | None = None,
    due_on: date | None = None,
    entry_id: UUID | None = None,
) -> Instrument:
    """Put an instrument into the register, with its last calibration where that is known.

    Raises:
        Refused: it is there already, or the days of its calibration contradict each other.
    """
    made = Instrument(kind=_plain(kind), make=_plain(make), serial=_plain(serial), changed_by=by)
    _check(made)
    if due_on is not None and calibrated_on is None:
        raise Refused(
            "A due date alone does not say from when on it holds.",
            fields={"calibrated_on": "Enter the day of the calibration as well: it is on the certificate."},
        )
    try:
        with transaction.atomic():
            made.save()
    except IntegrityError as error:
        raise Refused(KNOWN_ALREADY, fields={"serial": KNOWN_ALREADY}) from error
    if calibrated_on is not None:
        _calibrate(by, made, calibrated_on, due_on)
    return made


@command("change_instrument", needs=Permission.EDIT_INSTRUMENTS, writes_to="instrument")
def change_instrument(
    *, by: Person, instrument: Instrument, seen_version: int, changes: Mapping[str, Any], entry_id: UUID | None = None
) -> Instrument:
    """Change what the register says of an instrument, or take it out of service. Findings keep what they say.

    Raises:
        Conflict: somebody else saved something else in the meantime.
        Refused: another instrument has that serial number, or it is out of service only from some day to come.
    """
    if strange := set(changes) - FIELDS:
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    wanted = {name: _plain(value) if isinstance(value, str) else value for name, value in changes.items()}
    later = copy.copy(instrument)
    for name, value in wanted.items():
        setattr(later, name, value)
    _check(later)
    out = later.out_of_service_on
    if out is not None and out > timezone.localdate():
        raise Refused("This day has not come yet.", fields={"out_of_service_on": "Today, or a day before."})
    try:
        with transaction.atomic():
            apply_changes(instrument, seen_version=seen_version, changes=wanted, by=by)
    except IntegrityError as error:
        raise Refused(KNOWN_ALREADY, fields={"serial": KNOWN_ALREADY}) from error
    return instrument


@command("add_calibration", needs=Permission.EDIT_INSTRUMENTS, writes_to="instrument")
def add_calibration(
    *,
    by: Person,
    instrument: Instrument,
    calibrated_on: date,
    due_on: date | None = None,
    entry_id: UUID | None = None,
) -> Calibration:
    """Put a calibration into the register. What was logged before keeps what stood there when it was logged.

    Raises:
        Refused: its days contradict each other, or one of that day stands there already.
    """
    return _calibrate(by, instrument, calibrated_on, due_on)


@command("strike_calibration", needs=Permission.EDIT_INSTRUMENTS, writes_to="calibration.instrument")
def strike_calibration(*, by: Person, calibration: Calibration, entry_id: UUID | None = None) -> Calibration:
    """Void a calibration that was written down by mistake. It stays visible, struck through, and counts no more."""
    stored = Calibration.objects.select_for_update().get(pk=calibration.pk)
    if stored.struck_at is None:
        stored.struck_at, stored.struck_by = timezone.now(), by
        stored.save(update_fields=["struck_at", "struck_by"])
    return stored


def _calibrate(by: Person, instrument: Instrument, calibrated_on: date, due_on: date | None) -> Calibration:
    if calibrated_on > timezone.localdate():
        raise Refused("This day has not come yet.", fields={"calibrated_on": "Today, or a day before."})
    if calibrated_on.year < 1950:
        raise Refused("This is too long ago.", fields={"calibrated_on": "Check the year."})
    if due_on is not None and due_on < calibrated_on:
        raise Refused("It would be due before it was calibrated.", fields={"due_on": "A day after the calibration."})
    if due_on is not None and due_on - calibrated_on > LONGEST:
        raise Refused("No calibration holds that long.", fields={"due_on": "Check the year."})
    if instrument.calibrations.filter(calibrated_on=calibrated_on, struck_at=None).exists():
        sentence = "A calibration of this day is already in the register. Void it first if it is wrong."
        raise Refused(sentence, fields={"calibrated_on": sentence})
    return Calibration.objects.create(
        instrument=instrument, calibrated_on=calibrated_on, due_on=due_on, added_by=by, added_at=timezone.now()
    )


def _check(instrument: Instrument) -> None:
    if not instrument.kind:
        raise Refused("Say what it is.", fields={"kind": "A word or two, such as pressure gauge."})
    try:
        instrument.full_clean(validate_constraints=False)
    except ValidationError as error:
        raise refusal_of(error) from error
    twins = Instrument.objects.filter(make__iexact=instrument.make, serial__iexact=instrument.serial)
    if instrument.serial and twins.exclude(pk=instrument.pk).exists():
        raise Refused(KNOWN_ALREADY, fields={"serial": KNOWN_ALREADY})


def _plain(text: str) -> str:
    return " ".join(text.split())
