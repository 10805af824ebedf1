"""The shop's figures by the keys, without scripts, and on tablet and phone."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from billing.invoices.actions import make_invoice
from billing.invoices.pricing import priced
from billing.invoices.queries.jobs import charges_to_invoice
from tests.browser.driving import PHONE, TABLET, Tablets, problems
from tests.browser.test_keyboard import tab_to
from tests.cast import Cast
from workorders.actions import add_charge, open_job
from workorders.labor.actions import note_hours

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_from_hours_to_sales_and_to_the_invoice(cast: Cast, tablets: Tablets) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"])
    note_hours(by=cast.tech, line=job.lines.get(), day=timezone.localdate() - timedelta(days=1), minutes=90)
    add_charge(by=cast.desk, job=job, kind="fee", description="Haul-out", quantity=Decimal(1), unit_price=Decimal(90))
    total = priced(job, charges_to_invoice(job), currency="USD").sums.total
    invoice = make_invoice(by=cast.desk, job=job, seen_total=total)
    page = tablets.hand_out(cast.owner, has_touch=False)
    page.goto("/insight/")
    tab_to(page.get_by_role("link", name="Hours sold"))
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_text("0.00 h were sold of 1.50 h worked: 0%.", exact=True)).to_be_visible()
    assert problems(page, TABLET, PHONE) == []
    tab_to(page.get_by_role("link", name="Sales by week"))
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert problems(page, TABLET, PHONE) == []
    plain = tablets.hand_out(cast.owner, java_script_enabled=False)
    plain.goto("/insight/shop/sales/")
    plain.get_by_label("From").fill(timezone.localdate().isoformat())
    plain.get_by_role("button", name="Show").click()
    said = plain.locator("main b").first
    expect(said).to_contain_text("1 invoice ($90.00 in all before tax), 0 credit notes ($0.00 in all)")
    plain.get_by_role("link", name=invoice.number).click()
    expect(plain.locator("h1")).to_contain_text(invoice.number)
