"""Logging what was understood of a CAN log: scans with their codes, readings with their extremes, all or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import partial
from typing import Any
from uuid import UUID, uuid5

from commands.envelope import command
from commands.questions import all_at_once
from commands.refusals import Refused
from findings.canlogs.models import CanLog
from findings.canlogs.preview import WHICH, Understood, ValueHeard
from findings.canlogs.queries import LoggedFrom, logged_from, other_job_words
from findings.canlogs.senders import Sender, Target
from findings.canlogs.wording import text_of, value_words
from findings.faults.actions import CodeSeen, log_scan
from findings.faults.models import Scan
from findings.instruments.models import Instrument
from findings.readings.actions import add_parameter, log_reading
from findings.readings.models import Reading
from staff.models import Person
from staff.policy import Permission
from vessels.models import ControlUnit, Engine

MOST_COUNTED = 2_147_483_647
WORDS = {name: label.lower() for name, label in WHICH}


@dataclass(frozen=True)
class UnitHeard:
    """What is logged as one scan of one unit.

    ``is_complete``: everything that the unit can tell of what ``source`` names was in the log.
    """

    unit: ControlUnit
    senders: Sequence[Sender]
    codes: Sequence[CodeSeen]
    is_complete: bool
    source: str


@dataclass(frozen=True)
class ValueChosen:
    """One value that is logged as a reading, and where it belongs."""

    heard: ValueHeard
    target: Target
    condition: str


@dataclass(frozen=True)
class Chosen:
    """What the technician chose of a log. ``hours`` are true hours by the engine's key."""

    units: Sequence[UnitHeard]
    values: Sequence[ValueChosen]
    which: str
    phase: str
    happened_at: datetime
    hours: Mapping[int, Decimal | None]
    instrument: str
    text: str
    mapping: Mapping[str, str]
    registered: Instrument | None = None


@dataclass(frozen=True)
class Logged:
    """What was logged."""

    scans: Sequence[Scan]
    readings: Sequence[Reading]


def _said(chosen: Chosen) -> dict[str, Any]:
    """What the technician chose, without what the program made of the log."""
    return {
        "units": [[one.unit, [sender.key for sender in one.senders], one.codes, one.source] for one in chosen.units],
        "values": [[one.heard.identity, one.target.value, one.condition] for one in chosen.values],
        "said": [chosen.which, chosen.phase, chosen.happened_at, chosen.instrument, chosen.text],
        "hours": chosen.hours,
        "mapping": chosen.mapping,
    }


def _logged_before(given: Mapping[str, Any]) -> Logged:
    chosen, entry_id = given["chosen"], given["entry_id"]
    scans = Scan.objects.filter(pk__in=[key_of_unit(entry_id, one) for one in chosen.units])
    readings = Reading.objects.filter(pk__in=[key_of_value(entry_id, one.heard) for one in chosen.values])
    return Logged(list(scans.select_related("unit")), list(readings))


def key_of_unit(entry_id: UUID, one: UnitHeard) -> UUID:
    """The id of a unit's scan."""
    return uuid5(entry_id, f"{one.unit} by {one.senders[0].key}")


def key_of_value(entry_id: UUID, heard: ValueHeard) -> UUID:
    """The id of a value's reading."""
    return uuid5(entry_id, f"value {heard.identity}")


@command(
    "log_findings",
    needs=Permission.LOG_FINDINGS,
    writes_to="log.job.vessel",
    worked_out=("understood",),
    as_kept={"chosen": _said},
    again=_logged_before,
)
def log_findings(*, by: Person, log: CanLog, understood: Understood, chosen: Chosen, entry_id: UUID) -> Logged:
    """Log a scan for each unit and a reading for each value, all or none; sent again, it answers the same.

    Raises:
        Refused: nothing is chosen, something of it is logged from this file already, or cannot be; a value's refusal
            stands at its own ``key``, one about an engine's hours at ``hours_<key of the engine>``.
    """
    if not chosen.units and not chosen.values:
        raise Refused("Nothing is selected yet. Select what belongs in this boat’s log.")
    logging = _Logging(by, log, understood, chosen, entry_id, logged_from(log))
    with all_at_once() as questions:
        scans = [scan for one in chosen.units for scan in questions.made(partial(logging.log_unit, one))]
        readings = [made for one in chosen.values for made in questions.made(partial(logging.log_value, one))]
    log.mapping = dict(chosen.mapping)
    log.save(update_fields=["mapping"])
    return Logged(scans, readings)


