"""A technician's clock: by the keys, without scripts, and on a tablet that has no connection."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.driving import PHONE, TABLET, Tablets, problems, said, sound
from tests.browser.test_keyboard import tab_to
from tests.browser.test_without_scripts import touch
from tests.cast import Cast
from workorders.actions import open_job
from workorders.labor.models import Stretch, StretchEnd
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def job(cast: Cast) -> Job:
    """A job with two lines."""
    return open_job(
        by=cast.desk, vessel=cast.vessel, concerns=["Runs hot", "Bilge pump runs often"], technician=cast.tech
    )


def start_stop(page: Page, line: int, words: str) -> Locator:
    return page.locator(f"#line-{line}").get_by_role("button", name=re.compile(f"^{words}"))


def press(target: Locator) -> None:
    """Go to it and press it; the page that comes of it all is looked at once, in the end."""
    tab_to(target)
    with target.page.expect_navigation():
        target.page.keyboard.press("Enter")


def test_on_over_paused_and_off_by_the_keys(cast: Cast, job: Job, tablets: Tablets) -> None:
    tech, lead = (tablets.hand_out(one, has_touch=False) for one in (cast.tech, cast.manager))
    tech.goto(f"/jobs/{job.number}/hours/")
    press(start_stop(tech, 1, "Clock on"))
    assert f"Your clock runs on job {job.number}, line 1." in said(tech)
    lead.goto(f"/jobs/{job.number}/hours/")
    press(start_stop(lead, 1, "Take over from Tomas Reef"))
    assert re.search(r"You took job \d+, line 1 over from Tomas Reef after .*\. Your clock runs\.", said(lead))
    lead.goto("/")
    tab_to(lead.locator("[data-clock-now] summary"))
    lead.keyboard.press("Enter")
    tab_to(lead.get_by_label("Why it is paused"))
    lead.keyboard.type("Waits for a gasket")
    with lead.expect_navigation():
        lead.keyboard.press("Enter")
    expect(lead.locator(".clock-strip")).to_contain_text("(Waits for a gasket)")
    press(lead.get_by_role("button", name="Resume"))
    press(lead.locator(".clock-strip").get_by_role("button", name="Clock off"))
    assert re.search(r"The clock on job \d+, line 1 is off", said(lead))
    assert StretchEnd.objects.get(kind="pause").reason == "Waits for a gasket"
    assert Stretch.objects.filter(is_open=True).count() == 0
    lead.goto(f"/jobs/{job.number}/hours/")
    assert problems(lead, TABLET, PHONE) == []


def test_on_paused_and_off_without_scripts(cast: Cast, job: Job, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech, java_script_enabled=False)
    page.goto(f"/jobs/{job.number}/hours/")
    touch(start_stop(page, 2, "Clock on"))
    page.locator(".clock-strip").get_by_text("Why?").click()
    page.locator(".clock-strip [name=reason]").fill("Lunch")
    touch(page.locator(".clock-strip").get_by_role("button", name="Pause"))
    touch(page.get_by_role("button", name="Resume"))
    touch(start_stop(page, 2, "Clock off"))
    assert [(one.kind, one.reason) for one in StretchEnd.objects.order_by("at")] == [("pause", "Lunch"), ("off", "")]


def test_without_a_connection_it_is_kept_and_sent_later(cast: Cast, job: Job, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech)
    page.goto("/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(f"/jobs/{job.number}/hours/")
    page.context.set_offline(True)
    start_stop(page, 1, "Clock on").tap()
    kept = page.locator("#kept-clocks")
    expect(kept).to_contain_text(f"Clock on, job {job.number}, line 1")
    expect(kept).to_contain_text("kept on this device, not sent yet")
    expect(page.locator("#said")).to_contain_text("No connection.")
    sound(page)
    kept.get_by_role("button", name="Pause").tap()
    kept.get_by_role("button", name="Resume").tap()
    expect(kept.locator(".clock-row")).to_have_count(4)  # three touches, and the clock that runs
    page.goto(f"/jobs/{job.number}/")
    expect(page.locator("h1")).to_have_text("No connection")
    sound(page)
    page.locator("#clocks").get_by_role("button", name="Clock off").tap()
    expect(page.locator("#clocks .clock-row")).to_have_count(4)
    assert Stretch.objects.count() == 0
    context = page.context
    page.close()  # also after the page was closed
    context.set_offline(False)
    page = context.new_page()
    page.goto("/")
    expect(page.locator("#kept-clocks")).to_contain_text("Sent: Clock off")
    first, second = Stretch.objects.order_by("started_at", "recorded_at")
    assert (first.line.position, second.line.position, second.is_open) == (1, 1, False)
    assert {first.minutes, second.minutes} <= {0, 1}
    assert list(StretchEnd.objects.order_by("at").values_list("kind", flat=True)) == ["pause", "off"]
    assert page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('garboard:clocks'))") == []
    sound(page)
    tablets.complaints[:] = [one for one in tablets.complaints if "ERR_INTERNET_DISCONNECTED" not in one]
