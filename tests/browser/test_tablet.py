"""Logging a scan on a tablet in a real browser: three touches, the draft that survives, and axe over every page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from findings.faults.models import Scan
from tests.browser.driving import PHONE, TABLET, problems
from tests.cast import make_cast
from tests.findings.story import COOLANT, OIL, clear, fault, open_job, scan, seen, work

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def shop(transactional_db: None) -> Any:
    cast = make_cast()
    cast.job = open_job(cast)
    cast.job.lines.update(engine=cast.port)
    scan(cast, 0, 100, [seen(COOLANT, "active", 3), seen(OIL, "stored")], job=cast.job)
    work(cast, 0.1, 100, [fault(COOLANT)], job=cast.job)
    clear(cast, 0.2, 100, job=cast.job)
    scan(cast, 30, 184, [seen(COOLANT)], job=cast.job, phase="after-repair")
    return cast


def tablet(chromium: Browser, live_server: Any, client: Any, person: Any, **more: Any) -> Page:
    """A page of a tablet on which the person is signed in."""
    client.force_login(person)
    context = chromium.new_context(viewport={"width": 1024, "height": 768}, base_url=live_server.url, **more)
    cookie = client.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
    return context.new_page()


@pytest.fixture
def page(chromium: Browser, live_server: Any, client: Any, shop: Any) -> Iterator[Page]:
    made = tablet(chromium, live_server, client, shop.tech)
    complaints: list[str] = []
    made.on("pageerror", lambda error: complaints.append(str(error)))
    yield made
    made.context.close()
    assert complaints == []


def main_button(page: Page) -> Any:
    return page.locator(".thumb .btn-main")


def wait_for(page: Page, words: str) -> None:
    page.wait_for_function(
        "words => document.querySelector('.thumb .btn-main').textContent.trim() === words", arg=words
    )


def test_three_touches_log_a_code(page: Page, shop: Any) -> None:
    page.goto(f"/jobs/{shop.job.number}/findings/")
    main_button(page).click()
    page.locator(".chip", has_text="SPN 110 FMI 0").click()
    wait_for(page, "Log 1 code")
    main_button(page).click()
    page.wait_for_url("**/findings/")
    assert "1 code of Engine control unit (port) logged" in page.locator(".messages").inner_text()
    assert Scan.objects.count() == 3


def test_a_code_is_recognized_while_it_is_typed_and_enter_adds_it(page: Page, shop: Any) -> None:
    page.goto(f"/jobs/{shop.job.number}/scan/")
    page.locator("#id_code").press_sequentially("P0217")
    page.locator(".recognized", has_text="Engine coolant over temperature").wait_for()
    page.keyboard.press("Enter")
    wait_for(page, "Log 1 code")
    assert page.evaluate("document.activeElement.id") == "id_code"
    page.locator("#id_code").fill("nonsense")
    page.locator(".entry-of-code button").click()
    page.locator("#id_code_error").wait_for()
    assert page.locator("#id_code").input_value() == "nonsense"
    wait_for(page, "Log 1 code")


def test_what_was_wrong_is_not_said_of_what_is_typed_now(page: Page, shop: Any) -> None:
    page.goto(f"/jobs/{shop.job.number}/scan/")
    page.locator("#id_code").fill("P4217")
    page.locator(".entry-of-code button").click()
    page.locator("#id_code_error").wait_for()
    page.locator("#id_code").fill("190-31")
    page.locator(".recognized").wait_for()
    assert page.locator("#id_code_error, .code-field.is-wrong, #id_code[aria-invalid]").count() == 0


def test_on_a_phone_five_codes_fit_on_a_screen_and_a_half(page: Page, shop: Any) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"/jobs/{shop.job.number}/scan/")
    page.locator("#id_code").fill("94-1, 190-31, 168-4 x3, 111-1, 97-0")
    page.locator(".entry-of-code button").click()
    wait_for(page, "Log 5 codes")
    tall = page.locator("#listed-codes").bounding_box()
    assert tall is not None
    assert tall["height"] <= 5 * 200
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_list_that_was_only_touched_is_there_again_later(page: Page, shop: Any) -> None:
    page.goto(f"/jobs/{shop.job.number}/scan/")
    page.locator(".chip", has_text="SPN 110 FMI 0").click()
    wait_for(page, "Log 1 code")
    page.wait_for_function("() => Object.values(localStorage).some(draft => draft.includes('110-0'))")
    page.goto(f"/jobs/{shop.job.number}/findings/")
    page.goto(f"/jobs/{shop.job.number}/scan/")
    wait_for(page, "Log 1 code")
    page.get_by_text("Start with an empty form").click()
    page.locator(".thumb .btn-quiet", has_text="No codes found").wait_for()


def test_without_a_connection_nothing_is_sent_or_lost(page: Page, shop: Any) -> None:
    page.goto(f"/jobs/{shop.job.number}/scan/")
    page.locator("#id_code").fill("94-1")
    page.locator(".recognized").wait_for()  # its question has been answered: no other word comes between
    page.context.set_offline(True)
    main_button(page).click()
    page.locator("#said", has_text="nothing is lost").wait_for()
    page.context.set_offline(False)
    main_button(page).click()
    page.wait_for_url("**/findings/")
    assert Scan.objects.count() == 3


def test_a_clear_asks_before_it_is_logged(page: Page, shop: Any) -> None:
    page.goto(f"/jobs/{shop.job.number}/clear/")
    main_button(page).click()
    page.locator("dialog").get_by_text("Leave it as it is").click()
    assert fault(COOLANT).state == "not fixed yet"
    main_button(page).click()
    page.locator("dialog .btn-danger").click()
    page.wait_for_url("**/findings/")
    assert fault(COOLANT).state == "cleared"


def test_a_text_read_back_is_sound_at_both_sizes(page: Page, shop: Any) -> None:
    """All other pages are looked at by test_every_page.py; this one is the answer to what was pasted."""
    page.goto(f"/jobs/{shop.job.number}/paste/")
    page.locator("#id_pasted").fill("Read-out\nSPN 110 FMI 0\n18FECA01#40FF5B000301FFFF")
    main_button(page).click()
    page.locator("#read-title").wait_for()
    assert problems(page, TABLET, PHONE) == []