@dataclass(frozen=True)
class _Logging:
    """One confirmed preview, on its way into the log. ``before`` is what the file had given to the log until then."""

    by: Person
    log: CanLog
    understood: Understood
    chosen: Chosen
    entry_id: UUID
    before: LoggedFrom

    def log_unit(self, one: UnitHeard) -> Scan:
        """Log one unit's scan."""
        key = key_of_unit(self.entry_id, one)
        log, chosen, engine = self.log, self.chosen, one.unit.engine
        same = [scan for scan in self.before.scans if scan.unit_id == one.unit.pk]
        if same and all(scan.pk != key for scan in same):
            where = other_job_words(same[0].entry, log)
            raise Refused(
                f"A scan of {one.unit} is already logged from this file{where}. Void that entry first, or leave this "
                "out."
            )
        try:
            return log_scan(
                by=self.by,
                unit=one.unit,
                phase=chosen.phase,
                is_complete=one.is_complete,
                codes=one.codes,
                job=log.job,
                engine_hours=chosen.hours.get(engine.pk) if engine else None,
                instrument=chosen.instrument,
                registered=chosen.registered,
                raw=text_of(self.understood, one.senders, name=log.name, sha256=log.sha256, size=log.size),
                source=one.source,
                not_understood=min(self.understood.not_decoded, MOST_COUNTED),
                file_sha256=log.sha256,
                text=chosen.text,
                entry_id=key,
                happened_at=chosen.happened_at,
            )
        except Refused as refusal:
            raise _placed(refusal, str(one.unit), "", engine) from refusal

    def log_value(self, one: ValueChosen) -> Reading:
        """Log one value's reading."""
        heard, engine, chosen = one.heard, one.target.engine, self.chosen
        try:
            parameter = add_parameter(by=self.by, name=heard.named.parameter, kind=heard.kind)
            key = key_of_value(self.entry_id, heard)
            same = self.before.same_readings(engine.pk if engine else None, parameter.name, one.condition)
            if same and all(reading.pk != key for reading in self.before.readings):
                where = other_job_words(same[0].entry, self.log)
                raise Refused(
                    f"This is already logged from this file{where}. Void that entry first, or leave this out."
                )
            return log_reading(
                by=self.by,
                vessel=self.log.job.vessel,
                engine=engine,
                parameter=parameter,
                value=heard.value(chosen.which),
                unit=heard.unit,
                minimum=heard.minimum,
                maximum=heard.maximum,
                condition=one.condition,
                instrument=chosen.instrument,
                registered=chosen.registered,
                phase=chosen.phase,
                job=self.log.job,
                engine_hours=chosen.hours.get(engine.pk) if engine else None,
                text=_reading_text(chosen, heard, self.log),
                file_sha256=self.log.sha256,
                entry_id=key,
                happened_at=chosen.happened_at,
            )
        except Refused as refusal:
            raise _placed(refusal, heard.named.parameter, heard.key, engine) from refusal


def _reading_text(chosen: Chosen, heard: ValueHeard, log: CanLog) -> str:
    """The technician's remark, and under it what stood in the log."""
    said = f"The {WORDS[chosen.which]} value of the CAN log {log.name}. {value_words(heard)}"
    return f"{chosen.text.strip()}\n{said}".strip()


def _placed(refusal: Refused, what: str, key: str, engine: Engine | None) -> Refused:
    """The refusal of one action, at the field of this page that it is about."""
    for name, sentence in refusal.fields.items():
        if name == "hours" and engine is not None:
            return refusal.renamed({"hours": f"hours_{engine.pk}"})
        if name == "happened_at":
            return Refused(refusal.sentence, fields={"happened_at": sentence})
    said = " ".join([refusal.sentence, *refusal.fields.values()])
    return Refused(f"{what}: {said}", fields={key: said} if key else {})
