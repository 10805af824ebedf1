"""What people do with readings and spec cards: log one, name what is measured, write a card."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from commands.envelope import command, tell
from commands.questions import ask
from commands.refusals import Refused
from engineering.canonical import plain_decimal
from engineering.limits import Judgment, Limits, LimitsProblem
from engineering.measures import UNITS, Kind, show, to_si
from engineering.serials import are_in_order
from findings.faults.actions import to_log_findings
from findings.instruments.models import Instrument
from findings.instruments.queries import as_at
from findings.readings.checking import Values, ask_about, impossible
from findings.readings.judging import Comparison, as_stored, compare, is_of_whole_log, verdict_words
from findings.readings.models import Parameter, Reading, SpecCard, SpecLimit
from findings.readings.queries import matching_limit
from staff.models import Person
from staff.policy import Permission
from vessels.hours import refuse_impossible_hours
from vessels.log.belonging import refuse_amending
from vessels.log.chain import NewEntry, append
from vessels.models import Engine, EngineFamily, LogEntry, Vessel
from workorders.actions.checking import refuse_unsound
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
        Refused: a unit that does not measure the parameter, a minimum above the maximum, a value out of all bounds.
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
    if compared is None:
        limit = limit or matching_limit(engine, parameter, condition)
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


@dataclass(frozen=True)
class NewLimit:
    """One row of a spec card as entered."""

    parameter: Parameter
    unit: str
    condition: str = ""
    low: Decimal | None = None
    nominal: Decimal | None = None
    high: Decimal | None = None
    near_percent: Decimal = Decimal(10)


@command("add_card", needs=Permission.EDIT_SPEC_CARDS)
def add_card(
    *,
    by: Person,
    family: EngineFamily,
    title: str,
    document: str,
    limits: Sequence[NewLimit],
    notes: str = "",
    engine_models: str = "",
    year_from: int | None = None,
    year_to: int | None = None,
    serial_from: str = "",
    serial_to: str = "",
    entry_id: uuid.UUID | None = None,
) -> SpecCard:
    """Add a spec card with its limits, for the whole family or for some of its models, years or serial numbers.

    Raises:
        Refused: no source document, no limit at all, a range that no engine can be in, or limits that contradict each
            other.
    """
    if not document.strip():
        raise Refused(
            "Say where the limits are taken from.",
            fields={"document": "Manual, edition and page, or who measured it and when."},
        )
    card = SpecCard(
        family=family,
        title=title.strip(),
        document=document.strip(),
        notes=notes.strip(),
        engine_models=engine_models.strip(),
        year_from=year_from,
        year_to=year_to,
        serial_from=serial_from.strip(),
        serial_to=serial_to.strip(),
    )
    _refuse_odd_scope(card)
    card.save()
    _write_limits(card, limits)
    return card


@command("change_card", needs=Permission.EDIT_SPEC_CARDS)
def change_card(
    *,
    by: Person,
    card: SpecCard,
    changes: Mapping[str, Any],
    limits: Sequence[NewLimit],
    entry_id: uuid.UUID | None = None,
) -> SpecCard:
    """Replace a card's words and limits. Readings keep the limits that they were judged by.

    Raises:
        Refused: as for a new card.
    """
    card = SpecCard.objects.select_for_update().get(pk=card.pk)
    for name, value in changes.items():
        setattr(card, name, value)
    if not card.document.strip():
        raise Refused("Say where the limits are taken from.", fields={"document": "Manual, edition and page."})
    _refuse_odd_scope(card)
    card.save()
    card.limits.all().delete()
    _write_limits(card, limits)
    return card


def _refuse_odd_scope(card: SpecCard) -> None:
    """Refuse years and serial numbers that no engine can be compared with.

    Raises:
        Refused: the ends are out of order, or a serial number is none that can be counted up.
    """
    if card.year_from and card.year_to and card.year_from > card.year_to:
        sentence = "This year is after the last one. Swap them."
        raise Refused(sentence, fields={"year_from": sentence})
    for name in ("serial_from", "serial_to"):
        end = getattr(card, name)
        if end and not are_in_order(end, end):
            sentence = "Enter one serial number that ends with digits, such as NL-20400."
            raise Refused(sentence, fields={name: sentence})
    if card.serial_from and card.serial_to and not are_in_order(card.serial_from, card.serial_to):
        sentence = "Both serial numbers have the same letters before their digits, and this one is not above the last."
        raise Refused(f"Serial numbers: {sentence}", fields={"serial_from": sentence})
    refuse_unsound(card, ["engine_models", "year_from", "year_to", "serial_from", "serial_to"])


def _limit_words(row: NewLimit) -> list[str | None]:
    """A limit as the journal keeps it: parameter, unit, low, nominal, high and how near is near."""
    figures = [row.low, row.nominal, row.high, row.near_percent]
    return [row.parameter.name, row.unit, *(None if one is None else plain_decimal(one) for one in figures)]


def _write_limits(card: SpecCard, limits: Sequence[NewLimit]) -> None:
    """Check and store a card's limits."""
    if not limits:
        raise Refused("A spec card needs at least one limit. Fill in a row.")
    for number, row in enumerate(limits, start=1):
        if row.unit not in UNITS or UNITS[row.unit].kind != row.parameter.kind:
            raise Refused(f"Row {number}: this unit does not measure {row.parameter.name.lower()}.")
        if row.low is None and row.high is None:
            raise Refused(f"Row {number}, {row.parameter.name}: give at least one of “at least” and “at most”.")
        ends = {"low": row.low, "nominal": row.nominal, "high": row.high}
        if wrong := impossible(row.unit, ends, of=row.parameter.name):
            raise Refused(f"Row {number}, {row.parameter.name}: {next(iter(wrong.values()))}")
        try:
            Limits(low=row.low, high=row.high, nominal=row.nominal, near_fraction=row.near_percent / 100)
        except LimitsProblem as problem:
            raise Refused(f"Row {number}, {row.parameter.name}: {problem.sentence}") from problem
    tell(limits=[_limit_words(row) for row in limits])
    SpecLimit.objects.bulk_create(
        SpecLimit(
            card=card,
            parameter=row.parameter,
            unit=row.unit,
            condition=" ".join(row.condition.split()),
            low=row.low,
            nominal=row.nominal,
            high=row.high,
            near_percent=row.near_percent,
        )
        for row in limits
    )
