"""Engines: fitted, changed, removed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db import IntegrityError, transaction

from commands.envelope import command
from commands.refusals import Refused
from engineering.measures import convert
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from vessels.actions.details import log_details_change
from vessels.actions.meters import log_hours
from vessels.log.chain import NewEntry, append, following_id
from vessels.models import Engine, EngineFamily, HourMeter, Vessel
from vessels.positions import taken_words
from vessels.removing import refuse_if_seen_later
from web.versions import apply_changes


@command("add_engine", needs=Permission.EDIT_RECORDS, writes_to="vessel")
def add_engine(
    *,
    by: Person,
    vessel: Vessel,
    position: str = "single",
    maker: str = "",
    model: str = "",
    family: EngineFamily | None = None,
    new_family: str = "",
    serial: str = "",
    year: int | None = None,
    fuel: str = "gasoline",
    power: Decimal | None = None,
    power_unit: str = "hp",
    rated_rpm_low: int | None = None,
    rated_rpm_high: int | None = None,
    gear_ratio: Decimal | None = None,
    propeller: str = "",
    meter_shown: Decimal | None = None,
    true_hours: Decimal | None = None,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Engine:
    """Add an engine with its hour meter.

    ``new_family`` names a family of this maker that is not here yet. ``meter_shown`` is what the meter shows now;
    ``true_hours`` says how long the engine has run by then, where its meter is not its first one.
    """
    _refuse_odd_speeds(rated_rpm_low, rated_rpm_high)
    if new_family.strip():
        family = family_named(by=by, maker=maker, name=new_family)
    engine = Engine(
        vessel=vessel,
        position=position,
        family=family,
        maker=maker.strip() or (family.maker if family else ""),
        model=model.strip(),
        serial=serial.strip(),
        year=year,
        fuel=fuel,
        power=power,
        power_unit=power_unit,
        rated_power_kw=kilowatts(power, power_unit),
        rated_rpm_low=rated_rpm_low,
        rated_rpm_high=rated_rpm_high,
        gear_ratio=gear_ratio,
        propeller=propeller.strip(),
        changed_by=by,
    )
    _refuse_taken_position(engine)
    engine.save()
    entry = append(
        NewEntry(
            kind="engine-added",
            vessel=vessel,
            author=by,
            engine=engine,
            summary=f"{engine} added{f', serial {engine.serial}' if engine.serial else ''}",
            text=text,
            id=entry_id,
            happened_at=happened_at,
        )
    )
    shown = meter_shown or Decimal(0)
    HourMeter.objects.create(
        engine=engine,
        fitted_at=entry.happened_at,
        shown_when_fitted=shown,
        engine_hours_when_fitted=shown if true_hours is None else true_hours,
    )
    if meter_shown is not None:
        log_hours(
            by=by,
            engine=engine,
            shown=meter_shown,
            happened_at=entry.happened_at,
            entry_id=following_id(entry_id, "hours"),
        )
    return engine


@command("change_engine", needs=Permission.EDIT_RECORDS, writes_to="engine.vessel")
def change_engine(
    *,
    by: Person,
    engine: Engine,
    seen_version: int,
    changes: Mapping[str, Any],
    new_family: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Engine:
    """Change an engine's identity or ratings; the log keeps what stood there before.

    Raises:
        Conflict: somebody else saved in the meantime.
    """
    wanted = dict(changes)
    if new_family.strip():
        maker = str(wanted.get("maker", engine.maker))
        wanted["family"] = family_named(by=by, maker=maker, name=new_family)
    _refuse_odd_speeds(
        wanted.get("rated_rpm_low", engine.rated_rpm_low), wanted.get("rated_rpm_high", engine.rated_rpm_high)
    )
    if {"power", "power_unit"} & wanted.keys():
        wanted["rated_power_kw"] = kilowatts(
            wanted.get("power", engine.power), wanted.get("power_unit", engine.power_unit)
        )
    if "position" in wanted and engine.removed_on is None:
        _refuse_taken_position(Engine(pk=engine.pk, vessel=engine.vessel, position=wanted["position"]))
    changed = apply_changes(engine, seen_version=seen_version, changes=wanted, by=by)
    log_details_change(
        by=by,
        vessel=engine.vessel,
        record=engine,
        subject=str(engine),
        changed=changed,
        engine=engine,
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return engine


@command("remove_engine", needs=Permission.EDIT_RECORDS, writes_to="engine.vessel")
def remove_engine(
    *,
    by: Person,
    engine: Engine,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Engine:
    """Remove an engine from its boat, and its control units with it. Its history stays in the log."""
    engine.refresh_from_db()
    if engine.removed_on is not None:
        raise Refused(f"This engine was already removed on {engine.removed_on:%b} {engine.removed_on.day}.")
    units = list(engine.units.filter(removed_on=None))
    refuse_if_seen_later("this engine", happened_at, engine=engine, units=units)
    entry = append(
        NewEntry(
            kind="engine-removed",
            vessel=engine.vessel,
            author=by,
            engine=engine,
            summary=f"{engine} removed",
            text=text,
            id=entry_id,
            happened_at=happened_at,
        )
    )
    day = local_day(entry.happened_at)
    engine.removed_on, engine.changed_by, engine.version = day, by, engine.version + 1
    engine.save(update_fields=["removed_on", "changed_by", "version"])
    engine.units.filter(removed_on=None).update(removed_on=day)
    return engine


@command("family_named", needs=Permission.EDIT_RECORDS)
def family_named(*, by: Person, maker: str, name: str, entry_id: uuid.UUID | None = None) -> EngineFamily:
    """The engine family with this name, made if it is new. Case does not tell families apart."""
    maker, name = maker.strip(), name.strip()
    if not maker or not name:
        sentence = "A new family needs a maker and a name."
        raise Refused(sentence, fields={"new_family": sentence})
    known = EngineFamily.objects.filter(maker__iexact=maker, name__iexact=name).first()
    if known is not None:
        return known
    try:
        with transaction.atomic():
            return EngineFamily.objects.create(maker=maker, name=name)
    except IntegrityError:
        return EngineFamily.objects.get(maker__iexact=maker, name__iexact=name)


def kilowatts(power: Decimal | None, unit: str) -> Decimal | None:
    """A power as entered, in kilowatts."""
    if power is None:
        return None
    return convert(power, unit, "kW").quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)


def _refuse_odd_speeds(low: int | None, high: int | None) -> None:
    if low is not None and high is not None and high < low:
        sentence = f"The rated range ends at {high} rpm, below its beginning of {low} rpm. Swap the two."
        raise Refused(sentence, fields={"rated_rpm_high": sentence})


def _refuse_taken_position(engine: Engine) -> None:
    sentence = taken_words(engine.vessel, engine.position, but=engine)
    if sentence:
        raise Refused(sentence, fields={"position": sentence})
