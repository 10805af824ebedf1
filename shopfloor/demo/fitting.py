"""Parts of a visit: what was fitted, what it is charged at, and what is waited for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal

from shopfloor.demo.visit_day import VisitDay
from workorders.jobparts.actions import await_part, charge_fitted, fit_part, part_arrived
from workorders.jobparts.models import AwaitedPart, PartFitted

WAITS = "pasted"
"""The visit that waits for parts."""
USED_UP = ("OIL-", "CON-")
"""What is charged and leaves no part behind that somebody would look for."""
WITH_SERIAL = {"H15-0611", "N6-4001", "BAT-0031"}
# Number, description, how many, days after the visit until it was expected, days until it came, how many came.
AWAITED = (
    ("N6-5107", "Oil pressure relief valve", 1, 4, None, 0),
    ("N6-5108", "Gasket, relief valve", 1, 4, 3, 1),
    ("N6-5109", "Bolt, relief valve housing", 6, 4, 3, 4),
)


def fit_parts(day: VisitDay, at: datetime) -> None:
    """The technician logs what went in, a few minutes apart."""
    for index, (what, quantity, position) in enumerate(_went_in(day)):
        rig = day.stage.rigs[(day.visit.boat, position)]
        moment = day.clock.turn(at + timedelta(minutes=3 * index))
        serial = f"{what[:3].rstrip('-')}{day.visit.days_ago:05}" if what in WITH_SERIAL and quantity == "1" else ""
        fit_part(
            by=day.tech,
            job=day.job,
            line=day.job.lines.get(),
            part=day.stage.parts[what],
            quantity=Decimal(quantity),
            condition="new",
            serial=serial,
            engine=rig.engine,
            engine_hours=day.hours if rig is day.rig else None,
            old_fate="scrapped" if serial else "",
            happened_at=moment,
            entry_id=day.named("fitted", index),
        )


def _went_in(day: VisitDay) -> Iterator[tuple[str, str, str]]:
    """What went into which engine: what is charged, and of a service of several engines the same into each."""
    if day.visit.fits is not None:
        yield from day.visit.fits
        return
    mains = [motor.position for motor in day.boat.motors if motor.position != "generator"]
    for what, quantity in day.visit.charges:
        if what == "labor" or what.startswith(USED_UP):
            continue
        each, left = divmod(int(quantity), len(mains))
        if day.visit.is_of_one_engine or left:
            yield what, quantity, day.visit.motor
        else:
            yield from ((what, str(each), position) for position in mains)


def charge_parts(day: VisitDay) -> set[str]:
    """The desk charges what was fitted at the catalog's price; gives the numbers that need no charge besides.

    Of work that still goes on nothing is charged yet.
    """
    fitted = list(PartFitted.objects.filter(entry__job=day.job).order_by("entry__position"))
    for one in fitted:
        if day.visit.ends != "in-work":
            charge_fitted(by=day.stage.desk, fitted=one, entry_id=day.named("charged", one.pk))
    return {one.number for one in fitted}


def await_parts(day: VisitDay) -> None:
    """What is ordered before the job waits for it."""
    if day.visit.key != WAITS:
        return
    for number, description, quantity, expected, _, _ in AWAITED:
        await_part(
            by=day.tech,
            job=day.job,
            line=day.job.lines.get(),
            number=number,
            maker="Norrvik",
            description=description,
            quantity=Decimal(quantity),
            supplier="Coldwater Engine Supply",
            ordered_on=day.clock.day(day.visit.days_ago),
            expected_on=day.clock.day(day.visit.days_ago - expected),
            entry_id=day.named("awaited", number),
        )


def take_delivery(day: VisitDay) -> None:
    """The gasket came, and some of the bolts; the relief valve is late."""
    if day.visit.key != WAITS:
        return
    came = {number: (days, many) for number, _, _, _, days, many in AWAITED if days is not None}
    for awaited in AwaitedPart.objects.filter(job=day.job, number__in=came).order_by("pk"):
        days, many = came[awaited.number]
        day.clock.turn(day.clock.at(day.visit.days_ago - days, "10:05"))
        part_arrived(
            by=day.stage.desk, awaited=awaited, quantity=Decimal(many), seen_quantity=awaited.quantity,
            entry_id=day.named("arrived", awaited.number),
        )  # fmt: skip
