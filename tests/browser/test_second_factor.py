"""A passkey and an app, set up and used in a browser under the program's own security policy."""

from __future__ import annotations

import time

import pytest
from allauth.mfa.models import Authenticator
from playwright.sync_api import Page, expect

from staff.models import Session
from tests.browser.driving import PHONE, TABLET, Tablets, go, problems, sound
from tests.cast import PASSWORD, Cast
from tests.staff.doors.test_factors import code_at

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def with_a_key(page: Page) -> None:
    """A device that has passkeys and whose owner always touches it."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    options = {
        "protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
        "isUserVerified": True, "automaticPresenceSimulation": True,
    }  # fmt: skip
    devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})


def log_in(page: Page) -> None:
    page.goto("/accounts/login/")
    page.locator("[name=login]").fill("tomas")
    page.locator("[name=password]").fill(PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Log in", exact=True).tap()


def test_a_passkey_is_made_and_opens_the_door(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out()
    with_a_key(page)
    log_in(page)
    expect(page.locator("h1")).to_have_text("Today")
    go(page, "/accounts/second-factor/")
    go(page, "/accounts/second-factor/passkey/")
    page.locator("[name=name]").fill("Yard tablet")
    page.locator("[name=own_word]").fill(PASSWORD)
    page.get_by_role("button", name="Create the passkey").tap()
    expect(page.locator("h1")).to_have_text("Recovery codes")
    assert not problems(page, TABLET, PHONE)
    assert Authenticator.objects.filter(user=cast.tech, type="webauthn").count() == 1
    go(page, "/accounts/second-factor/")
    expect(page.locator("main")).to_contain_text("Yard tablet")
    page.context.clear_cookies()
    log_in(page)
    expect(page.locator("h1")).to_have_text("One more step")
    assert not problems(page, TABLET, PHONE)
    page.get_by_role("button", name="Use your passkey").tap()
    expect(page.locator("h1")).to_have_text("Today")
    page.context.clear_cookies()
    page.goto("/accounts/login/")
    page.get_by_role("button", name="Log in with a passkey").wait_for()
    assert not problems(page, TABLET, PHONE)
    page.get_by_label("Other people use this device as well").check()
    page.get_by_role("button", name="Log in with a passkey").tap()
    expect(page.locator("h1")).to_have_text("Today")
    assert Session.objects.filter(person=cast.tech).latest("opened_at").is_shared


def test_without_scripts_no_passkey_is_offered(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(java_script_enabled=False)
    page.goto("/accounts/login/")
    expect(page.get_by_role("button", name="Log in with a passkey")).to_be_hidden()
    expect(page.get_by_role("button", name="Log in", exact=True)).to_be_visible()


def test_an_app_is_set_up_without_scripts(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(java_script_enabled=False)
    log_in(page)
    page.goto("/accounts/second-factor/app/")
    secret = page.locator("b.code").inner_text().replace(" ", "")
    page.locator("[name=code]").fill(code_at(secret, time.time()))
    page.locator("[name=own_word]").fill(PASSWORD)
    page.get_by_role("button", name="Add this app").tap()
    expect(page.locator("h1")).to_have_text("Recovery codes")
    page.context.clear_cookies()
    log_in(page)
    page.locator("[name=code]").fill(code_at(secret, time.time() + 30))
    page.get_by_role("button", name="Log in", exact=True).tap()
    expect(page.locator("h1")).to_have_text("Today")


def test_pages_of_the_login_look_right(cast: Cast, tablets: Tablets) -> None:
    page = tablets.hand_out(cast.owner)
    for path in ["/accounts/", "/accounts/second-factor/", "/accounts/second-factor/app/", "/accounts/password/"]:
        page.set_viewport_size(TABLET)
        page.goto(path)
        assert not problems(page, TABLET, PHONE), path
    sound(page)
