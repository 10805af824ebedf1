"""A technician fits a part and waits for another, the desk charges and takes delivery: by keys, and without scripts."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from parts.actions import add_part
from tests.browser.driving import PHONE, TABLET, Tablets, choose, problems, said
from tests.browser.test_keyboard import press, tab_to
from tests.browser.test_without_scripts import touch
from tests.cast import Cast
from vessels.actions import log_hours
from workorders.actions import move_job, open_job
from workorders.jobparts.actions import await_part, part_arrived
from workorders.jobparts.models import AwaitedPart, FittedCharge, PartFitted
from workorders.models import Charge, Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


@pytest.fixture
def job(cast: Cast) -> Job:
    """A job in work on a boat with two engines, whose line names none."""
    add_part(
        by=cast.owner,
        number="TW-150",
        maker="Tidewright",
        description="Raw water impeller",
        unit_price=Decimal("46.80"),
    )
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410), happened_at=timezone.now() - timedelta(days=9))
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"], technician=cast.tech)
    for state in ("authorized", "in-work"):
        job.refresh_from_db()
        move_job(by=cast.manager, job=job, to=state, reason="By phone: find it.", seen_version=job.version)
    return job


def test_with_the_keys_alone(cast: Cast, job: Job, tablets: Tablets) -> None:
    tech = tablets.hand_out(cast.tech, has_touch=False)
    fit_by_keys(tech, job)
    wait_by_keys(tech, job)
    charge_by_keys(tablets.hand_out(cast.desk, has_touch=False), job)
    assert problems(tech, TABLET, PHONE) == []


def press_in(field: Locator) -> None:
    """Choose one of several by the keys."""
    tab_to(field)
    field.page.keyboard.press("Space")
    expect(field).to_be_checked()


def fit_by_keys(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/lines/")
    press(page.get_by_role("link", name="Part fitted"))
    tab_to(page.locator("#part-q"))
    page.keyboard.type("tw15")
    chosen = page.get_by_role("button", name="Choose TW-150")
    chosen.wait_for()
    press(chosen)
    expect(page.locator("main")).to_contain_text("TW-150 Raw water impeller")
    tab_to(page.locator("[name=serial]"))
    page.keyboard.type("RW 4411")
    press_in(page.locator("[name=condition][value=new]"))
    expect(page.locator("[name=engine]:checked")).to_have_count(0)  # two engines, and nobody has said which
    press_in(page.locator("[name=engine]").first)
    tab_to(page.locator("[name=hours]"))
    expect(page.locator("[name=hours]")).to_have_value("")
    page.keyboard.type("412.5")
    press(page.locator(".form-end .btn-main"))
    made = PartFitted.objects.get()
    assert (made.number, made.serial, made.condition) == ("TW-150", "RW 4411", "new")
    assert (made.entry.engine, made.entry.engine_hours) == (job.vessel.engines.get(position="port"), Decimal("412.5"))
    expect(page.locator(f"#fitted-{made.pk}")).to_contain_text("not charged")


def wait_by_keys(page: Page, job: Job) -> None:
    press(page.get_by_role("link", name="Wait for a part"))
    tab_to(page.locator("[name=description]"))
    page.keyboard.type("Exchanger core")
    press(page.locator(".form-end .btn-main"))
    assert AwaitedPart.objects.get().description == "Exchanger core"
    page.goto(f"/jobs/{job.number}/")
    press(page.get_by_role("button", name="Wait for parts"))
    expect(page.locator("#waiting")).to_contain_text("1 part to come, day not known")


def charge_by_keys(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/lines/")
    expect(page.get_by_label("Price of one TW-150")).to_have_value("46.80")
    press(page.get_by_role("button", name="Charge what is selected"))
    assert "1 part is charged" in said(page)
    charge = Charge.objects.get()
    assert (charge.unit_price, charge.description) == (Decimal("46.80"), "TW-150 Raw water impeller, serial RW 4411")
    assert FittedCharge.objects.get().charge == charge
    press(page.get_by_role("button", name="It is here"))
    expect(page.locator("#waiting")).to_contain_text("Every part is here")
    press(page.get_by_role("button", name="Go on with the work"))
    assert Job.objects.get(pk=job.pk).state == "in-work"


def test_without_scripts(cast: Cast, job: Job, tablets: Tablets) -> None:
    plain: dict[str, Any] = {"java_script_enabled": False}
    tech, desk = tablets.hand_out(cast.tech, **plain), tablets.hand_out(cast.desk, **plain)
    tech.goto(f"/jobs/{job.number}/lines/")
    touch(tech.get_by_role("link", name="Part fitted"))
    tech.locator("[name=serial]").fill("RW 4411")
    choose(tech, "condition", "rebuilt")
    tech.locator("#part-q").fill("impeller")
    touch(tech.get_by_role("button", name="Find"))
    touch(tech.get_by_role("button", name="Choose TW-150"))
    expect(tech.locator("[name=serial]")).to_have_value("RW 4411")  # what was typed before is there still
    touch(tech.locator(".form-end .btn-main"), status=422)
    expect(tech.locator(".problems")).to_contain_text("Say what it was fitted on. Nothing is logged yet.")
    choose(tech, "engine", "boat")
    touch(tech.locator(".form-end .btn-main"))
    made = PartFitted.objects.get()
    assert (str(made), made.condition, made.entry.engine) == (
        "1 × TW-150 Raw water impeller (Tidewright)",
        "rebuilt",
        None,
    )
    correct_it(tech, made)
    desk.goto(f"/jobs/{job.number}/lines/")
    touch(desk.get_by_role("button", name="Charge what is selected"))
    assert Charge.objects.get().description == "TW-150 Raw water impeller, rebuilt, serial RW 4412"
    touch(desk.get_by_role("link", name="Wait for a part"))
    desk.locator("[name=number]").fill("TW-900")
    touch(desk.locator(".form-end .btn-main"))
    touch(desk.get_by_role("button", name="It is here"))
    assert AwaitedPart.objects.get().arrived_by == cast.desk


def correct_it(tech: Page, made: PartFitted) -> None:
    touch(tech.get_by_role("link", name="Correct 1 × TW-150"))
    tech.locator("[name=serial]").fill("RW 4412")
    touch(tech.locator(".form-end .btn-main"))
    assert PartFitted.objects.get(entry__amends=made.pk).serial == "RW 4412"


def test_an_order_in_several_deliveries_is_one_on_tablet_and_phone(cast: Cast, job: Job, tablets: Tablets) -> None:
    made = await_part(
        by=cast.tech,
        job=job,
        number="TW-900",
        description="Relief valve",
        quantity=Decimal(4),
        supplier="Harbor Supply",
    )
    part_arrived(by=cast.desk, awaited=made, quantity=Decimal(1))
    page = tablets.hand_out(cast.tech)
    page.goto(f"/jobs/{job.number}/lines/")
    order = page.locator("li", has_text="4 × TW-900").first
    expect(order).to_contain_text("1 of 4 here, 3 to come")
    expect(order.get_by_role("button", name="It is here")).to_have_count(1)
    assert problems(page, TABLET, PHONE) == []
