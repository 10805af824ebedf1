"""Whatever is done to hours, and to the charges made of them: sold and unsold hours are the clocked ones."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from commands.refusals import Refused
from staff.queries import shop_profile
from tests.cast import Cast
from workorders.actions import strike_charge
from workorders.labor.actions import (
    charge_hours,
    correct_hours,
    note_hours,
    pause_clock,
    start_clock,
    stop_clock,
    take_over,
    void_hours,
)
from workorders.labor.models import Sold, Stretch
from workorders.labor.queries import JobLabor, counts, job_labor, shown_stretches
from workorders.models import Charge, Job, JobLine

Now = Callable[[str], datetime]
DAYS = int(os.environ.get("GARBOARD_EXAMPLES", "30")) // 5
ACTS = ["clock", "clock", "stop", "pause", "over", "note", "split", "correct", "void", "charge", "charge line", "free"]

# What is done, by which of two people, to which of what is there, and how many minutes go by before it.
steps = st.lists(
    st.tuples(st.sampled_from(ACTS), st.integers(0, 1), st.integers(0, 50), st.integers(0, 95)),
    min_size=10,
    max_size=20,
)


class Day:
    """A job's hours while things are done to them, and what a bookkeeper would have written beside it."""

    def __init__(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        self.people = [cast.tech, cast.manager]
        self.desk, self.job, self.lines = cast.desk, job, lines

    def do(self, act: str, who: int, which: int, minutes: int) -> None:
        """One act; that it is refused is an answer, and changes nothing."""
        before = self.account()
        try:
            with transaction.atomic():
                self._do(act, self.people[who], which, minutes)
        except Refused:
            assert self.account() == before

    def _do(self, act: str, person: object, which: int, minutes: int) -> None:
        line, lead = self.lines[which % 2], self.people[1]
        clocks = list(Stretch.objects.filter(source="clock").order_by("started_at", "pk"))
        rows = [one for one in shown_stretches_of(self.job) if counts(one)]
        clock = clocks[which % len(clocks)] if clocks else None
        row = rows[which % len(rows)] if rows else None
        day = timezone.localdate()
        if act == "clock":
            start_clock(by=person, line=line)  # type: ignore[arg-type]
        elif act in {"stop", "pause"} and clock:
            (stop_clock if act == "stop" else pause_clock)(by=lead, stretch=clock)
        elif act == "over" and clock:
            take_over(by=person, stretch=clock)  # type: ignore[arg-type]
        elif act == "note":
            note_hours(by=lead, person=person, line=line, day=day, minutes=minutes)  # type: ignore[arg-type]
        elif act == "split" and row and row.minutes:
            # Half of it was on the other line: the one is made shorter, and the rest noted there.
            rest = row.minutes // 2
            correct_hours(by=lead, stretch=row, line=row.line, day=row.day, minutes=row.minutes - rest, reason="Split.")
            note_hours(
                by=lead, person=row.person, line=self.lines[row.line == self.lines[0]], day=row.day, minutes=rest
            )
        elif act == "correct" and row:
            correct_hours(by=lead, stretch=row, line=line, day=row.day, minutes=minutes, reason="Looked it up.")
        elif act == "void" and row:
            void_hours(by=lead, stretch=row, reason="No work.")
        elif act == "charge":
            charge_hours(by=self.desk, job=self.job, seen_minutes=self.labor().offered_minutes)
        elif act == "charge line":
            offered = self.labor().lines[line.pk]
            charge_hours(by=self.desk, job=self.job, line=line, seen_minutes=offered.unsold)
        elif act == "free" and (charges := list(Charge.objects.filter(struck_at=None).order_by("pk"))):
            strike_charge(by=self.desk, charge=charges[which % len(charges)])

    def labor(self) -> JobLabor:
        """The job's hours as the pages tell them."""
        return job_labor(self.job, shop=shop_profile())

    def account(self) -> Counter[object]:
        """Minutes by the first of each row of corrections: each piece of work counts once at the most."""
        return Counter({one.root_id: one.minutes or 0 for one in shown_stretches_of(self.job) if counts(one)})

    def check(self) -> None:
        """The sums close, each piece of work counts once, and stands in one charge at the most."""
        labor = self.labor()
        counted = [one for one in shown_stretches_of(self.job) if counts(one)]
        assert len({one.root_id for one in counted}) == len(counted)
        assert labor.clocked == sum(one.minutes or 0 for one in counted) == sum(self.account().values())
        for one in (labor, *labor.lines.values()):
            assert one.sold + one.unsold == one.clocked
        live = list(Sold.objects.filter(freed_at=None).select_related("charge"))
        assert len({one.root_id for one in live}) == len(live)
        assert all(one.charge.struck_at is None for one in live)
        assert labor.sold == sum(one.minutes or 0 for one in counted if one.root_id in {sold.root_id for sold in live})
        told = {one.charge.pk: one.charged - one.now for one in labor.changed}
        # What a charge holds is what it was made of: where the hours are others now, it says so.
        now = {(one.root_id, one.line_id): one.minutes or 0 for one in counted}
        for charge in Charge.objects.filter(struck_at=None):
            its = [one for one in live if one.charge_id == charge.pk]
            difference = sum(one.minutes - now.get((one.root_id, charge.line_id), 0) for one in its)
            assert told.get(charge.pk, 0) == difference


def shown_stretches_of(job: Job) -> list[Stretch]:
    return list(shown_stretches(Q(line__job=job)))


def test_sold_and_unsold_hours_are_the_clocked_ones(
    cast: Cast, job: Job, lines: list[JobLine], now: Now, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: Counter[str] = Counter()

    @settings(max_examples=DAYS, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(steps)
    def whatever_is_done(story: list[tuple[str, int, int, int]]) -> None:
        moment = now("2026-03-10 06:00")
        with transaction.atomic():
            day = Day(cast, job, lines)
            for act, who, which, minutes in story:
                moment += timedelta(minutes=minutes)
                monkeypatch.setattr(timezone, "now", lambda at=moment: at)
                day.do(act, who, which, minutes)
                done[act] += 1
            day.check()
            done["charges"] += Charge.objects.count()
            done["corrected"] += Stretch.objects.filter(source="corrected").count()
            transaction.set_rollback(True)

    whatever_is_done()
    assert done["charges"] > 0  # it was not refused all the time
    assert done["corrected"] > 0


def test_a_charge_of_one_line_leaves_the_others(cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
    for line, minutes in ((lines[0], 60), (lines[1], 90)):
        note_hours(by=cast.tech, line=line, day=date(2026, 3, 9), minutes=minutes)
    charge_hours(by=cast.desk, job=job, line=lines[1], seen_minutes=90)
    found = job_labor(job, shop=shop_profile())
    assert [(one.sold, one.unsold) for one in found.lines.values()] == [(0, 60), (90, 0)]
    with pytest.raises(Refused, match=r"^No hours are left to be charged on line 2\.$"):
        charge_hours(by=cast.desk, job=job, line=lines[1], seen_minutes=0)
    with pytest.raises(Refused, match=r"1\.5 h then, 1 h now"):
        charge_hours(by=cast.desk, job=job, seen_minutes=90)
    charge_hours(by=cast.desk, job=job, seen_minutes=60)
    assert Charge.objects.count() == 2


def test_any_number_of_clocks_at_one_instant(cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
    for _ in range(9):
        start_clock(by=cast.tech, line=lines[0])
    assert Stretch.objects.filter(is_open=True).count() == 1
    assert sum(one.minutes or 0 for one in Stretch.objects.all()) == 0
