"""What else is found on a visit beside codes and readings, through the same actions as the pages use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from findings.happenings.actions import log_visual_finding
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


def look_around(day: VisitDay, at: datetime) -> None:
    """What the technician sees on this visit, a few minutes apart."""
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
