"""The desk's way from an estimate with an option to a signed answer, and on the phone for more: by keys, and plain."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from billing.authorizations.models import Authorization, DeferredWork
from billing.estimates.actions import add_estimate_line, add_estimate_option, give_estimate, start_estimate
from billing.estimates.models import Estimate
from tests.browser.driving import PHONE, TABLET, Tablets, problems, said
from tests.browser.test_keyboard import tab_to
from tests.browser.test_without_scripts import touch
from tests.cast import Cast
from workorders.actions import open_job
from workorders.models import Charge, Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"], technician=cast.tech)


def write_down(cast: Cast, job: Job) -> Estimate:
    """$400 of work and a fee of $50."""
    made = start_estimate(by=cast.desk, job=job)
    for words, price in [("Replace the pump", "400"), ("Haul-out", "50")]:
        told = {"kind": "fee", "description": words, "unit_price": Decimal(price)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    return made


def give(cast: Cast, job: Job) -> Estimate:
    """The same with an option of $100."""
    made = write_down(cast, job)
    option = add_estimate_option(by=cast.desk, estimate=made, name="Wax the hull")
    told = {"kind": "fee", "description": "Wax", "unit_price": Decimal(100), "option": option}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    return give_estimate(by=cast.desk, estimate=made, how="shown", seen_total=Decimal(450))


def turn_to(target: Locator) -> None:
    """Choose one of several, of which one is chosen, by the arrow keys."""
    group = target.page.locator(f"[name={target.get_attribute('name')}]")
    tab_to(target.page.locator(f"[name={target.get_attribute('name')}]:checked"))
    for _ in range(group.count()):
        if target.is_checked():
            return
        target.page.keyboard.press("ArrowDown")
    raise AssertionError(f"not reached by the arrow keys: {target}")


def press(target: Locator) -> None:
    """Go to it by Tab and press it; a page follows."""
    tab_to(target)
    with target.page.expect_navigation():
        target.page.keyboard.press("Enter")


def write(page: Page, name: str, words: str) -> None:
    tab_to(page.locator(f"[name={name}]").first)
    page.keyboard.press("Control+A")
    page.keyboard.type(words)


def test_with_the_keys_alone(cast: Cast, job: Job, tablets: Tablets) -> None:
    write_down(cast, job)
    page = tablets.hand_out(cast.desk, has_touch=False)
    estimate_by_keys(page, job)
    choose_by_keys(page, job)
    sign_by_keys(page)
    stopped_by_keys(page, job)
    agree_by_phone(page, job)
    assert problems(page, TABLET, PHONE) == []


def estimate_by_keys(page: Page, job: Job) -> None:
    """The option is written and the estimate given by keys."""
    page.goto(f"/jobs/{job.number}/estimate/")
    press(page.get_by_role("link", name="Add an option"))
    write(page, "name", "Wax the hull")
    press(page.locator(".form-end .btn-main"))
    press(page.get_by_role("link", name="Add a line to Wax the hull"))
    turn_to(page.locator("[name=kind][value=fee]"))
    write(page, "description", "Wax")
    write(page, "unit_price", "100")
    press(page.locator(".form-end .btn-main"))
    press(page.get_by_role("button", name="Give version 1"))
    assert Estimate.objects.get().total == Decimal(450)


def choose_by_keys(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/authorization/")
    press(page.get_by_role("link", name="Answer to the estimate"))
    haul = page.get_by_label("Haul-out: $50.00")
    tab_to(haul)
    page.keyboard.press("Space")
    tab_to(page.get_by_label("Wax the hull: $100.00"))
    page.keyboard.press("Space")
    assert problems(page, TABLET) == []
    press(page.get_by_role("button", name="Work out the sum"))
    expect(page.get_by_role("heading", name="What was chosen comes to $500.00 with tax")).to_be_visible()
    tab_to(page.get_by_label("Why not: Haul-out"))
    page.keyboard.type("Has a trailer")
    turn_to(page.locator("[name=how][value=drawn]"))
    press(page.locator(".form-end .btn-main"))
    assert not Authorization.objects.exists()


def sign_by_keys(page: Page) -> None:
    """The arrow keys draw; without a stroke nothing is noted."""
    press(page.get_by_role("button", name="Sign and note it"))
    expect(page.get_by_role("alert")).to_contain_text("Nothing was drawn")
    tab_to(page.locator("canvas"))
    page.keyboard.press("Space")
    for key in ["ArrowUp", "ArrowRight", "ArrowRight", "ArrowDown", "ArrowRight"]:
        page.keyboard.press(key)
    page.keyboard.press("Space")
    expect(page.locator("[data-signature-state]")).to_have_text("1 stroke is drawn. The pen is up.")
    assert problems(page, TABLET, PHONE) == []
    press(page.get_by_role("button", name="Sign and note it"))
    made = Authorization.objects.get()
    assert (made.amount, made.how) == (Decimal(500), "drawn")
    expect(page.get_by_role("img", name="Signature of")).to_be_visible()
    assert DeferredWork.objects.get().why == "Has a trailer"


def stopped_by_keys(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/charges/add/")
    turn_to(page.locator("[name=kind][value=fee]"))
    write(page, "description", "Pump and seal")
    write(page, "unit_price", "501")
    press(page.locator(".form-end .btn-main"))
    expect(page.locator(".problems")).to_contain_text("This brings the job to $501.00 with tax")
    assert not Charge.objects.exists()


def agree_by_phone(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/authorization/")
    write(page, "amount", "60")
    turn_to(page.locator("[name=adds][value=yes]"))
    turn_to(page.locator("[name=how][value=phone]"))
    write(page, "reached", "(555) 555-0123")
    said_at = timezone.now() - timedelta(days=1)
    page.locator("[name=said_at]").fill(said_at.strftime("%Y-%m-%dT%H:%M"))
    write(page, "words", "The seal as well")
    press(page.locator(".form-end .btn-main"))
    assert "It is noted" in said(page)
    page.goto(f"/jobs/{job.number}/charges/add/")
    turn_to(page.locator("[name=kind][value=fee]"))
    write(page, "description", "Pump and seal")
    write(page, "unit_price", "501")
    press(page.locator(".form-end .btn-main"))
    assert Charge.objects.get().unit_price == Decimal(501)


def test_a_finger_draws_and_clears(cast: Cast, job: Job, tablets: Tablets) -> None:
    give(cast, job)
    page = tablets.hand_out(cast.desk)
    page.goto(f"/jobs/{job.number}/authorization/answer/")
    touch(page.get_by_role("button", name="Work out the sum"))
    page.locator("[name=how][value=drawn]").check(force=True)
    touch(page.locator(".form-end .btn-main"))
    page.locator("canvas").scroll_into_view_if_needed()
    box = page.locator("canvas").bounding_box()
    assert box is not None
    for _ in range(2):
        page.mouse.move(box["x"] + 40, box["y"] + 80)
        page.mouse.down()
        page.mouse.move(box["x"] + 200, box["y"] + 30, steps=6)
        page.mouse.up()
    expect(page.locator("[data-signature-state]")).to_have_text("2 strokes are drawn.")
    page.get_by_role("button", name="Clear").click()
    expect(page.locator("[data-signature-state]")).to_have_text("Nothing is drawn yet.")
    page.mouse.move(box["x"] + 40, box["y"] + 80)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 120, steps=6)
    page.mouse.up()
    touch(page.get_by_role("button", name="Sign and note it"))
    assert Authorization.objects.get().amount == Decimal(450)


def test_without_scripts(cast: Cast, job: Job, tablets: Tablets) -> None:
    plain: dict[str, Any] = {"java_script_enabled": False}
    give(cast, job)
    page = tablets.hand_out(cast.desk, **plain)
    page.goto(f"/jobs/{job.number}/authorization/answer/")
    page.get_by_label("Haul-out: $50.00").uncheck()
    touch(page.get_by_role("button", name="Work out the sum"))
    page.locator("[name=how][value=drawn]").check(force=True)
    touch(page.locator(".form-end .btn-main"))
    expect(page.locator("main")).to_contain_text("This browser does not run scripts, so nothing can be signed here.")
    expect(page.get_by_role("button", name="Sign and note it")).to_be_hidden()
    touch(page.get_by_role("button", name="Back: agree in another way"))
    page.locator("[name=how][value=phone]").check(force=True)
    page.locator("[name=reached]").fill("(555) 555-0123")
    page.locator("[name=said_at]").fill((timezone.now() - timedelta(days=1)).strftime("%Y-%m-%dT%H:%M"))
    touch(page.locator(".form-end .btn-main"))
    made = Authorization.objects.get()
    assert (made.amount, made.how) == (Decimal(400), "phone")
