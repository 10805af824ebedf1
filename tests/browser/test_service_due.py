"""Service due: offered when the boat comes in, done by the technician in one touch, and told on every page of it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.driving import PHONE, TABLET, Tablets, choose, main_button, problems, said
from tests.cast import Cast
from vessels.actions import log_hours
from workorders.models import Job, JobLine
from workorders.upkeep.actions import add_plan, adopt_plans
from workorders.upkeep.models import ServiceDone

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


def test_offered_taken_and_done(cast: Cast, tablets: Tablets) -> None:
    family, today = cast.family, timezone.localdate()
    oil = add_plan(
        by=cast.tech, family=family, name="Oil and filter", every_hours=Decimal(100), every_months=12,
        tasks="Change the oil\nChange the filter", manual="D6T manual, ed. 4, p. 12",
    )  # fmt: skip
    belts = add_plan(by=cast.tech, family=family, name="Belts and hoses", every_months=24)
    said_so = {"basis": "done", "last_on": today - timedelta(days=400), "source": "told"}
    adopt_plans(by=cast.desk, engine=cast.port, plans=[oil], last_hours=Decimal(310), **said_so)
    adopt_plans(by=cast.desk, engine=cast.starboard, plans=[oil, belts])
    for days, hours in [(150, 330), (60, 360), (3, 395)]:
        log_hours(
            by=cast.tech, engine=cast.port, shown=Decimal(hours), happened_at=timezone.now() - timedelta(days=days)
        )
    desk = tablets.hand_out(cast.desk)
    desk.goto(f"/jobs/open/?vessel={cast.vessel.pk}")
    desk.get_by_label("Oil and filter, Port · Norrland D6T-370: overdue").check()
    choose(desk, "location", "slip")
    assert problems(desk, PHONE, TABLET, axe_at=1) == []
    with desk.expect_navigation():
        main_button(desk).tap()
    job = Job.objects.get()
    line = job.lines.get()
    assert line.concern == "Service due: Oil and filter"
    JobLine.objects.filter(pk=line.pk).update(correction="Oil and filter changed.")
    tech = tablets.hand_out(cast.tech)
    tech.goto(f"/jobs/{job.number}/lines/")
    assert problems(tech, PHONE, TABLET, axe_at=1) == []
    tech.get_by_label("Hour meter shows").fill("396.5")
    with tech.expect_navigation():
        tech.locator("#services button", has_text="Service done").tap()
    assert "The next one counts from it." in said(tech)
    assert ServiceDone.objects.get().entry.engine_hours == Decimal("396.5")
    expect(tech.locator("#services")).to_contain_text("at 396.5 h")
    for path in (f"/vessels/{cast.vessel.pk}/service/", "/service/?standing=all", "/service/plans/"):
        tech.goto(path)
        assert problems(tech, PHONE, TABLET, axe_at=1) == []
