"""Closed jobs with charges on no invoice: where the desk looks, and no job that has nothing to invoice."""

from __future__ import annotations

from decimal import Decimal
from importlib import import_module
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from lxml import html

from billing.invoices.models import LeftToInvoice
from billing.invoices.queries.left import left_to_invoice
from tests.asking import asked
from tests.billing.invoices.test_sums_of_jobs import seven_percent
from tests.workorders.counter import many_jobs
from workorders.actions import change_job_discount, move_job, strike_charge
from workorders.models import Charge, Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_tax

D = Decimal


def move(money: Any, to: str, reason: str = "Done") -> None:
    money.job.refresh_from_db()
    move_job(by=money.cast.manager, job=money.job, to=to, reason=reason, seen_version=money.job.version)
    money.job.refresh_from_db()


def close(money: Any) -> None:
    for state in ("authorized", "in-work", "ready", "closed"):
        move(money, state)


def listed(money: Any) -> dict[str, str]:
    """What is left of each job, as the page has it."""
    client = Client()
    client.force_login(money.cast.desk)
    page = html.fromstring(client.get(reverse("invoices:left")).content.decode())
    return {
        row.xpath("string(./th/a)"): row.xpath("string(./td[@data-label='Not invoiced'])").strip()
        for row in page.xpath("//tbody/tr")
    }


def today(money: Any) -> str:
    client = Client()
    client.force_login(money.cast.desk)
    return " ".join(html.fromstring(client.get("/").content.decode()).text_content().split())


def test_a_job_that_is_closed_over_a_charge_is_listed_with_what_is_left(money: Any) -> None:
    add_tax(by=money.cast.owner, name="State", percent=D(6), kinds=[ChargeKind.FEE])
    charges = [money.charge("100"), money.charge("50")]
    money.invoice(charges=charges[:1])
    assert listed(money) == {}  # it goes on
    assert "on no invoice" not in today(money)
    close(money)
    seven_percent()  # a closed job keeps the taxes of its last day
    assert listed(money) == {f"Job {money.job.number}": "$53.00"}
    assert "1 closed job has charges on no invoice." in today(money)
    money.invoice()
    assert listed(money) == {}
    assert "on no invoice" not in today(money)
    assert not LeftToInvoice.objects.exists()


def test_what_is_left_has_its_part_of_the_discount(money: Any) -> None:
    charges = [money.charge("100") for _ in range(3)]
    change_job_discount(by=money.cast.manager, job=money.job, amount=D(30))
    money.invoice(charges=charges[:1])
    close(money)
    assert listed(money) == {f"Job {money.job.number}": "$180.00"}


@pytest.mark.parametrize(
    ("price", "quantity"), [("0", "1"), ("0", "3")]
)  # work under warranty: there is nothing to invoice
def test_what_costs_nothing_is_not_left(money: Any, price: str, quantity: str) -> None:
    money.charge(price, quantity=quantity)
    close(money)
    assert listed(money) == {}


def test_what_was_voided_or_invoiced_whole_is_not_left(money: Any) -> None:
    money.invoice("100")
    strike_charge(by=money.cast.desk, charge=money.charge("50"))
    close(money)
    assert listed(money) == {}


def test_what_was_credited_is_not_left(money: Any) -> None:
    invoice = money.invoice("100")
    close(money)
    money.credit(invoice)
    assert listed(money) == {}


def test_a_canceled_job_is_not_invoiced_and_an_open_one_is_not_closed(money: Any) -> None:
    money.charge("100")
    close(money)
    assert list(listed(money).values()) == ["$100.00"]
    move(money, "in-work")
    assert listed(money) == {}
    assert not LeftToInvoice.objects.exists()
    move(money, "canceled")
    assert listed(money) == {}


def test_jobs_that_were_closed_before_it_was_kept_are_found(money: Any) -> None:
    money.charge("100")
    close(money)
    LeftToInvoice.objects.all().delete()
    with connection.cursor() as cursor:
        cursor.execute(import_module("billing.invoices.migrations.0010_still_to_invoice").FILL)
    assert [job.pk for job in left_to_invoice()] == [money.job.pk]


def test_it_costs_the_same_at_two_sizes(money: Any) -> None:
    def more(count: int) -> None:
        for job in many_jobs(money.cast, count, state="closed", closed_at=money.job.opened_at):
            Charge.objects.create(job=job, kind="fee", description="Fee", unit_price=D(5), added_by=money.cast.desk)
            LeftToInvoice.objects.create(job=job)

    client = Client()
    client.force_login(money.cast.desk)
    counts = []
    for count in (3, 9):
        more(count)
        client.get(reverse("invoices:left"))
        with asked() as counted:
            client.get(reverse("invoices:left"))
        counts.append(counted.queries)
    assert counts[0] == counts[1]
    assert Job.objects.filter(state="closed").count() == len(listed(money)) == 12
