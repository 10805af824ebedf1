"""Adding and changing vessels, and their passing from one owner to another."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from engineering.hin import check_hin
from engineering.measures import convert
from staff.models import Person
from staff.policy import Permission
from vessels.actions.details import log_details_change
from vessels.log.chain import NewEntry, append
from vessels.models import Customer, OwnerChange, Ownership, Vessel
from web.versions import apply_changes

HIN_LENGTH = 20


@command("add_vessel", needs=Permission.EDIT_RECORDS)
def add_vessel(
    *,
    by: Person,
    owner: Customer,
    name: str = "",
    hin: str = "",
    hin_remark: str = "",
    registration: str = "",
    kind: str = "outboard",
    maker: str = "",
    model: str = "",
    model_year: int | None = None,
    length: Decimal | None = None,
    length_unit: str = "ft",
    color: str = "",
    berth: str = "",
    notes: str = "",
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Vessel:
    """Add a boat of a customer and begin its log."""
    if not any(word.strip() for word in [name, hin, registration, maker, model]):
        sentence = "Enter at least one of name, HIN, registration, maker or model."
        raise Refused(sentence, fields={"name": sentence})
    vessel = Vessel(
        owner=owner,
        name=name.strip(),
        hin=accepted_hin(hin, hin_remark),
        hin_remark=hin_remark.strip(),
        registration=registration.strip(),
        kind=kind,
        maker=maker.strip(),
        model=model.strip(),
        model_year=model_year,
        length=length,
        length_unit=length_unit,
        length_m=meters(length, length_unit),
        color=color.strip(),
        berth=berth.strip(),
        notes=notes.strip(),
        changed_by=by,
        added_at=timezone.now(),
    )
    refuse_second_hull(vessel.hin)
    try:
        with transaction.atomic():
            vessel.save()
    except IntegrityError:
        refuse_second_hull(vessel.hin)
        raise
    entry = append(
        NewEntry(
            kind="vessel-added",
            vessel=vessel,
            author=by,
            summary=_introduction(vessel),
            text=text,
            id=entry_id,
            happened_at=happened_at,
        )
    )
    Ownership.objects.create(vessel=vessel, customer=owner, since=entry.happened_at)
    return vessel


@command("change_vessel", needs=Permission.EDIT_RECORDS, writes_to="vessel")
def change_vessel(
    *,
    by: Person,
    vessel: Vessel,
    seen_version: int,
    changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Vessel:
    """Change a boat's identity; the log keeps what stood there before.

    Raises:
        Conflict: somebody else saved in the meantime.
    """
    wanted = dict(changes)
    if {"hin", "hin_remark"} & wanted.keys():
        remark = str(wanted.get("hin_remark", vessel.hin_remark))
        wanted["hin"] = accepted_hin(str(wanted.get("hin", vessel.hin)), remark)
        refuse_second_hull(wanted["hin"], but=vessel)
    if {"length", "length_unit"} & wanted.keys():
        wanted["length_m"] = meters(wanted.get("length", vessel.length), wanted.get("length_unit", vessel.length_unit))
    try:
        with transaction.atomic():
            changed = apply_changes(vessel, seen_version=seen_version, changes=wanted, by=by)
    except IntegrityError:
        refuse_second_hull(wanted.get("hin", ""), but=vessel)
        raise
    log_details_change(
        by=by,
        vessel=vessel,
        record=vessel,
        subject="Vessel",
        changed=changed,
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return vessel


@command("change_owner", needs=Permission.EDIT_RECORDS, writes_to="vessel")
def change_owner(
    *,
    by: Person,
    vessel: Vessel,
    new_owner: Customer,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Vessel:
    """Pass a boat to another customer. Its history stays with the boat."""
    vessel.refresh_from_db()
    old_owner = vessel.owner
    if old_owner == new_owner:
        sentence = f"{new_owner} already owns this boat."
        raise Refused(sentence, fields={"new_owner": sentence})
    when = happened_at or timezone.now()
    now = vessel.ownerships.filter(until=None).first()
    if now is not None and when < now.since:
        day = timezone.localtime(now.since)
        sentence = f"{old_owner} has owned it since {day:%b} {day.day}, {day.year}. The change must be later than that."
        raise Refused(sentence, fields={"happened_at": sentence})
    append(
        NewEntry(
            kind="owner-changed",
            vessel=vessel,
            author=by,
            summary=f"Owner changed from {old_owner} to {new_owner}",
            text=text,
            id=entry_id,
            happened_at=when,
        ),
        detail=OwnerChange(old_owner=old_owner, new_owner=new_owner),
    )
    vessel.ownerships.filter(until=None).update(until=when)
    Ownership.objects.create(vessel=vessel, customer=new_owner, since=when)
    vessel.owner, vessel.changed_by, vessel.version = new_owner, by, vessel.version + 1
    vessel.save(update_fields=["owner", "changed_by", "version"])
    return vessel


def accepted_hin(hin: str, remark: str) -> str:
    """The HIN as it is stored: normalized. A wrong one passes only with a remark, as found on the hull.

    Raises:
        Refused: it is wrong and nothing says why, or it is far too long.
    """
    if not hin.strip():
        return ""
    check = check_hin(hin, today=timezone.localdate())
    if len(check.normalized) > HIN_LENGTH:
        raise Refused("This HIN is not right.", fields={"hin": " ".join(check.problems)})
    if not check.ok and not remark.strip():
        ask = "If the hull really shows it, say so here, such as “as found on the hull”."
        raise Refused("This HIN is not right.", fields={"hin": " ".join(check.problems), "hin_remark": ask})
    return check.normalized


def refuse_second_hull(hin: str, *, but: Vessel | None = None) -> None:
    """A HIN belongs to one boat.

    Raises:
        Refused: another boat has it.
    """
    if not hin:
        return
    others = Vessel.objects.filter(hin=hin).select_related("owner")
    twin = (others if but is None else others.exclude(pk=but.pk)).first()
    if twin is not None:
        sentence = f"A boat with this HIN is already on record: {twin}, owned by {twin.owner}."
        raise Refused(sentence, fields={"hin": sentence})


def meters(length: Decimal | None, unit: str) -> Decimal | None:
    """A length as entered, in meters."""
    if length is None:
        return None
    return convert(length, unit, "m").quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)


def _introduction(vessel: Vessel) -> str:
    what = " ".join(str(word) for word in [vessel.model_year or "", vessel.maker, vessel.model] if word)
    facts = [what or vessel.get_kind_display(), f"HIN {vessel.hin}" if vessel.hin else "no HIN"]
    return f"{vessel} added for {vessel.owner}: {', '.join(facts)}"
