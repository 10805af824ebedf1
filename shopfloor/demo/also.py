"""What else is found on a visit beside codes and readings, through the same actions as the pages use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from findings.happenings.actions import log_function_test, log_setting, log_visual_finding, set_back_setting
from findings.happenings.models import SettingChange
from shopfloor.demo.visit_day import VisitDay


@dataclass(frozen=True)
class Seen:
    """A visual finding; of the boat itself where it is not ``on_engine``."""

    place: str
    text: str
    severity: str
    recommendation: str = ""
    on_engine: bool = True


SEEN: dict[tuple[str, int], tuple[Seen, ...]] = {
    ("marguerite", 24): (
        Seen(
            "Raw water hose between pump and cooler",
            "Outer layer cracked all around under the pump-side clamp. No leak at 2000 rpm.",
            "soon",
            "Replace the hose and both clamps.",
        ),
        Seen("Engine mounts", "All four dry, no cracks, nuts tight by hand.", "none"),
    ),
    ("saffron", 12): (
        Seen(
            "Bilge pump float switch",
            "Sticks when lifted slowly; came on at the second try.",
            "watch",
            "Look at it again at the next visit.",
            on_engine=False,
        ),
    ),
}


@dataclass(frozen=True)
class Driven:
    """A function test; of the boat itself where it is not ``on_engine``."""

    operated: str
    lasted: str
    unit: str
    text: str
    verdict: str
    on_engine: bool = True


DRIVEN: dict[tuple[str, int], tuple[Driven, ...]] = {
    ("marguerite", 24): (
        Driven(
            "Bilge blower, from the helm switch",
            "4",
            "min",
            "Strong flow at the vent, no odd noise.",
            "worked",
            on_engine=False,
        ),
        Driven(
            "Overheat alarm, sender wire to ground",
            "10",
            "s",
            "Lamp at the helm came on, the horn stayed silent. Not looked into on this job.",
            "did not work",
        ),
    ),
    ("saffron", 12): (
        Driven(
            "Fuel lift pump, by its relay",
            "15",
            "s",
            "Pump heard, flow not measured: no clean container at hand.",
            "not conclusive",
        ),
    ),
}


@dataclass(frozen=True)
class Set:
    """A setting that was changed; what protects has the customer's consent."""

    setting: str
    sort: str
    before: str
    after: str
    unit: str
    why: str
    authority: str
    has_consent: bool = False


SET: dict[tuple[str, int], tuple[Set, ...]] = {
    ("marguerite", 560): (
        Set(
            "Coolant temperature alarm, helm panel",
            "alarm",
            "203",
            "194",
            "°F",
            "To be warned earlier until the cleaned core has proven itself.",
            "The owner",
            has_consent=True,
        ),
    ),
    ("marguerite", 24): (Set("Idle speed", "other", "640", "700", "rpm", "Hunted at idle in gear.", "The owner"),),
    ("saffron", 12): (
        Set(
            "Low fuel alarm, helm display",
            "alarm",
            "10",
            "20",
            "%",
            "To be warned with more range left; nothing else was changed.",
            "The owner",
            has_consent=True,
        ),
    ),
}
SET_BACK = {("marguerite", 330): ("Coolant temperature alarm, helm panel", "203", "The core held for a season.")}
"""On which visit, which setting, to what, and why."""


def set_and_set_back(day: VisitDay, at: datetime) -> None:
    """What the technician changes permanently on this visit, or sets back."""
    where = day.visit.boat, day.visit.days_ago
    for index, told in enumerate(SET.get(where, ())):
        moment = day.clock.turn(at + timedelta(minutes=4 * index))
        log_setting(
            by=day.tech,
            vessel=day.vessel,
            engine=day.rig.engine,
            job=day.job,
            setting=told.setting,
            sort=told.sort,
            before=told.before,
            after=told.after,
            unit=told.unit,
            text=told.why,
            authority=told.authority,
            consent_by=day.job.customer.contact or day.job.customer.name if told.has_consent else "",
            consent_on=timezone.localdate(moment) if told.has_consent else None,
            consent_how="by phone" if told.has_consent else "",
            engine_hours=day.hours,
            happened_at=moment,
            entry_id=day.named("set", index),
        )
    if where in SET_BACK:
        setting, value, why = SET_BACK[where]
        moment = day.clock.turn(at)
        set_back_setting(
            by=day.tech,
            change=SettingChange.objects.get(setting=setting, entry__vessel=day.vessel),
            value=value,
            text=why,
            job=day.job,
            engine_hours=day.hours,
            happened_at=moment,
            entry_id=day.named("set-back"),
        )


def look_around(day: VisitDay, at: datetime) -> None:
    """What the technician sees and drives on this visit, a few minutes apart."""
    for index, seen in enumerate(SEEN.get((day.visit.boat, day.visit.days_ago), ())):
        day.clock.turn(at + timedelta(minutes=3 * index))
        log_visual_finding(
            by=day.tech,
            vessel=day.vessel,
            engine=day.rig.engine if seen.on_engine else None,
            job=day.job,
            place=seen.place,
            text=seen.text,
            severity=seen.severity,
            recommendation=seen.recommendation,
            engine_hours=day.hours if seen.on_engine else None,
            happened_at=day.clock.now(),
            entry_id=day.named("seen", index),
        )
    for index, driven in enumerate(DRIVEN.get((day.visit.boat, day.visit.days_ago), ())):
        day.clock.turn(at + timedelta(minutes=12 + 6 * index))
        log_function_test(
            by=day.tech,
            vessel=day.vessel,
            engine=day.rig.engine if driven.on_engine else None,
            job=day.job,
            operated=driven.operated,
            text=driven.text,
            verdict=driven.verdict,
            lasted=Decimal(driven.lasted),
            lasted_unit=driven.unit,
            engine_hours=day.hours if driven.on_engine else None,
            happened_at=day.clock.now(),
            entry_id=day.named("driven", index),
        )
