"""Hours of a visit: clocked while its entries were made, and charged as they were clocked.

Before that the shop had no clocks: older visits have the hours that the desk charged, and no others.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from shopfloor.demo.visit_day import VisitDay
from staff.queries import shop_profile
from workorders.labor.actions import (
    charge_hours,
    correct_hours,
    note_hours,
    pause_clock,
    start_clock,
    stop_clock,
    take_over,
)
from workorders.labor.models import Stretch
from workorders.labor.queries import job_labor

CLOCKS_SINCE = 135
"""Days ago."""
FLAT = {"creep": "the price of a yearly service", "comeback": "goodwill, as it came back"}
"""Visits whose labor the desk charges by hand, and why."""
COOLS_DOWN = "Has to cool down first"


def has_clocks(day: VisitDay) -> bool:
    """Whether it was worked on by the clock."""
    return day.visit.days_ago <= CLOCKS_SINCE and "in-work" in day.way


def is_charged_by_the_clock(day: VisitDay) -> bool:
    """Whether its labor is charged as it was clocked, and not by hand."""
    return has_clocks(day) and day.visit.key not in FLAT and day.visit.ends != "in-work"


def clock_work(day: VisitDay) -> None:
    """The first look, a pause, the work, and the proof; each as long as what was logged meanwhile."""
    visit, start = day.visit, day.clock.at(day.visit.days_ago, "09:38")
    first = _on(day, start, "first look")
    _turn(day, start + timedelta(minutes=58))
    pause_clock(by=day.tech, stretch=first, reason=COOLS_DOWN, entry_id=day.named("clock", "pause"))
    work = _on(day, day.clock.at(visit.days_ago, "11:35"), "work")
    _off(day, work, day.clock.at(visit.days_ago, "13:06" if visit.work or visit.clears else "12:28"))
    proves = visit.after is not None or any(when == "after-repair" for _, _, _, when in visit.readings)
    if proves or visit.ends == "ready":
        proof = _on(day, day.clock.at(visit.days_ago, "13:15"), "proof")
        if visit.ends == "ready":
            _help_out(day, proof)
        else:
            _off(day, proof, day.clock.at(visit.days_ago, "14:02"))
    if visit.ends == "waiting-customer":
        _noted_and_corrected(day)


def clock_trial(day: VisitDay) -> None:
    """Under way; and work that goes on the next day, with a clock that nobody stopped."""
    visit = day.visit
    under_way = [one for one in visit.readings if one[3] == "sea-trial"]
    if visit.trial is not None or under_way:
        start = day.clock.at(visit.days_ago, "15:05" if visit.trial is not None else "16:06")
        end = day.clock.at(visit.days_ago, "16:14") + timedelta(minutes=4 * len(under_way))
        _off(day, _on(day, start, "under way"), end)
    if visit.ends == "in-work":
        _on(day, day.clock.at(visit.days_ago - 1, "13:20"), "left running")


def charge_labor(day: VisitDay) -> None:
    """The desk charges what is clocked, in one touch."""
    shop = shop_profile()
    minutes = job_labor(day.job, shop=shop).offered_minutes
    charge_hours(by=day.stage.desk, job=day.job, seen_minutes=minutes, entry_id=day.named("labor"))


def _turn(day: VisitDay, at: datetime) -> None:
    day.clock.turn(at)


def _on(day: VisitDay, at: datetime, name: str) -> Stretch:
    _turn(day, at)
    return start_clock(by=day.tech, line=day.job.lines.get(), entry_id=day.named("clock", name))


def _off(day: VisitDay, stretch: Stretch, at: datetime) -> None:
    _turn(day, at)
    stop_clock(by=day.tech, stretch=stretch, entry_id=day.named("clock-off", stretch.pk))


def _help_out(day: VisitDay, proof: Stretch) -> None:
    """Somebody else goes on with it for an hour."""
    other = next(one for key, one in day.stage.people.items() if key in {"tam", "luz"} and one != day.tech)
    _turn(day, day.clock.at(day.visit.days_ago, "13:50"))
    taken = take_over(by=other, stretch=proof, entry_id=day.named("clock", "over"))
    _turn(day, day.clock.at(day.visit.days_ago, "14:50"))
    stop_clock(by=other, stretch=taken, entry_id=day.named("clock", "over", "off"))


def _noted_and_corrected(day: VisitDay) -> None:
    """Hours without a clock, and what was right of them."""
    line, on = day.job.lines.get(), day.clock.day(day.visit.days_ago)
    _turn(day, day.clock.at(day.visit.days_ago, "14:30"))
    noted = note_hours(
        by=day.tech, line=line, day=on, minutes=45, remark="Looked up the limits and called the supplier.",
        entry_id=day.named("noted"),
    )  # fmt: skip
    _turn(day, day.clock.at(day.visit.days_ago, "15:10"))
    correct_hours(
        by=day.tech, stretch=noted, line=line, day=on, minutes=30, reason="A quarter of an hour was for another boat.",
        entry_id=day.named("noted", "corrected"),
    )  # fmt: skip
