"""A session that ends while a form is half written: the words come back to the person who wrote them."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.driving import Tablets, sound, wait_until_kept
from tests.cast import Cast, session_of
from vessels.models import LogEntry

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WORDS = "Impeller had lost two vanes; both were found in the cooler."


def write_a_note(page: Page, cast: Cast) -> str:
    """A note that is typed, and not sent; gives the address of its page."""
    address = f"/vessels/{cast.vessel.pk}/note/"
    page.goto(address)
    page.locator("[name=text]").fill(WORDS)
    wait_until_kept(page, WORDS)
    return address


def send(page: Page) -> None:
    with page.expect_navigation():
        page.locator(".btn-main").last.click()


def come_back(page: Page, tablets: Tablets, person: object) -> None:
    page.context.add_cookies([{"name": "sessionid", "value": session_of(person), "url": tablets.address}])


def test_words_sent_after_the_session_ended_are_put_back_after_login(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech)
    address = write_a_note(page, cast)
    page.context.clear_cookies(name="sessionid")
    send(page)
    assert "/accounts/login/" in page.url
    come_back(page, tablets, cast.tech)
    page.goto("/")
    page.goto(address)
    assert page.locator("[name=text]").input_value() == WORDS
    send(page)
    assert LogEntry.objects.filter(kind="note", text=WORDS).count() == 1
    page.goto(address)
    assert page.locator("[name=text]").input_value() == ""


def test_a_page_that_is_too_old_says_so_and_keeps_the_words(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech)
    address = write_a_note(page, cast)
    page.context.clear_cookies(name="csrftoken")
    send(page)
    assert "too old to be sent" in page.locator("h1").inner_text()
    sound(page)
    assert not LogEntry.objects.filter(kind="note").exists()
    page.goto(address)
    assert page.locator("[name=text]").input_value() == WORDS


def test_the_next_person_at_the_tablet_sees_none_of_it(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.tech)
    address = write_a_note(page, cast)
    page.context.clear_cookies(name="sessionid")
    send(page)
    come_back(page, tablets, cast.desk)
    page.goto(address)
    assert page.locator("[name=text]").input_value() == ""
