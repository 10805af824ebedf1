"""The desk takes a deposit, invoices, takes a part; the manager credits a line: by keys, and without scripts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from billing.invoices.models import CreditNote, Invoice, Payment
from billing.invoices.queries.balances import balance_now
from tests.browser.driving import PHONE, TABLET, Tablets, problems, said
from tests.browser.test_keyboard import press, tab_to
from tests.browser.test_without_scripts import touch
from tests.cast import Cast
from workorders.actions import add_charge, move_job, open_job
from workorders.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


@pytest.fixture
def job(cast: Cast) -> Job:
    """A job in work over $120 of labor and a part of $46.80, not taxed."""
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"], technician=cast.tech)
    for kind, price in (("labor", "120"), ("fee", "46.80")):
        add_charge(by=cast.desk, job=job, kind=kind, description=f"{kind} {price}", unit_price=Decimal(price))
    for state in ("authorized", "in-work"):
        job.refresh_from_db()
        move_job(by=cast.manager, job=job, to=state, reason="By phone: repair it.", seen_version=job.version)
    return job


def fill(field: Locator, text: str) -> None:
    """Type over what stands in a field, by the keys."""
    tab_to(field)
    field.page.keyboard.press("Control+a")
    field.page.keyboard.type(text)


def press_in(field: Locator) -> None:
    """Choose one of several by the keys."""
    tab_to(field)
    field.page.keyboard.press("Space")
    expect(field).to_be_checked()


def pick(page: Page, name: str, value: str) -> None:
    """Choose one of a row of choices by the arrow keys."""
    chosen = page.locator(f"[name={name}]:checked")
    tab_to(chosen if chosen.count() else page.locator(f"[name={name}]").first)
    wanted = page.locator(f"[name={name}][value={value}]")
    for _ in range(page.locator(f"[name={name}]").count()):
        if wanted.is_checked():
            return
        page.keyboard.press("ArrowDown")
    expect(wanted).to_be_checked()


def test_with_the_keys_alone(cast: Cast, job: Job, tablets: Tablets) -> None:
    desk = tablets.hand_out(cast.desk, has_touch=False)
    desk.goto(f"/jobs/{job.number}/invoices/")
    press(desk.get_by_role("link", name="Note a deposit"))
    fill(desk.locator("[name=amount]"), "50")
    pick(desk, "means", "check")
    fill(desk.locator("[name=reference]"), "1021")
    press(desk.locator(".form-end .btn-main"))
    assert "$50.00 is held for job" in said(desk)
    press(desk.get_by_role("link", name="Invoice it…"))
    expect(desk.locator("main")).to_contain_text("$50.00 of it is taken into this invoice")
    press(desk.locator(".form-end .btn-main"))
    invoice = Invoice.objects.get()
    expect(desk.locator("main")).to_contain_text("$116.80 is open.")
    press(desk.get_by_role("link", name="Note a payment"))
    expect(desk.locator("[name=amount]")).to_have_value("116.8")
    fill(desk.locator("[name=amount]"), "60")
    pick(desk, "means", "cash")
    press(desk.locator(".form-end .btn-main"))
    expect(desk.locator("main")).to_contain_text("$56.80 is open.")
    expect(desk.get_by_role("link", name="Credit this invoice")).to_have_count(0)  # a manager's
    assert problems(desk, TABLET) == []
    manager = tablets.hand_out(cast.manager, has_touch=False)
    manager.goto(f"/invoices/{invoice.pk}/")
    press(manager.get_by_role("link", name="Credit this invoice"))
    pick(manager, "how", "lines")
    press_in(manager.get_by_label("fee 46.80"))
    fill(manager.locator("[name=reason]"), "The launch was free")
    press(manager.locator(".form-end .btn-main"))
    assert "Credit note CN-1001 over $46.80 is made." in said(manager)
    assert (balance_now(invoice).open, CreditNote.objects.get().total) == (Decimal(10), Decimal("46.80"))
    manager.goto(f"/jobs/{job.number}/lines/")
    press(manager.get_by_role("button", name="Charge again"))
    assert "is on the job again" in said(manager)
    expect(manager.locator("main")).to_contain_text("Not invoiced yet, 1 charge with tax")
    assert problems(manager, PHONE) == []


def test_without_scripts(cast: Cast, job: Job, tablets: Tablets) -> None:
    plain: dict[str, Any] = {"java_script_enabled": False}
    desk = tablets.hand_out(cast.desk, **plain)
    desk.goto(f"/jobs/{job.number}/deposit/")
    take(desk, "50", "check")
    touch(desk.get_by_role("link", name="Invoice it…"))
    touch(desk.locator(".form-end .btn-main"))
    touch(desk.get_by_role("link", name="Note a payment"))
    take(desk, "60", "cash")
    invoice = Invoice.objects.get()
    assert [payment.amount for payment in Payment.objects.order_by("pk")] == [Decimal(50), Decimal(60)]
    expect(desk.get_by_role("link", name="PDF")).to_have_count(1)
    manager = tablets.hand_out(cast.manager, **plain)
    manager.goto(f"/invoices/{invoice.pk}/credit/")
    manager.locator("[name=how][value=sum]").check(force=True)
    manager.locator("[name=amount]").fill("6.80")
    manager.locator("[name=reason]").fill("Agreed")
    touch(manager.locator(".form-end .btn-main"))
    assert balance_now(invoice).open == Decimal(50)


def take(page: Page, amount: str, means: str) -> None:
    page.locator("[name=amount]").fill(amount)
    page.locator(f"[name=means][value={means}]").check(force=True)
    touch(page.locator(".form-end .btn-main"))
