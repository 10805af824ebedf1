"""The manager's way: the list of owners, a letter with and without JavaScript, a calendar feed made and revoked; and
what an owner declined, dropped, offered again, and taken up where the boat comes back."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.driving import PHONE, TABLET, Tablets, main_button, problems, said
from tests.cast import Cast
from tests.shopfloor.scene import Scene
from workorders.calendar.models import CalendarFeed
from workorders.models import Job
from workorders.upkeep.actions import add_plan, adopt_plans
from workorders.upkeep.models import Reminder, ReminderLetter

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


def press(page: Page, name: str, key: str = "Enter") -> None:
    """By the keyboard alone."""
    button = page.get_by_role("button", name=re.compile(name)).first
    button.focus()
    with page.expect_navigation():
        page.keyboard.press(key)


def test_list_letter_and_feed(cast: Cast, tablets: Tablets, settings, tmp_path) -> None:
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path
    plan = add_plan(by=cast.tech, family=cast.family, name="Impeller", every_months=12)
    told = {"basis": "done", "last_on": timezone.localdate() - timedelta(days=500), "source": "told"}
    adopt_plans(by=cast.desk, engine=cast.port, plans=[plan], **told)
    page = tablets.hand_out(cast.manager)
    page.goto(reverse("upkeep:reminders"))
    assert problems(page, PHONE, TABLET, axe_at=1) == []
    page.get_by_label("Letter to Wes Harrow").focus()
    page.keyboard.press("Space")
    press(page, "Write letters to the selected")
    expect(page.get_by_role("link", name="PDF of the letter to Wes Harrow")).to_be_visible()
    assert problems(page, PHONE, TABLET, axe_at=1) == []
    plain = tablets.hand_out(cast.manager, java_script_enabled=False)
    plain.goto(reverse("upkeep:letters"))
    plain.get_by_label("Sent to Wes Harrow").check()
    press(plain, "Note the selected as sent")
    assert "their owners count as reminded" in said(plain)
    assert Reminder.objects.get().letter == ReminderLetter.objects.get()
    page.goto(reverse("upkeep:reminders"))
    expect(page.locator(f"#owner-{cast.customer.pk}")).to_contain_text("Mina Sparrow wrote a letter")
    plain.goto(reverse("calendar:add"))
    plain.get_by_role("textbox", name="Name").fill("Phone")
    with plain.expect_navigation():
        main_button(plain).click()
    expect(plain.get_by_label("Secret address")).to_have_value(re.compile(r"/calendar/[\w-]{43}\.ics$"))
    page.goto(reverse("calendar:feeds"))
    assert problems(page, PHONE, TABLET, axe_at=1) == []
    page.get_by_role("button", name="Revoke Phone").focus()
    page.keyboard.press("Enter")
    with page.expect_navigation():
        page.get_by_role("button", name="Revoke it").press("Enter")
    assert "answers no more" in said(page)
    assert CalendarFeed.objects.get().revoked_by == cast.manager


def test_what_was_declined_is_kept_until_the_boat_is_back(cast: Cast, tablets: Tablets) -> None:
    work = Scene(cast).deferred
    page = tablets.hand_out(cast.manager)
    page.goto(reverse("authorizations:deferred"))
    assert problems(page, PHONE, TABLET, axe_at=1) == []
    page.get_by_label("Boat, customer or words").fill("launch")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.get_by_role("link", name="Drop Launch").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.get_by_label("Why").fill("Has a trailer now")
    press(page, "Drop it")
    assert "it is no longer offered" in said(page)
    plain = tablets.hand_out(cast.manager, java_script_enabled=False)
    plain.goto(reverse("authorizations:deferred") + "?state=dropped")
    plain.get_by_role("link", name="Offer again Launch").click()
    plain.get_by_label("Why").fill("Sold the trailer")
    press(plain, "Offer it again")
    assert "it is offered again" in said(plain)
    page.goto(reverse("workorders:open") + f"?vessel={cast.vessel.pk}")
    assert problems(page, PHONE, TABLET, axe_at=1) == []
    page.locator(f"[name=offer-deferred-{work.pk}]").focus()
    page.keyboard.press("Space")
    page.locator("[name=location][value=slip]").focus()
    page.keyboard.press("Space")
    press(page, "Open the job")
    work.refresh_from_db()
    line = work.steps.get(state="taken").line
    assert (work.state, line.concern, line.job) == ("taken", "Deferred work: Launch", Job.objects.latest("pk"))
