"""Everything that is odd on a sheet is asked at once, with a tick each, and nothing that was typed is lost."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter, Reading
from findings.readings.parameters import seed_parameters
from tests.browser.driving import PHONE, TABLET, Tablets, choose, main_button, problems
from vessels.actions import log_hours
from workorders.actions import open_job

if TYPE_CHECKING:
    from tests.cast import Cast

pytestmark = pytest.mark.browser


def test_all_questions_of_a_sheet_have_their_ticks(tablets: Tablets, cast: Cast) -> None:
    seed_parameters()
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=timezone.now() - timedelta(hours=2))
    speed, oil = (Parameter.objects.get(name=name) for name in ("Engine speed", "Oil pressure"))
    limits = [NewLimit(parameter=one, unit=unit, low=Decimal(1)) for one, unit in ((speed, "rpm"), (oil, "bar"))]
    card = add_card(by=cast.tech, family=cast.family, title="Warm", document="Invented manual", limits=limits)
    first, second = (f"limit-{one.pk}" for one in card.limits.order_by("pk"))
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Will not rev up"])
    page = tablets.hand_out(cast.tech)
    page.goto(reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}")
    choose(page, "phase", "arrival")
    page.locator(f"[name='{first}-value']").fill("62000")
    page.locator(f"[name='{second}-value']").fill("48")
    page.locator("[name='hours']").fill("105")
    page.locator("[name='text']").fill("Read by lamp.")
    main_button(page).tap()
    ticks = page.locator(".problems input[type='checkbox'][name='asked']")
    expect(ticks).to_have_count(3)
    assert problems(page, TABLET, PHONE) == []
    ticks.nth(0).check()
    main_button(page).tap()
    expect(ticks).to_have_count(2)
    expect(page.locator("[name='text']")).to_have_value("Read by lamp.")
    expect(page.locator(f"[name='{first}-value']")).to_have_value("62000")
    ticks.nth(0).check()
    ticks.nth(1).check()
    main_button(page).tap()
    expect(page.locator(".messages")).to_contain_text("2 readings logged.")
    assert Reading.objects.count() == 2
