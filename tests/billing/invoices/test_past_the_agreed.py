"""An invoice past what was agreed is asked about once, with both sums; caps of a tax are told as they are."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from billing.invoices.actions import make_invoice
from commands.questions import Questions, asking
from staff.queries import local_day
from tests.billing.authorizations.test_stopped import note
from tests.billing.invoices.test_invoicing import taxed
from workorders.money import ChargeKind
from workorders.taxes.actions import add_tax, add_tax_rate
from workorders.taxes.models import TaxRate

D = Decimal


def words(money: Any, name: str, *args: Any) -> str:
    client = Client()
    client.force_login(money.cast.manager)
    answer = client.get(reverse(name, args=args))
    return " ".join(strip_tags(answer.content.decode()).split())


def rate_rises(cast: Any, tax: Any, percent: str) -> None:
    from django.utils import timezone

    kinds = [ChargeKind.FEE, ChargeKind.PART]
    add_tax_rate(by=cast.owner, tax=tax, percent=D(percent), kinds=kinds, starts_on=local_day(timezone.now()))


def test_an_invoice_past_what_was_agreed_is_asked_about_with_both_sums(money, cast, job):
    """110 at 6 % are 116.60; at 9 % they are 119.90, which is 3.30 past what was agreed."""
    tax = taxed(cast, "6")
    TaxRate.objects.update(starts_on=local_day_before(40))
    money.charge("110")
    job.refresh_from_db()
    note(cast, job, "116.60", is_ceiling=True)
    rate_rises(cast, tax, "9")
    with asking(list), pytest.raises(Questions) as asked:
        make_invoice(by=cast.desk, job=job, seen_total=money.worth())
    (said,) = [text for name, text in asked.value.fields.items() if name == "past"]
    assert said.startswith(
        "With this invoice $119.90 is invoiced for the job, $3.30 more than the $116.60 that may be charged. By phone "
    )
    assert money.invoice().total == D("119.90")
    assert "$3.30 past what may be charged." in words(money, "workorders:lines", job.number)


def local_day_before(days: int) -> Any:
    from django.utils import timezone

    return local_day(timezone.now()) - timedelta(days=days)


def test_what_is_credited_is_not_counted_and_within_the_sum_nobody_is_asked(money, cast, job):
    money.charge("100")
    job.refresh_from_db()
    note(cast, job, "100")
    first = money.invoice()
    money.credit(first, "60")
    note(cast, job, "100")
    money.charge("60")
    with asking(list), pytest.raises(Questions) as asked:
        make_invoice(by=cast.desk, job=job, seen_total=D(60))
    assert "past" not in asked.value.fields  # it is still an estimate, and that alone is asked


def test_a_cap_of_each_invoice_is_named_and_no_cent_is_promised(money, cast, job):
    add_tax(by=cast.owner, name="County", percent=D(1), kinds=[ChargeKind.FEE], cap=D(500), cap_per="document")
    money.invoice("400")
    money.charge("400")
    told = words(money, "invoices:job", job.number)
    assert "by a cent" not in told
    assert (
        "Each invoice works its taxes out by itself, and rounds them; County is due on no more than $500.00 of each "
        "invoice. So several may come to another sum than one over all of it."
    ) in told


def test_without_a_cap_none_is_told(money, cast, job):
    taxed(cast, "6")
    money.invoice("400")
    money.charge("400")
    assert "and rounds them. So several may come" in words(money, "invoices:job", job.number)
