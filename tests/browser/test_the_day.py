"""The desk's day: an arrival planned by keyboard, its job opened, a call noted; once more without scripts."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.driving import PHONE, TABLET, Tablets, choose, main_button, problems, said
from tests.cast import Cast
from workorders.actions import open_job
from workorders.appointments.actions import add_bay, plan_appointment
from workorders.appointments.models import Appointment
from workorders.calls.models import Call
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


def test_planned_by_keyboard_opened_and_called(cast: Cast, tablets: Tablets) -> None:
    today = timezone.localdate()
    lift = add_bay(by=cast.owner, name="Lift")
    waiting = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Smokes"], technician=cast.tech)
    Job.objects.filter(pk=waiting.pk).update(state="ready", promised_on=today)
    plan_appointment(by=cast.desk, kind="launch", day=today, at="09:30", minutes=60, bay=lift, name="Ada Finch")
    desk = tablets.hand_out(cast.desk)
    desk.goto(f"/appointments/add/?vessel={cast.vessel.pk}")
    desk.get_by_label("What for").press("a")
    desk.get_by_label("Day", exact=True).fill(today.isoformat())
    desk.locator("#id_at").fill("09:00")
    desk.locator("#id_minutes").fill("1.5")
    desk.locator("#id_bay").select_option("Lift")
    desk.locator("#id_remark").fill("Grinding at 2000 rpm")
    with desk.expect_navigation():
        desk.locator("#id_minutes").press("Enter")
    expect(desk.locator(".problems").first).to_contain_text("Lift also has on that day: Launch, Ada Finch")
    assert problems(desk, PHONE, TABLET, axe_at=1) == []
    desk.get_by_label("Keep it: Lift has both").press("Space")
    with desk.expect_navigation():
        main_button(desk).press("Enter")
    assert "Planned: Arrival, Second Wind" in said(desk)
    made = Appointment.objects.get(kind="arrival")
    desk.goto("/week/")
    assert problems(desk, PHONE, TABLET, axe_at=1) == []
    desk.goto(f"/appointments/{made.pk}/")
    with desk.expect_navigation():
        desk.get_by_role("link", name="Open the job").press("Enter")
    expect(desk.locator("#id_concern-0-text")).to_have_value("Grinding at 2000 rpm")
    choose(desk, "location", "slip")
    with desk.expect_navigation():
        main_button(desk).tap()
    made.refresh_from_db()
    assert (made.state, made.job) == ("kept", Job.objects.latest("number"))
    desk.goto("/")
    row = desk.locator(".row", has_text="Ready for pickup").first
    row.locator("summary").press("Enter")
    row.get_by_label("What was said").fill("Comes tomorrow")
    row.get_by_label("Call again on").fill((today + timedelta(days=1)).isoformat())
    assert problems(desk, PHONE, TABLET, axe_at=0) == []
    with desk.expect_navigation():
        row.get_by_label("What was said").press("Enter")
    expect(desk.get_by_text("Called, and to call again later")).to_be_visible()


def test_the_same_without_scripts(cast: Cast, tablets: Tablets) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Smokes"])
    Job.objects.filter(pk=job.pk).update(state="ready")
    page = tablets.hand_out(cast.desk, java_script_enabled=False)
    page.goto("/appointments/add/")
    page.get_by_label("Find by name").fill("second")
    page.get_by_label("Find by name").press("Enter")
    page.get_by_role("button", name="Choose").click()
    page.get_by_label("Day", exact=True).fill(timezone.localdate().isoformat())
    choose(page, "when", "morning")
    main_button(page).click()
    assert "Planned: Arrival, Second Wind" in said(page)
    page.get_by_role("button", name="It happened").click()
    assert "Noted: happened" in said(page)
    page.goto("/")
    page.get_by_role("link", name="Whom to call").click()
    page.locator("summary", has_text="Note a call").click()
    page.get_by_label("What was said").fill("Mailbox")
    page.get_by_role("button", name="Note it").click()
    assert f"Noted for job {job.number}." in said(page)
    assert Call.objects.get().said == "Mailbox"
