"""Hours without a clock, corrections and voids: what cannot be is told, nothing is edited, both stay."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from commands.models import Command
from commands.questions import TICK_TO_KEEP, Questions, asking
from commands.refusals import Refused
from tests.cast import Cast
from tests.workorders.labor.conftest import local
from workorders.actions import move_job
from workorders.labor.actions import correct_hours, note_hours, start_clock, stop_clock, void_hours
from workorders.labor.models import Stretch
from workorders.models import Job, JobLine

Now = Callable[[str], datetime]
MONDAY, TUESDAY = date(2026, 3, 9), date(2026, 3, 10)


@pytest.fixture
def clocked(cast: Cast, lines: list[JobLine], now: Now) -> Stretch:
    """Two hours on Tuesday morning, clocked."""
    stretch = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 10:00")
    stop_clock(by=cast.tech, stretch=stretch)
    now("2026-03-10 18:00")
    return stretch


def refused(act: Callable[[], Any]) -> dict[str, str]:
    with pytest.raises(Refused) as refusal:
        act()
    return dict(refusal.value.fields) or {"": refusal.value.sentence}


def times(start: str, end: str) -> dict[str, datetime]:
    return {"started_at": local(f"2026-03-{start}"), "ended_at": local(f"2026-03-{end}")}


def test_how_long_or_from_when_until_when(cast: Cast, lines: list[JobLine], now: Now) -> None:
    now("2026-03-10 18:00")
    one = note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=90, remark=" At the dock ")
    other = note_hours(
        by=cast.tech, line=lines[0], day=TUESDAY,
        started_at=local("2026-03-10 13:00"), ended_at=local("2026-03-10 15:20"),
    )  # fmt: skip
    assert [(one.source, one.minutes, one.remark, one.person), (other.minutes, other.started_at)] == [
        ("noted", 90, "At the dock", cast.tech), (140, local("2026-03-10 13:00")),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("told", "field", "sentence"),
    [
        ({}, "hours", "Enter how long it was, or from when until when."),
        ({"minutes": 0}, "hours", "More than nothing"),
        ({"minutes": -60}, "hours", "More than nothing"),
        ({"minutes": 1441}, "hours", "That would make 24.02 h for Tomas Reef on Mon, Mar 9: the day has 24."),
        ({"minutes": 60, "day": date(2026, 3, 11)}, "day", "Today, or a day before."),
        ({"minutes": 60, "day": date(2023, 3, 9)}, "day", "Check the year."),
        ({"started_at": local("2026-03-09 08:00")}, "ended", "Enter both times"),
        ({"ended_at": local("2026-03-09 08:00")}, "started", "Enter both times"),
        (times("09 08:00", "09 08:00"), "ended", "before it begins"),
        (times("09 18:00", "09 08:00"), "ended", "before it begins"),
        (times("09 08:00", "10 18:30"), "ended", "A time that has been."),
        (times("09 08:00", "10 17:30"), "ended", "more than the day"),
        (times("08 08:00", "08 09:00"), "day", "on which it began"),
        ({"minutes": 30, **times("09 08:00", "09 09:00")}, "hours", "makes 1 h."),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told(
    cast: Cast, lines: list[JobLine], now: Now, told: Any, field: str, sentence: str
) -> None:
    now("2026-03-10 18:00")
    said = refused(lambda: note_hours(by=cast.tech, line=lines[0], **{"day": MONDAY, **told}))
    assert sentence in said[field]
    assert Stretch.objects.count() == 0


def test_a_day_has_so_many_hours_and_no_more_for_one_person(cast: Cast, lines: list[JobLine], now: Now) -> None:
    now("2026-03-10 18:00")
    note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=20 * 60)
    note_hours(by=cast.manager, line=lines[0], day=MONDAY, minutes=20 * 60)
    said = refused(lambda: note_hours(by=cast.tech, line=lines[1], day=MONDAY, minutes=241))
    assert said["hours"] == (
        "That would make 24.02 h for Tomas Reef on Mon, Mar 9: the day has 24. 20 h are there already."
    )
    note_hours(by=cast.tech, line=lines[1], day=MONDAY, minutes=240)


def test_the_day_on_which_the_clocks_go_forward_has_23(cast: Cast, lines: list[JobLine]) -> None:
    said = refused(lambda: note_hours(by=cast.tech, line=lines[0], day=date(2026, 3, 8), minutes=23 * 60 + 1))
    assert "the day has 23." in said["hours"]


def test_hours_over_others_are_asked_about_once(cast: Cast, lines: list[JobLine], clocked: Stretch) -> None:
    def note() -> Stretch:
        return note_hours(
            by=cast.tech, line=lines[1], day=TUESDAY,
            started_at=local("2026-03-10 09:30"), ended_at=local("2026-03-10 11:00"),
        )  # fmt: skip

    with asking(list):
        said = refused(note)
    number = lines[0].job.number
    assert said["ended"] == f"8:00 AM to 10:00 AM on job {number}, line 1, lies over this. {TICK_TO_KEEP}"
    with asking(lambda: [f"overlap {cast.tech.pk} 20260310T1330 20260310T1500"]):
        assert note().minutes == 90


def test_hours_that_only_touch_lie_over_nothing(cast: Cast, lines: list[JobLine], clocked: Stretch) -> None:
    with asking(list):
        note_hours(
            by=cast.tech, line=lines[1], day=TUESDAY,
            started_at=local("2026-03-10 10:00"), ended_at=local("2026-03-10 11:00"),
        )  # fmt: skip
        note_hours(
            by=cast.manager, line=lines[1], day=TUESDAY,
            started_at=local("2026-03-10 08:00"), ended_at=local("2026-03-10 11:00"),
        )  # fmt: skip


def test_a_very_long_day_is_asked_about(cast: Cast, lines: list[JobLine]) -> None:
    with asking(list):
        said = refused(lambda: note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=841))
    assert said["hours"] == f"That makes 14.02 h for Tomas Reef on Mon, Mar 9. {TICK_TO_KEEP}"


def test_for_somebody_else_it_takes_the_manager(cast: Cast, lines: list[JobLine]) -> None:
    told = {"line": lines[0], "day": MONDAY, "minutes": 60}
    assert note_hours(by=cast.manager, person=cast.tech, **told).person == cast.tech
    assert "hours of somebody else" in refused(lambda: note_hours(by=cast.tech, person=cast.manager, **told))[""]
    assert "clock and note hours" in refused(lambda: note_hours(by=cast.desk, **told))[""]
    said = refused(lambda: note_hours(by=cast.manager, person=cast.desk, **told))
    assert said["person"] == "Dora Quill does not work on engines here. Choose a technician."


def test_a_job_that_has_ended_is_opened_again_first(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold.", seen_version=job.version)
    said = refused(lambda: note_hours(by=cast.tech, line=lines[0], day=MONDAY, minutes=60))
    assert "is canceled. Open it again" in said[""]


class TestCorrections:
    def correct(self, cast: Cast, stretch: Stretch, **told: Any) -> Stretch:
        given = {"by": cast.tech, "line": stretch.line, "day": TUESDAY, "minutes": 90, "reason": "Phone call.", **told}
        return correct_hours(stretch=stretch, **given)

    def test_both_stay_and_one_counts(self, cast: Cast, clocked: Stretch) -> None:
        again = self.correct(cast, clocked)
        clocked.refresh_from_db()
        assert (clocked.minutes, again.minutes, again.amends, again.root, again.why, again.by) == (
            120, 90, clocked, clocked, "Phone call.", cast.tech,
        )  # fmt: skip
        third = self.correct(cast, again, by=cast.manager, minutes=60, reason="Half of it.")
        assert (third.amends, third.root, third.person, third.by) == (again, clocked, cast.tech, cast.manager)
        assert Command.objects.get(outcome=f"workorders.stretch:{third.pk}").told == {"hours": ["1.50", "1.00"]}

    def test_it_may_be_another_line_or_job(self, cast: Cast, clocked: Stretch, lines: list[JobLine]) -> None:
        assert self.correct(cast, clocked, line=lines[1], minutes=120).line == lines[1]

    def test_what_no_longer_counts_is_not_corrected_again(self, cast: Cast, clocked: Stretch) -> None:
        again = self.correct(cast, clocked)
        assert "already corrected or voided" in refused(lambda: self.correct(cast, clocked, minutes=30))[""]
        void_hours(by=cast.tech, stretch=again, reason="Another boat.")
        assert "already corrected or voided" in refused(lambda: self.correct(cast, again, minutes=30))[""]
        assert "already corrected or voided" in refused(lambda: void_hours(by=cast.tech, stretch=again, reason="x"))[""]

    def test_it_says_why_and_changes_something(self, cast: Cast, clocked: Stretch) -> None:
        assert (
            refused(lambda: self.correct(cast, clocked, reason="  "))["reason"] == "Write why the hours are corrected."
        )
        assert refused(lambda: void_hours(by=cast.tech, stretch=clocked, reason=" "))["reason"]
        same = {"minutes": None, "started_at": clocked.started_at, "ended_at": clocked.ended_at}
        assert (
            refused(lambda: self.correct(cast, clocked, **same))[""] == "Nothing is different from what stands there."
        )

    def test_whose_it_is(self, cast: Cast, clocked: Stretch, lines: list[JobLine]) -> None:
        hers = note_hours(by=cast.manager, line=lines[0], day=TUESDAY, minutes=60)
        assert "somebody else" in refused(lambda: self.correct(cast, hers, minutes=30))[""]
        assert "somebody else" in refused(lambda: void_hours(by=cast.tech, stretch=hers, reason="x"))[""]
        assert "somebody else" in refused(lambda: self.correct(cast, clocked, by=cast.desk))[""]
        assert self.correct(cast, clocked, by=cast.owner).by == cast.owner

    def test_a_running_clock_is_stopped_first(self, cast: Cast, lines: list[JobLine], now: Now) -> None:
        running = start_clock(by=cast.tech, line=lines[0])
        assert "still running" in refused(lambda: self.correct(cast, running))[""]
        assert "still running" in refused(lambda: void_hours(by=cast.tech, stretch=running, reason="x"))[""]

    def test_its_own_hours_do_not_stand_in_its_way(self, cast: Cast, clocked: Stretch) -> None:
        with asking(list):
            self.correct(
                cast, clocked, minutes=None, started_at=local("2026-03-10 08:15"), ended_at=local("2026-03-10 09:45")
            )
            assert Stretch.objects.count() == 2

    def test_the_database_takes_one_correction_of_each(self, cast: Cast, clocked: Stretch) -> None:
        self.correct(cast, clocked)
        with pytest.raises(IntegrityError), transaction.atomic():
            Stretch.objects.create(
                source="corrected", line=clocked.line, person=cast.tech, day=TUESDAY, minutes=5, amends=clocked,
                root=clocked, by=cast.tech,
            )  # fmt: skip


def test_hours_of_a_day_before_the_job_was_opened_are_asked_about_once(cast: Cast, lines: list[JobLine]) -> None:
    job = lines[0].job
    opened = timezone.localdate(job.opened_at, ZoneInfo("America/New_York"))
    with asking(list), pytest.raises(Questions) as asked:
        note_hours(by=cast.tech, line=lines[0], day=opened - timedelta(days=1), minutes=30)
    said = asked.value.fields["day"]
    assert said.startswith(f"Job {job.number} was opened on ")
    with asking(list):
        made = note_hours(by=cast.tech, line=lines[0], day=opened, minutes=30)
    with asking(list), pytest.raises(Questions):
        correct_hours(
            by=cast.tech, stretch=made, line=lines[0], day=opened - timedelta(days=1), minutes=30, reason="A day off"
        )
