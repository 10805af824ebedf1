"""Clocking on and off, taking over, pausing; a clock left running is asked about and never guessed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import uuid4

import lxml.html
import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from commands.models import Command
from commands.refusals import Refused
from tests.cast import Cast
from tests.workorders.counter import signed_in
from tests.workorders.labor.conftest import local
from vessels.models import LogEntry
from workorders.actions import move_job
from workorders.labor.actions import (
    answer_clock,
    pause_clock,
    start_clock,
    start_clock_since,
    stop_clock,
    take_over,
    void_hours,
)
from workorders.labor.models import Stretch, StretchEnd
from workorders.models import Job, JobLine

Now = Callable[[str], datetime]


def told(stretch: Stretch) -> tuple[str | None, int | None, bool]:
    """When it ended, its minutes, and whether it runs."""
    stretch.refresh_from_db()
    end = stretch.ended_at and f"{stretch.ended_at.astimezone(local('2026-03-10 08:00').tzinfo):%d %H:%M}"
    return end, stretch.minutes, stretch.is_open


RUNS = (None, None, True)
NOT_KNOWN = (None, None, False)


def test_on_and_off(cast: Cast, lines: list[JobLine], now: Now) -> None:
    entries = LogEntry.objects.count()
    stretch = start_clock(by=cast.tech, line=lines[0])
    assert told(stretch) == RUNS
    now("2026-03-10 10:15")
    assert stop_clock(by=cast.tech, stretch=stretch) == stretch
    assert told(stretch) == ("10 10:15", 135, False)
    assert (stretch.person, stretch.line, stretch.by, str(stretch.day)) == (
        cast.tech,
        lines[0],
        cast.tech,
        "2026-03-10",
    )
    assert LogEntry.objects.count() == entries, "hours are between the shop and its customer: not in the vessel's log"
    assert list(Command.objects.order_by("position").values_list("kind", flat=True))[-2:] == [
        "start_clock",
        "stop_clock",
    ]


def test_clocking_on_elsewhere_stops_the_clock_at_that_moment(cast: Cast, lines: list[JobLine], now: Now) -> None:
    first = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 09:20")
    second = start_clock(by=cast.tech, line=lines[1])
    assert told(first) == ("10 09:20", 80, False)
    assert told(second) == RUNS


def test_two_technicians_on_one_line_each_have_their_clock(cast: Cast, lines: list[JobLine]) -> None:
    first, second = start_clock(by=cast.tech, line=lines[0]), start_clock(by=cast.manager, line=lines[0])
    assert told(first) == told(second) == RUNS


def test_the_database_knows_one_open_clock_per_person(cast: Cast, lines: list[JobLine]) -> None:
    start_clock(by=cast.tech, line=lines[0])
    key = uuid4()
    with pytest.raises(IntegrityError, match="one_open_clock_per_person"), transaction.atomic():
        Stretch.objects.create(
            pk=key, root_id=key, source="clock", line=lines[1], person=cast.tech, day="2026-03-10", is_open=True,
            started_at=local("2026-03-10 08:30"), by=cast.tech,
        )  # fmt: skip


def test_a_line_is_taken_over_at_one_moment(cast: Cast, lines: list[JobLine], now: Now) -> None:
    his = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 09:00")
    elsewhere = start_clock(by=cast.manager, line=lines[1])
    now("2026-03-10 11:30")
    hers = take_over(by=cast.manager, stretch=his)
    assert told(his) == ("10 11:30", 210, False)
    assert told(elsewhere) == ("10 11:30", 150, False)
    assert (told(hers), hers.line, hers.person, hers.started_at) == (RUNS, lines[0], cast.manager, his.ended_at)
    assert (his.ends.get().kind, his.ends.get().by) == ("handed-over", cast.manager)
    with pytest.raises(Refused, match="your own clock"):
        take_over(by=cast.manager, stretch=hers)


def test_a_pause_ends_the_stretch_and_says_why(cast: Cast, lines: list[JobLine], now: Now) -> None:
    before = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 12:00")
    pause_clock(by=cast.tech, stretch=before, reason="  Lunch ")
    now("2026-03-10 12:45")
    after = start_clock(by=cast.tech, line=lines[0])
    assert (told(before), told(after)) == (("10 12:00", 240, False), RUNS)
    assert (before.ends.get().kind, before.ends.get().reason) == ("pause", "Lunch")


def test_off_twice_is_off_once(cast: Cast, lines: list[JobLine], now: Now) -> None:
    stretch = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 09:00")
    stop_clock(by=cast.tech, stretch=stretch)
    now("2026-03-10 09:30")
    stop_clock(by=cast.tech, stretch=stretch)
    assert told(stretch) == ("10 09:00", 60, False)


def test_a_clock_sent_late_has_its_own_time_and_works_out_what_lay_around_it(
    cast: Cast, lines: list[JobLine], now: Now
) -> None:
    first = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 15:00")
    stop_clock(by=cast.tech, stretch=first)
    assert told(first) == ("10 15:00", 420, False)
    late = start_clock(by=cast.tech, line=lines[1], happened_at=local("2026-03-10 10:00"))
    assert told(first) == ("10 10:00", 120, False)
    assert told(late) == RUNS
    stop_clock(by=cast.tech, stretch=late, happened_at=local("2026-03-10 14:30"))
    assert told(late) == ("10 14:30", 270, False)


def test_a_job_is_canceled_over_a_running_clock_only_with_a_tick(
    cast: Cast, job: Job, lines: list[JobLine], now: Now
) -> None:
    now("2026-03-10 12:00")
    running = start_clock(by=cast.tech, line=lines[0])
    client, address = signed_in(cast.desk), reverse("workorders:move", args=[job.number])
    move = {"to": "canceled", "seen_version": job.version, "seen_state": job.state, "reason": "Sold."}
    page = client.post(address, move)
    words = page.content.decode()
    assert page.status_code == 422
    assert "The clock of Tomas Reef still runs on this job, and goes on until it is stopped." in words
    ticks = [one.get("value") for one in lxml.html.fromstring(words).xpath("//input[@name='asked']")]
    assert client.post(address, {**move, "asked": ticks}).status_code == 302
    job.refresh_from_db()
    assert (job.state, told(running)) == ("canceled", RUNS)


def test_a_job_that_had_ended_takes_no_clock_but_one_from_before(
    cast: Cast, job: Job, lines: list[JobLine], now: Now
) -> None:
    now("2026-03-10 12:00")
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold.", seen_version=job.version)
    late = start_clock(by=cast.tech, line=lines[0], happened_at=local("2026-03-10 11:00"))
    assert told(late) == RUNS
    with pytest.raises(Refused, match=f"Job {job.number} is canceled. Open it again"):
        start_clock(by=cast.tech, line=lines[0])


@pytest.mark.parametrize(
    ("at", "sentence"),
    [("2026-03-10 08:30", "in the future"), ("2025-01-05 08:00", "more than a year ago")],
)
def test_a_clock_of_no_time_that_can_be(cast: Cast, lines: list[JobLine], at: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence):
        start_clock(by=cast.tech, line=lines[0], happened_at=local(at))


def test_a_clock_cannot_stop_before_it_began(cast: Cast, lines: list[JobLine], now: Now) -> None:
    now("2026-03-10 09:00")
    stretch = start_clock(by=cast.tech, line=lines[0])
    with pytest.raises(Refused, match=r"started Tue, Mar 10, 9:00 AM, after that"):
        stop_clock(by=cast.tech, stretch=stretch, happened_at=local("2026-03-10 08:30"))


def test_a_stretch_over_the_change_of_the_clocks_has_its_true_length(
    cast: Cast, lines: list[JobLine], now: Now
) -> None:
    now("2026-11-01 00:30")
    stretch = start_clock(by=cast.tech, line=lines[0])
    now("2026-11-01 03:30")
    stop_clock(by=cast.tech, stretch=stretch)
    assert told(stretch)[1] == 240


class TestLeftRunning:
    @pytest.fixture
    def left(self, cast: Cast, lines: list[JobLine], now: Now) -> Stretch:
        now("2026-03-10 15:10")
        stretch = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-11 07:40")
        return stretch

    def test_its_hours_are_not_known_until_it_is_answered(self, cast: Cast, left: Stretch, now: Now) -> None:
        with pytest.raises(Refused, match=r"has run since Tue, Mar 10, 3:10 PM\. Say until when"):
            stop_clock(by=cast.tech, stretch=left)
        assert told(left) == RUNS
        answer_clock(by=cast.tech, stretch=left, until=local("2026-03-10 17:00"))
        assert told(left) == ("10 17:00", 110, False)

    def test_going_on_elsewhere_does_not_answer_for_it(self, cast: Cast, left: Stretch, lines: list[JobLine]) -> None:
        today = start_clock(by=cast.tech, line=lines[1])
        assert (told(left), told(today)) == (NOT_KNOWN, RUNS)
        answer_clock(by=cast.manager, stretch=left, until=local("2026-03-10 16:30"))
        assert (told(left), told(today)) == (("10 16:30", 80, False), RUNS)
        assert left.ends.get().by == cast.manager

    def test_nobody_takes_over_what_may_have_ended_yesterday(self, cast: Cast, left: Stretch) -> None:
        with pytest.raises(Refused, match="The clock of Tomas Reef has run since"):
            take_over(by=cast.manager, stretch=left)
        assert Stretch.objects.count() == 1

    def test_a_press_of_that_evening_that_arrives_late_is_its_answer(self, cast: Cast, left: Stretch) -> None:
        stop_clock(by=cast.tech, stretch=left, happened_at=local("2026-03-10 17:25"))
        assert told(left) == ("10 17:25", 135, False)

    @pytest.mark.parametrize(
        ("until", "sentence"),
        [
            ("2026-03-10 15:00", "was started Tue, Mar 10, 3:10 PM"),
            ("2026-03-11 08:00", "A time that has been"),
            ("2026-03-11 07:35", None),
        ],
    )
    def test_an_answer_has_to_be_able_to_be(self, cast: Cast, left: Stretch, until: str, sentence: str | None) -> None:
        if sentence is None:
            answer_clock(by=cast.tech, stretch=left, until=local(until))
            assert told(left)[1] == 16 * 60 + 25  # somebody said so: it is not ours to doubt
            return
        with pytest.raises(Refused) as refusal:
            answer_clock(by=cast.tech, stretch=left, until=local(until))
        assert sentence in refusal.value.fields["until"]

    def test_not_longer_than_a_day_and_not_into_the_next_clock(
        self, cast: Cast, left: Stretch, lines: list[JobLine], now: Now
    ) -> None:
        start_clock(by=cast.tech, line=lines[1], happened_at=local("2026-03-11 07:30"))
        with pytest.raises(Refused) as refusal:
            answer_clock(by=cast.tech, stretch=left, until=local("2026-03-11 07:35"))
        assert "The next clock was started Wed, Mar 11, 7:30 AM" in refusal.value.fields["until"]
        now("2026-03-13 09:00")
        with pytest.raises(Refused) as refusal:
            answer_clock(by=cast.tech, stretch=left, until=local("2026-03-12 10:00"))
        assert "more than 24 hours" in refusal.value.fields["until"]

    def test_a_clock_of_today_is_not_asked_about(self, cast: Cast, lines: list[JobLine], now: Now) -> None:
        stretch = start_clock(by=cast.manager, line=lines[0])
        with pytest.raises(Refused, match="was not left running"):
            answer_clock(by=cast.manager, stretch=stretch, until=local("2026-03-10 08:00"))

    def test_past_midnight_it_is_still_the_evening(self, cast: Cast, lines: list[JobLine], now: Now) -> None:
        now("2026-03-12 21:00")
        stretch = start_clock(by=cast.manager, line=lines[0])
        now("2026-03-13 01:30")
        stop_clock(by=cast.manager, stretch=stretch)
        assert told(stretch)[1] == 270

    def test_what_never_was_work_is_voided(self, cast: Cast, left: Stretch) -> None:
        void_hours(by=cast.tech, stretch=left, reason="Pressed by mistake on the way out.")
        with pytest.raises(Refused, match="already corrected or voided"):
            answer_clock(by=cast.tech, stretch=left, until=local("2026-03-10 17:00"))


class TestWhoMay:
    def test_the_front_desk_clocks_nothing(self, cast: Cast, lines: list[JobLine]) -> None:
        with pytest.raises(Refused, match="clock and note hours"):
            start_clock(by=cast.desk, line=lines[0])

    def test_a_technician_stops_his_own_and_the_manager_everybodys(
        self, cast: Cast, lines: list[JobLine], now: Now
    ) -> None:
        hers = start_clock(by=cast.manager, line=lines[0])
        now("2026-03-10 09:00")
        with pytest.raises(Refused, match="hours of somebody else"):
            stop_clock(by=cast.tech, stretch=hers)
        his = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 09:30")
        stop_clock(by=cast.manager, stretch=his)
        assert told(his)[1] == 30


class TestTheTablesGrow:
    @pytest.mark.parametrize("change", [{"line_id": None}, {"started_at": local("2026-03-10 07:00")}, {"remark": "x"}])
    def test_what_was_said_is_not_changed(self, cast: Cast, lines: list[JobLine], change: dict[str, Any]) -> None:
        stretch = start_clock(by=cast.tech, line=lines[0])
        change = {name: lines[1].pk if value is None else value for name, value in change.items()}
        with pytest.raises(IntegrityError), transaction.atomic():
            Stretch.objects.filter(pk=stretch.pk).update(**change)

    def test_nothing_goes(self, cast: Cast, lines: list[JobLine], now: Now) -> None:
        stretch = start_clock(by=cast.tech, line=lines[0])
        stop_clock(by=cast.tech, stretch=stretch)
        for rows in (Stretch.objects.all(), StretchEnd.objects.all()):
            with pytest.raises(IntegrityError), transaction.atomic():
                rows._raw_delete(rows.db)  # type: ignore[attr-defined]
        with pytest.raises(IntegrityError), transaction.atomic():
            StretchEnd.objects.update(at=local("2026-03-10 07:59"))


def test_a_job_is_not_said_to_be_done_over_a_running_clock_without_a_word(cast: Cast, job: Job, now: Now) -> None:
    line = job.lines.get(position=1)
    job.lines.update(correction="Done.")
    for state, why in (("authorized", "By phone."), ("in-work", "")):
        job = move_job(by=cast.desk, job=job, to=state, reason=why, seen_version=job.version)
    stretch = start_clock(by=cast.tech, line=line)
    with pytest.raises(Refused) as refused:
        move_job(by=cast.desk, job=job, to="ready", seen_version=job.version)
    assert refused.value.fields["reason"].startswith("The clock of Tomas Reef still runs on this job. Stop it first")
    now("2026-03-10 09:00")
    stop_clock(by=cast.tech, stretch=stretch)
    assert move_job(by=cast.desk, job=job, to="ready", seen_version=job.version).state == "ready"


ANOTHER_DAY = "That was another day. Note its hours instead, and clock on for today."
WORKED = (
    "Your work on job {job}, line 1 ended Tue, Mar 10, 9:00 AM. Enter a time after that, or correct those hours first."
)


class TestSinceEarlier:
    """What is remembered now of when work began: it cuts nothing, and is of today."""

    @pytest.mark.parametrize(
        ("now_is", "since", "sentence"),
        [
            ("2026-03-10 11:00", "2026-03-10 11:01", "This time has not come yet."),
            ("2026-03-10 11:00", "2026-03-09 16:00", ANOTHER_DAY),
            ("2026-03-10 11:00", "2026-03-10 08:30", WORKED),
            ("2026-03-11 04:10", "2026-03-11 03:50", ANOTHER_DAY),
            ("2026-03-10 11:00", "2026-03-10 09:00", ""),
            ("2026-03-11 03:50", "2026-03-10 22:00", ""),  # an evening that went past midnight is one working day
        ],
    )  # fmt: skip
    def test_what_can_have_been(
        self, cast: Cast, job: Job, lines: list[JobLine], now: Now, now_is: str, since: str, sentence: str
    ) -> None:
        before = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 09:00")
        stop_clock(by=cast.tech, stretch=before)
        now(now_is)
        if sentence:
            with pytest.raises(Refused) as refusal:
                start_clock_since(by=cast.tech, line=lines[1], since=local(since))
            assert refusal.value.sentence == sentence.format(job=job.number)
        else:
            assert start_clock_since(by=cast.tech, line=lines[1], since=local(since)).started_at == local(since)
        assert told(before) == ("10 09:00", 60, False)

    def test_a_clock_that_runs_since_before_stops_then(self, cast: Cast, lines: list[JobLine], now: Now) -> None:
        running = start_clock(by=cast.tech, line=lines[0])
        now("2026-03-10 11:00")
        made = start_clock_since(by=cast.tech, line=lines[1], since=local("2026-03-10 10:15"))
        assert (told(running), told(made)) == (("10 10:15", 135, False), RUNS)
        with pytest.raises(Refused, match=r"line 1 ended Tue, Mar 10, 10:15 AM\. Enter a time after that"):
            start_clock_since(by=cast.tech, line=lines[0], since=local("2026-03-10 10:00"))

    def test_on_its_page(self, cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
        now("2026-03-10 11:00")
        client, at = signed_in(cast.tech), f"/jobs/{job.number}/lines/2/clock/since/"
        assert f'href="{at}"' in client.get(f"/jobs/{job.number}/hours/").content.decode()
        assert client.post(at, {"day": "2026-03-10", "since": ""}).status_code == 422
        answer = client.post(at, {"day": "2026-03-10", "since": "10:20"}, follow=True)
        assert [str(one) for one in answer.context["messages"]] == [
            f"Your clock runs on job {job.number}, line 2, since Tue, Mar 10, 10:20 AM."
        ]
