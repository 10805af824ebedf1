"""What was credited may be charged again without typing it, and the Lines tab says what of a job is invoiced."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import lxml.html
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Refused
from staff.queries import shop_profile
from tests.billing.invoices.test_invoicing import taxed
from workorders.actions import change_job_discount, charge_again, strike_charge
from workorders.labor.actions import charge_hours, note_hours
from workorders.labor.models import Sold
from workorders.labor.queries import job_labor
from workorders.queries import job_sum


def lines_page(money: Any, person: Any = None) -> str:
    client = Client()
    client.force_login(person or money.cast.desk)
    page = client.get(reverse("workorders:lines", args=[money.job.number])).content.decode()
    return " ".join(" ".join(lxml.html.fromstring(page).itertext()).split())


def total_of(money: Any) -> Decimal:
    return job_sum(money.job, currency="USD").totals.total


def test_what_was_credited_counts_for_nothing_and_is_charged_again_in_one_touch(money, cast):
    """$100 and $5 invoiced, $100 credited: the job is $5. Charged again it is $105, of which $100 is to be invoiced."""
    charge, other = money.charge("100"), money.charge("5")
    invoice = money.invoice()
    money.credit(invoice, charges=[charge])
    assert total_of(money) == Decimal(5)
    charge.refresh_from_db()
    assert charge.is_struck
    new = charge_again(by=cast.desk, charge=charge)
    assert (new.description, new.unit_price, new.quantity, new.kind, new.taxable) == (
        charge.description, charge.unit_price, charge.quantity, charge.kind, charge.taxable,
    )  # fmt: skip
    assert total_of(money) == Decimal(105)
    with pytest.raises(Refused, match="was charged again already"):
        charge_again(by=cast.desk, charge=charge)
    with pytest.raises(Refused, match="is on the job and counts"):
        charge_again(by=cast.desk, charge=other)
    second = money.invoice()
    assert second.total == Decimal(100)
    with pytest.raises(Refused, match=f"stands on invoice {second}"):
        strike_charge(by=cast.desk, charge=new)


def test_charged_again_twice_at_once_and_sent_twice_is_one(money, cast):
    charge = money.charge("10")
    strike_charge(by=cast.desk, charge=charge)
    key = uuid4()
    first = charge_again(by=cast.desk, charge=charge, entry_id=key)
    assert charge_again(by=cast.desk, charge=charge, entry_id=key) == first
    strike_charge(by=cast.desk, charge=first)
    assert charge_again(by=cast.desk, charge=charge).again_of == charge


def test_a_credited_sum_leaves_the_charges_and_all_that_is_left_takes_them(money):
    money.charge("100")
    invoice = money.invoice()
    money.credit(invoice, "30")
    assert total_of(money) == Decimal(100)
    money.credit(invoice)
    assert total_of(money) == Decimal(0)


def test_hours_go_along_and_are_never_charged_twice(money, cast):
    line = money.job.lines.get()
    note_hours(by=cast.tech, line=line, minutes=90, day=timezone.localdate() - timedelta(days=1))
    charge_hours(by=cast.desk, job=money.job, seen_minutes=90)
    charge = money.job.charges.get()
    money.credit(money.invoice())
    labor = job_labor(money.job, shop=shop_profile())
    assert (labor.charged_hours, labor.unsold) == (0, 90)
    new = charge_again(by=cast.desk, charge=charge)
    assert [one.minutes for one in Sold.objects.filter(freed_at=None)] == [90]
    strike_charge(by=cast.desk, charge=new)
    charge_hours(by=cast.desk, job=money.job, seen_minutes=90)
    with pytest.raises(Refused, match="Hours of “Labor” were charged once more already"):
        charge_again(by=cast.desk, charge=charge)


def test_the_lines_tab_says_what_is_invoiced_what_is_credited_and_what_is_left(money, cast):
    """$100 and $5 on INV-1001, $100 of it credited; $7 on none. Nothing on an invoice offers to be voided."""
    charge = money.charge("100")
    money.charge("5")
    money.credit(money.invoice(), charges=[charge])
    money.charge("7")
    page = lines_page(money)
    assert "invoice INV-1001, credited by CN-1001" in page
    assert "on invoice INV-1001" in page
    assert "Invoice INV-1001 $105.00 Credited of INV-1001 −$100.00 Not invoiced yet, 1 charge with tax $7.00" in page
    assert "Owed for the job, before payments and write-offs $12.00" in page
    assert "This differs" not in page
    assert (page.count("Void "), page.count("Charge again")) == (1, 1)
    of_tech = lines_page(money, cast.tech)
    assert ("on invoice INV-1001" in of_tech, "Owed for the job" in of_tech) == (True, False)


def test_a_cent_between_the_charges_and_their_invoices_is_explained(money, cast):
    """7 % of $0.07 is half a cent, so $0.00 each; of $0.14 on one invoice it is $0.01: two invoices owe a cent less."""
    taxed(cast, "7")
    first = money.charge("0.07", "part")
    money.charge("0.07", "part")
    money.invoice(charges=[first])
    money.invoice()
    page = lines_page(money)
    assert "Owed for the job, before payments and write-offs $0.14" in page
    said = "This differs from the total of the charges by −\u2060$0.01. What is owed is what the invoices say. "
    assert said + "Each invoice and each credit note works its taxes out by itself, and rounds them." in page
    for other in ("discount", "as a sum", "would have"):
        assert other not in page.split(said)[1].split("rounds them.")[0]


def why(money: Any) -> str:
    """What the page says of the difference."""
    return lines_page(money).partition("What is owed is what the invoices say. ")[2].partition(" For the job")[0]


def test_only_the_discount_differs_and_only_it_is_named(money, cast):
    """$10 off $50, $25 and $25; two are invoiced with $7.50 of it, then it is lowered to $2: $98 by charges, $92.50."""
    first, second = money.charge("50"), money.charge("25")
    third = money.charge("25")
    change_job_discount(by=cast.desk, job=money.job, amount=Decimal(10))
    money.job.refresh_from_db()
    money.invoice(charges=[first, second])
    money.job.refresh_from_db()
    change_job_discount(by=cast.desk, job=money.job, amount=Decimal(2))
    assert why(money).startswith(
        "The discount on the job comes to $2.00 now; as these charges are invoiced, with what is not invoiced yet, it "
        "is $7.50."
    )
    money.invoice(charges=[third])
    page = lines_page(money)
    assert "before payments and write-offs $92.50" in page
    assert "This differs from the total of the charges by −\u2060$5.50. " in page
    assert "it is $7.50." in why(money)
    for other in ("rounds", "as a sum", "by the taxes"):
        assert other not in why(money)


def test_a_sum_that_was_credited_is_named_and_no_other_cause(money):
    money.charge("100")
    money.credit(money.invoice(), "30")
    assert why(money).startswith("CN-1001 credits $30.00 as a sum, and leaves the charges as they are.")
    for other in ("rounds", "The discount on", "by the taxes"):
        assert other not in why(money)


def test_a_tax_that_came_after_the_invoice_is_named_and_no_other_cause(money, cast):
    money.charge("100")
    money.invoice()
    taxed(cast, "7")
    assert why(money).startswith("INV-1001 has $0.00 of tax, and would have $7.00 by the taxes that the job has now.")
    for other in ("rounds", "The discount on", "as a sum"):
        assert other not in why(money)


def test_marks_ask_nothing_more(money):
    """With invoices and credit notes, the page asks what it asked without them."""
    client = Client()
    client.force_login(money.cast.desk)
    address = reverse("workorders:lines", args=[money.job.number])
    charges = [money.charge("5") for _ in range(4)]
    client.get(address)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as queries:
            client.get(address)
        counts.append(len(queries))
        money.credit(money.invoice(charges=charges[:2]), charges=charges[:1]) if len(counts) == 1 else None
    assert counts[1] <= counts[0] <= 24


def test_tax_that_was_credited_is_left_out_of_what_an_invoice_has(money, cast):
    """7 % of 100 and of 300, of which the 300 are credited: the invoice has 7.00 left, and 8 % would be 8.00."""
    tax = taxed(cast, "7")
    first, second = money.charge("100"), money.charge("300")
    made = money.invoice()
    money.credit(made, charges=[second])
    tax.rates.update(percent=Decimal(8))
    assert why(money).startswith(
        "INV-1001 has $7.00 of tax left, without the $21.00 that was credited, and would have $8.00 by the taxes that "
        "the job has now."
    )
    assert first.pk
