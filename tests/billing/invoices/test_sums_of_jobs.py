"""What the list of jobs says that a job comes to: what was invoiced as it was invoiced, and the rest as of today.

The state takes 6 % on fees when a job is invoiced, and 7 % afterwards.
"""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from billing.invoices.marking import told
from shopfloor.today.jobs import ReadyMoney, ready_money
from tests.asking import asked
from workorders import marks
from workorders.actions import change_job_discount, charge_again
from workorders.models import Job
from workorders.queries import job_sum
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax
from workorders.taxes.models import TaxRate
from workorders.worth import worth_of_jobs

D = Decimal


@pytest.fixture
def taxed(money: Any) -> Any:
    """Six percent on fees."""
    add_tax(by=money.cast.owner, name="State", percent=D(6), kinds=[ChargeKind.FEE])
    return money


def seven_percent() -> None:
    TaxRate.objects.update(percent=D(7))


def listed(money: Any) -> tuple[str, str]:
    """What page and CSV say that the job comes to."""
    client = Client()
    client.force_login(money.cast.manager)
    table = b"".join(client.get("/jobs/list.csv", {"state": "all"}).streaming_content).decode()  # type: ignore[attr-defined]
    (row,) = [one for one in csv.DictReader(io.StringIO(table)) if one["job"] == str(money.job.number)]
    page = client.get("/jobs/list/", {"state": "all"}).content.decode()
    sum_ = row["charged with tax"]
    assert f"${D(sum_):,}" in page
    return sum_, row["currency"]


def on_lines(money: Any) -> Decimal:
    """What the Lines tab says that the customer owes for the job in all."""
    money.job.refresh_from_db()
    summed = job_sum(money.job, currency="USD", columns=marks.columns())
    marks.mark(summed)
    found = told(money.job, summed, "USD")
    return found.in_all if found is not None else summed.totals.total


def test_what_was_invoiced_keeps_the_tax_of_its_day(taxed: Any) -> None:
    taxed.invoice("100")
    assert listed(taxed) == ("106.00", "USD")
    seven_percent()
    assert listed(taxed) == ("106.00", "USD")


def test_the_rest_has_the_tax_of_today(taxed: Any) -> None:
    taxed.invoice("100")
    seven_percent()
    taxed.charge("50")
    assert listed(taxed)[0] == "159.50"  # 106.00, and 50.00 with 3.50


def test_nothing_invoiced_is_priced_as_of_today(taxed: Any) -> None:
    taxed.charge("100")
    seven_percent()
    assert listed(taxed)[0] == "107.00"


def test_what_a_customer_need_not_pay_later_was_invoiced_all_the_same(taxed: Any) -> None:
    taxed.invoice("100")
    taxed.charge("10")
    add_certificate(by=taxed.cast.desk, customer=taxed.job.customer, certificate="CF-9")
    assert listed(taxed)[0] == "116.00"


def test_what_was_credited_is_not_charged(taxed: Any) -> None:
    invoice = taxed.invoice("100", "40")
    seven_percent()
    first = taxed.job.charges.earliest("pk")
    taxed.credit(invoice, charges=[first])
    assert listed(taxed)[0] == "42.40"
    taxed.credit(invoice, "2.40")
    assert listed(taxed)[0] == "40.00"
    charge_again(by=taxed.cast.desk, charge=first)
    assert listed(taxed)[0] == "147.00"
    taxed.credit(invoice)
    assert listed(taxed)[0] == "107.00"


def test_credited_whole_it_comes_to_nothing(taxed: Any) -> None:
    invoice = taxed.invoice("100")
    taxed.credit(invoice)
    seven_percent()
    assert listed(taxed)[0] == "0.00"


def test_payments_and_write_offs_are_no_price(taxed: Any) -> None:
    taxed.deposit("20")
    invoice = taxed.invoice("100")
    seven_percent()
    taxed.pay(invoice, "36")
    taxed.write_off(invoice, "50")
    assert listed(taxed)[0] == "106.00"


def test_a_discount_is_given_once_over_invoice_and_rest(taxed: Any) -> None:
    """$30.00 off three charges of $100.00: the first invoice gives 10.00 of it, the rest the other 20.00."""
    charges = [taxed.charge("100") for _ in range(3)]
    change_job_discount(by=taxed.cast.manager, job=taxed.job, amount=D(30))
    taxed.invoice(charges=charges[:1])
    seven_percent()
    assert listed(taxed)[0] == str(D("95.40") + D("192.60")) == "288.00"  # 180.00 with 7 %
    assert on_lines(taxed) == D("288.00")


def test_a_discount_that_was_given_later_is_of_the_rest(taxed: Any) -> None:
    taxed.invoice("100")
    taxed.charge("100")
    seven_percent()
    change_job_discount(by=taxed.cast.manager, job=taxed.job, percent=D(10))
    assert on_lines(taxed) == D("191.60")  # 106.00, and 80.00 with 5.60: the 20.00 are all of the rest
    assert listed(taxed)[0] == "191.60"


def test_an_invoice_in_other_money_is_no_part_of_a_sum(taxed: Any) -> None:
    """What was invoiced before the shop's currency became another one is not added to it."""
    taxed.invoice("100")
    seven_percent()
    assert worth_of_jobs([taxed.job], currency="EUR") == {taxed.job.pk: D("107.00")}


def test_several_jobs_are_told_in_the_same_questions(taxed: Any, cast: Any) -> None:
    from tests.workorders.counter import many_jobs

    def filled(jobs: Any) -> None:
        for job in jobs:
            taxed.job = job
            charges = [taxed.charge("100") for _ in range(2)]
            change_job_discount(by=cast.manager, job=job, amount=D(10))
            job.refresh_from_db()
            taxed.invoice(charges=charges[:1])

    few = list(many_jobs(cast, 2))
    filled(few)
    with asked() as at_two:
        worth = worth_of_jobs(Job.objects.in_bulk([one.pk for one in few]).values(), currency="USD")
    assert set(worth.values()) == {D("201.40")}
    more = list(many_jobs(cast, 5))
    filled(more)
    with asked() as at_seven:
        worth = worth_of_jobs(Job.objects.in_bulk([one.pk for one in few + more]).values(), currency="USD")
    assert set(worth.values()) == {D("201.40")}
    assert at_two.queries == at_seven.queries


def test_today_says_of_jobs_that_are_ready_what_was_invoiced(taxed: Any) -> None:
    taxed.invoice("100")
    taxed.charge("10")
    seven_percent()
    Job.objects.filter(pk=taxed.job.pk).update(state="ready")
    assert ready_money("USD") == ReadyMoney(1, "$116.70")  # 106.00, and 10.00 with 0.70


def test_no_job_comes_to_nothing(db: None) -> None:
    assert worth_of_jobs([]) == {}
