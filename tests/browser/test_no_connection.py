"""Without a connection: a page of our own says what waits, and a half-made scan is still there when it is back."""

from __future__ import annotations

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from shopfloor.health import Finding
from staff.queries import shop_profile
from tests.browser.driving import PHONE, TABLET, Tablets, main_button, sound, wait_until_kept
from tests.cast import Cast
from workorders.actions import open_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

KEYBOARD = 340
"""What the keys of a tablet on its side cover of 768, in pixels (common practice, no source)."""


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_the_first_field_of_a_form_stands_above_the_keyboard(cast: Cast, tablets: Tablets, size) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Overheats"], location="slip")
    job.lines.update(engine=cast.port)
    page = tablets.hand_out(cast.tech, viewport=size)
    for part, field in [
        ("scan", "#id_code"),
        ("paste", "#id_pasted"),
        ("readings", "main form.is-entry :is(input, select)"),
    ]:
        page.goto(f"/jobs/{job.number}/{part}/")
        expect(page.locator(".spine")).to_be_hidden()
        assert page.locator(".head").bounding_box()["height"] <= 56  # one line
        first = page.locator(f"{field} >> visible=true").first.bounding_box()
        assert first["y"] + min(first["height"], 48) <= size["height"] - KEYBOARD, part
        page.locator(".head-back").click()
        page.wait_for_url(f"**/jobs/{job.number}/")
        expect(page.locator(".spine")).to_be_visible()


def test_a_half_made_scan_is_kept_and_drawn_again(cast: Cast, tablets: Tablets) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Overheats"], location="slip")
    job.lines.update(engine=cast.port)
    page = tablets.hand_out(cast.tech, timezone_id="Asia/Tokyo")
    page.goto(f"/jobs/{job.number}/scan/")
    for typed, code in (("110-0", "SPN 110 FMI 0"), ("P0217", "P0217")):
        page.locator("#id_code").fill(typed)
        page.get_by_role("button", name="Add code").last.click()
        expect(page.locator("#listed-codes")).to_contain_text(code)
    page.goto("about:blank")
    page.goto(f"/jobs/{job.number}/scan/")
    expect(page.locator("#listed-codes li")).to_have_count(2)
    expect(page.locator("#scan-form")).to_contain_text("It has not been sent yet")
    assert page.evaluate("Intl.DateTimeFormat().resolvedOptions().timeZone") != shop_profile().time_zone
    now = timezone.now().astimezone(ZoneInfo(shop_profile().time_zone))  # the shop's time, not the device's
    hours = {f"{moment:%a} {moment:%I}".replace(" 0", " ") for moment in (now, now - timedelta(minutes=2))}
    shown = page.locator("#scan-form .notice").first.inner_text()
    assert any(f"({hour}:" in shown.replace(",", "") for hour in hours), shown


def test_what_was_refused_is_not_called_unsent(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech)
    note = f"/vessels/{cast.vessel.pk}/note/"
    page.goto(note)
    page.locator("[name=text]").fill("Chafed hose")
    page.locator("[name=happened_at]").evaluate("one => { one.value = '2999-01-01T00:00' }")
    main_button(page).click()
    expect(page.locator(".problems").first).to_be_visible()
    page.goto(note)
    expect(page.locator("form .notice").first).to_contain_text("It was sent and refused: nothing of it is entered.")
    page.get_by_role("button", name="Start with an empty form").click()
    page.locator("[name=text]").fill("Chafed hose")
    wait_until_kept(page, "Chafed")
    page.goto("about:blank")
    page.goto(note)
    expect(page.locator("form .notice").first).to_contain_text("It has not been sent yet.")


def test_a_page_of_our_own_says_what_waits(cast: Cast, tablets: Tablets) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Overheats"], location="slip")
    job.lines.update(engine=cast.port)
    page = tablets.hand_out(cast.tech)
    page.goto("/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(f"/vessels/{cast.vessel.pk}/note/")
    page.locator("[name=text]").fill("The hose is chafed <b>through</b>.")
    wait_until_kept(page, "The hose is chafed")
    page.context.set_offline(True)
    page.goto(f"/jobs/{job.number}/")
    expect(page.locator("h1")).to_have_text("No connection")
    row = page.locator("#waiting li")
    expect(row).to_have_count(1)
    expect(row).to_contain_text("It has not been sent yet")
    sound(page)
    assert "chafed" not in page.content()  # that it waits is said, not what it says
    page.context.set_offline(False)
    row.get_by_role("link").click()
    expect(page.locator("[name=text]")).to_have_value("The hose is chafed <b>through</b>.")
    page.goto("/offline/")
    expect(page.locator("#waiting li")).to_have_count(1)
    tablets.complaints[:] = [said for said in tablets.complaints if "ERR_INTERNET_DISCONNECTED" not in said]


def test_nothing_of_the_shop_is_kept_in_the_browser(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech)
    page.goto("/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(f"/vessels/{cast.vessel.pk}/")
    kept = page.evaluate(
        "caches.keys().then(async names => (await Promise.all(names.map(async name =>"
        " (await (await caches.open(name)).keys()).map(request => new URL(request.url).pathname)))).flat())"
    )
    assert "/offline/" in kept
    assert all(path == "/offline/" or path.startswith("/static/") for path in kept)


def test_the_bar_is_not_on_add_code_while_a_code_is_written(cast: Cast, tablets: Tablets) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Overheats"], location="slip")
    job.lines.update(engine=cast.port)
    page = tablets.hand_out(cast.tech, viewport={"width": PHONE["width"], "height": PHONE["height"] - KEYBOARD})
    page.goto(f"/jobs/{job.number}/scan/")
    page.locator("#id_code").fill("110-0")
    add = page.locator(".entry-of-code").get_by_role("button", name="Add code")
    add.scroll_into_view_if_needed()
    assert page.locator("#id_code").evaluate("one => one === document.activeElement")
    covered = add.evaluate(
        "one => { const box = one.getBoundingClientRect();"
        " return !one.contains(document.elementFromPoint(box.x + box.width / 2, box.bottom - 4)); }"
    )
    assert not covered


def test_an_answer_by_which_the_program_failed_is_complained_of(
    tablets: Tablets, a_page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the tests' own ear, whoever asked; else a walk would not notice it."""
    monkeypatch.setattr("shopfloor.health.findings", lambda: [Finding("worker", False, "No worker was heard from.")])
    a_page.goto("/health/")
    assert any(one.startswith("503 ") and "/health/" in one for one in tablets.complaints), tablets.complaints
    tablets.complaints.clear()
