"""What people do with readings: log one, and name what is measured."""

from __future__ import annotations

import uuid
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from commands.envelope import command
from commands.questions import ask
from commands.refusals import Refused
from engineering.limits import Judgment
from engineering.measures import UNITS, Kind, show, to_si
from findings.faults.actions import to_log_findings
from findings.instruments.models import Instrument
from findings.instruments.queries import as_at
from findings.readings.checking import Values, ask_about, impossible
from findings.readings.choosing import limit_for
from findings.readings.judging import Comparison, as_stored, compare, is_of_whole_log, verdict_words
from findings.readings.models import Parameter, Reading, SpecLimit
from staff.models import Person
from staff.policy import Permission
from vessels.hours import refuse_impossible_hours
from vessels.log.belonging import refuse_amending
from vessels.log.chain import NewEntry, append
from vessels.models import Engine, LogEntry, Vessel
from workorders.models import Job


@command(
    "log_reading",
    needs=to_log_findings,
    writes_to="vessel",
    worked_out=("limit", "compared"),
    not_queued=("file_sha256", "worked_from"),
)
def log_reading(
    *,
    by: Person,
    vessel: Vessel,
    engine: Engine | None,
    parameter: Parameter,
    value: Decimal,
    unit: str,
    limit: SpecLimit | None = None,
    minimum: Decimal | None = None,
    maximum: Decimal | None = None,
    condition: str = "",
    instrument: str = "",
    registered: Instrument | None = None,
    phase: str = "",
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    text: str = "",
    file_sha256: str | None = None,
    worked_from: dict[str, Any] | None = None,
    compared: Comparison | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> Reading:
    """Log one value, judged by the spec card of the engine's family.

    Without ``limit`` the card's limit for the parameter under the same condition counts, if there is one.
    ``file_sha256`` is the digest of the file that the value was read from, where there is one. ``worked_from`` says
    how a tool of the Bench worked the value out; its own judgment, ``compared``, then takes the card's place.
    ``registered`` is the shop's instrument that it was read with, kept as it stood then; ``instrument`` what was typed.

    Raises:
        Refused: a unit that does not measure the parameter, a minimum above the maximum, a value out of all bounds, a
            limit that has ended.
    """
    value = as_stored(value)
    minimum, maximum = (None if one is None else as_stored(one) for one in (minimum, maximum))
    _check(
        parameter,
        unit,
        {"value": value, "minimum": minimum, "maximum": maximum},
        is_known=is_unchanged_value(amends, value, unit) if amends else bool(file_sha256),
    )
    if amends is not None:
        refuse_amending(amends, vessel=vessel, kind="reading")
    refuse_impossible_hours(engine, engine_hours, happened_at, amends=amends)
    remark = compared.remark if compared else ""
    if compared is None:
        limit, remark = limit_for(engine, parameter, condition, chosen=limit)
        if limit is not None and limit.ended_at is not None:
            raise Refused("This limit was changed meanwhile. Look at the card, then log the value again.")
    condition = condition or (limit.condition if limit else "")
    whole_log = is_of_whole_log(from_file=bool(file_sha256), on_engine=engine is not None, condition=condition)
    extremes = {} if whole_log else {"minimum": minimum, "maximum": maximum}
    comparison = compared or compare(value, unit, limit, **extremes)
    reading = Reading(
        parameter=parameter,
        value=value,
        unit=unit,
        value_si=to_si(value, unit),
        minimum=minimum,
        maximum=maximum,
        condition=condition,
        instrument=instrument,
        **as_at(registered, happened_at),
        phase=phase,
        low=comparison.limits.low,
        nominal=comparison.limits.nominal,
        high=comparison.limits.high,
        near_percent=comparison.near_percent,
        limits_from=comparison.source[:300],
        verdict=comparison.judgment.verdict.value,
        file_sha256=file_sha256,
        judged_by=comparison.judged_by,
        limits_remark=remark or None,
        worked_from=worked_from,
    )
    append(
        NewEntry(
            kind="reading",
            vessel=vessel,
            author=by,
            summary=_summary(parameter, show(value, unit), condition, comparison.judgment),
            happened_at=happened_at,
            id=entry_id,
            engine=engine,
            job_id=job.pk if job else None,
            engine_hours=engine_hours,
            text=text,
            amends=amends,
        ),
        detail=reading,
    )
    return reading


def _summary(parameter: Parameter, shown: str, condition: str, judgment: Judgment) -> str:
    """The entry's line: "Oil pressure 60 psi (warm): lowest 20 psi, below 44 psi: out"."""
    under = f" ({condition})" if condition else ""
    reason = f"{judgment.sentence.removeprefix(f'{shown}, ')}: " if judgment.by else ""
    return f"{parameter.name} {shown}{under}: {reason}{verdict_words(judgment.verdict)}"


def is_unchanged_value(amends: LogEntry | None, value: Decimal, unit: str) -> bool:
    """Whether the reading that is corrected has this very value: then it is not the value that is corrected."""
    return amends is not None and Reading.objects.filter(entry=amends, value=value, unit=unit).exists()


def _check(parameter: Parameter, unit: str, values: Values, *, is_known: bool) -> None:
    """Refuse what cannot be a reading of the parameter, and ask once about what seldom is.

    What a control unit itself sent is a finding, however odd, and what stands on record was asked about then.
    """
    if unit not in UNITS or UNITS[unit].kind != parameter.kind:
        label = UNITS[unit].label if unit in UNITS else unit
        raise Refused(
            f"{label or unit} does not measure {parameter.name.lower()}.", fields={"unit": "Choose a unit that fits."}
        )
    wrong = impossible(unit, values, of="" if is_known else parameter.name)
    if wrong:
        raise Refused(next(iter(wrong.values())), fields=wrong)
    if not is_known:
        ask(ask_about(parameter.name, unit, values))


@command("add_parameter", needs=Permission.LOG_FINDINGS)
def add_parameter(*, by: Person, name: str, kind: str, entry_id: uuid.UUID | None = None) -> Parameter:
    """Add something that the shop measures; one of the same name is used instead of made twice.

    Raises:
        Refused: no name, no known kind of quantity, or the name stands for another kind.
    """
    name = " ".join(name.split())
    if not name:
        raise Refused("Say what was measured.", fields={"parameter_name": "A few words, such as Seawater pressure."})
    if kind not in set(Kind):
        raise Refused("Choose what kind of value it is.", fields={"kind": "Choose one from the list."})
    known = Parameter.objects.filter(name__iexact=name).first()
    if known is not None and known.kind != kind:
        raise Refused(
            f"“{known.name}” is a {known.kind} here.", fields={"kind": f"Choose {known.kind}, or give another name."}
        )
    if known is not None:
        return known
    try:
        with transaction.atomic():  # two people may name it at the same moment
            return Parameter.objects.create(name=name, kind=kind, position=1000)
    except IntegrityError:
        return add_parameter(by=by, name=name, kind=kind)
