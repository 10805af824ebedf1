"""Days in each state: medians that were worked out by hand, with stays that go on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from billing.figures.pages import Asked
from billing.figures.pages.states import figure
from billing.figures.period import Period
from billing.figures.queries.stays import Stays, stays_behind, stays_of
from tests.asking import asked as counting
from tests.cast import Cast
from tests.workorders.labor.conftest import local
from vessels.log.chain import NewEntry, append
from workorders.actions import add_charge, move_job, open_job
from workorders.models import Job, JobMove, MoveInTime

Now = Callable[[str], datetime]
ZONE = ZoneInfo("America/New_York")
MARCH = Period(date(2026, 3, 1), date(2026, 3, 31), date(2026, 4, 30), ZONE)


def by_state() -> list[Stays]:
    """The stays by state, and none of them by itself."""
    return stays_of(MARCH, timezone.now(), 0, -1)[0]


def told(cast: Cast, stays: list[tuple[float, float | None]], state: str = "ready") -> Stays:
    """Stays that begin so many days after March 1 and last so long, as rows of the log; what is said of them."""
    start = local("2026-03-01 08:00").astimezone(UTC)  # no change of clocks within
    for begins, lasts in stays:
        job = Job.objects.create(
            number=Job.objects.count() + 5000, vessel=cast.vessel, customer=cast.customer, opened_by=cast.desk
        )
        moment = start + timedelta(days=begins)
        steps = [("", state, moment)]
        if lasts is not None:
            steps.append((state, "closed", moment + timedelta(days=lasts)))
        for before, after, happened in steps:
            append(
                NewEntry(
                    kind="job-moved" if before else "job-opened", vessel=cast.vessel, author=cast.desk, job_id=job.pk,
                    summary="Moved", happened_at=happened,
                ),
                detail=JobMove(from_state=before, to_state=after),
            )  # fmt: skip
    (found,) = by_state()
    return found


def test_the_kept_moves_are_those_of_the_log(cast: Cast) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"], technician=cast.tech)
    for state in ("authorized", "in-work", "waiting-parts", "in-work"):
        job.refresh_from_db()
        move_job(by=cast.manager, job=job, to=state, reason="By phone", seen_version=job.version)
    logged = JobMove.objects.order_by("entry__position").values_list(
        "entry", "entry__job", "to_state", "entry__position", "entry__happened_at", "entry__recorded_at"
    )
    kept = MoveInTime.objects.order_by("position")
    assert len(logged) == 5
    assert list(kept.values_list("pk", "job", "state", "position", "happened_at", "recorded_at")) == list(logged)


@pytest.mark.parametrize(
    ("stays", "median"),
    [
        ([(0, 1)], 1),
        ([(0, 1), (0, 3)], 2),  # halfway, as of a list
        ([(0, 1), (0, 2), (0, 9)], 2),
        ([(0, 1), (0, 2), (0, 3), (0, 9)], 2.5),
        ([(0, 0), (0, 0), (0, 0)], 0),
        ([(0, 1), (29, None)], None),  # half have ended, the other goes on: at least until now
        ([(29, None)], None),
        # Kaplan and Meier by hand: 2 of 4 are over by day 2 (3/4, then 1/2 of the whole), the next ends on day 6.
        ([(0, 1), (0, 2), (0, 6), (0, None)], 4),
        # one that has gone on for a day and a half leaves 3 at risk: 4/5, then 8/15, then 4/15
        ([(0, 1), (29.5, None), (0, 2), (0, 5), (0, 9)], 5),
    ],
)
def test_medians_by_hand(cast: Cast, now: Now, stays: list[tuple[float, float | None]], median: float | None) -> None:
    now("2026-04-01 08:00")
    found = told(cast, stays)
    assert found.median == (None if median is None else pytest.approx(median))
    assert (found.stays, found.going_on) == (len(stays), sum(lasts is None for _, lasts in stays))
    ended = [lasts for _, lasts in stays if lasts is not None]
    assert found.shortest == (pytest.approx(min(ended)) if ended else None)
    assert found.longest == (pytest.approx(max(ended)) if ended else None)


def test_a_median_of_four_is_not_told_and_of_five_is(cast: Cast, now: Now) -> None:
    now("2026-04-01 08:00")
    told(cast, [(0, 1)] * 4)
    asked = Asked(MARCH, "USD", sees_prices=False)
    assert [row[3].words for row in figure(asked).parts[0].rows] == ["too few to say"]
    told(cast, [(0, 1)])
    assert [row[3].words for row in figure(asked).parts[0].rows] == ["1.0"]


def test_times_that_contradict_each_other_are_counted_apart(cast: Cast, now: Now) -> None:
    now("2026-04-01 08:00")
    found = told(cast, [(5, -2), (0, 1)])
    assert (found.stays, found.gone, found.contradict, found.median) == (2, 1, 1, pytest.approx(1))
    said = figure(Asked(MARCH, "USD", sees_prices=False)).told
    assert said[1] == "1 stay ends before it began, by the times that were given for the moves: not counted."


def test_a_job_through_the_states_and_opened_again(client: Client, cast: Cast, now: Now) -> None:
    """Estimate 2 days, authorized 1, in work 3, ready 1, closed 5, in work again since a day: the page on March 23."""
    now("2026-03-10 08:00")
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Hums"])
    add_charge(by=cast.desk, job=job, kind="fee", description="x", quantity=Decimal(1), unit_price=Decimal(1))
    for day, to in [(12, "authorized"), (13, "in-work"), (16, "ready"), (17, "closed"), (22, "in-work")]:
        now(f"2026-03-{day} 08:00")
        job.refresh_from_db()
        move_job(by=cast.manager, job=job, to=to, reason="so it is", seen_version=job.version)
    now("2026-03-23 08:00")
    found = {one.state: one for one in by_state()}
    assert "closed" not in found
    assert {key: (one.stays, one.going_on, one.longest and round(one.longest, 3)) for key, one in found.items()} == {
        "estimate": (1, 0, 2.0), "authorized": (1, 0, 1.0), "in-work": (2, 1, 3.0), "ready": (1, 0, 1.0),
    }  # fmt: skip
    assert [(one.state, round(one.days, 2)) for one in stays_behind(MARCH, timezone.now(), 0, None)][:2] == [
        ("in-work", 3.0), ("estimate", 2.0),
    ]  # fmt: skip
    client.force_login(cast.owner)
    text = client.get("/insight/shop/states/", {"first": "2026-03-01", "last": "2026-03-23"}).content.decode()
    assert "Jobs came into a state 5 times on these days; 1 of them goes on." in text
    kept = client.get("/insight/shop/states.csv", {"first": "2026-03-01", "last": "2026-03-23"}).content.decode()
    assert f"{job.number},Second Wind,In work,2026-03-22T08:00-04:00,goes on,1.000" in kept


def test_a_stay_belongs_to_the_day_of_the_shops_calendar(cast: Cast, now: Now) -> None:
    """11 PM in New York on March 31 is April 1 in London: it is of March."""
    now("2026-03-31 23:00")
    open_job(by=cast.desk, vessel=cast.vessel, concerns=["Hums"])
    now("2026-04-01 00:30")
    open_job(by=cast.desk, vessel=cast.vessel, concerns=["Hums"])
    now("2026-04-02 00:30")
    (found,) = by_state()
    assert found.stays == 1


def test_stays_and_their_page_are_one_question(cast: Cast) -> None:
    told(cast, [(day / 9, 1 + day % 3) for day in range(30)])
    with counting() as counted:
        groups, behind = stays_of(MARCH, timezone.now(), 0, 5)
    assert (counted.queries, counted.rows) == (1, len(groups) + 6)
    assert groups == by_state()
    assert behind == stays_behind(MARCH, timezone.now(), 0, 5)
    assert stays_of(MARCH, timezone.now(), 5, 5)[1][0] == behind[5]
