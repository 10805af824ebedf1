"""Two jobs of one customer, and whatever is done with their money in whatever order: every place says the same sums.

Rates, certificates and discounts change between the acts; deposits are for one job and their rest pays the other.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Sum
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from lxml import html

from billing.documents.frozen import thawed
from billing.figures.period import Period
from billing.figures.queries.money import owed_by_age, sales_by_week
from billing.invoices import journal
from billing.invoices.actions import reverse_payment, use_credit
from billing.invoices.marking import told
from billing.invoices.models import CreditNote, Invoice, Payment
from billing.invoices.pricing import priced
from billing.invoices.queries.balances import balance_now, held_for, owed_back_by
from billing.invoices.queries.books import day_book, journal_entries
from billing.invoices.queries.jobs import charges_to_invoice
from billing.invoices.queries.left import left_to_invoice
from billing.invoices.queries.lists import receivables, statement_of
from billing.invoices.record import Document
from commands.refusals import Refused
from workorders import marks
from workorders.actions import change_job_discount, charge_again, move_job, open_job, strike_charge
from workorders.models import Charge, Job
from workorders.queries import job_sum
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax, end_certificate
from workorders.taxes.models import TaxExemption, TaxRate
from workorders.worth import worth_of_jobs

D = Decimal
SUMS = st.sampled_from(["0.01", "7.77", "10.10", "33.33", "100", "123.45"])
KINDS = [
    "charge", "charge", "charge", "invoice", "invoice", "some", "credit", "credit sum", "void", "again", "discount",
    "rate", "exempt", "deposit", "pay", "pay", "refund", "use", "off", "bounce", "close",
]  # fmt: skip
ACTS = st.lists(st.tuples(st.sampled_from(KINDS), st.integers(0, 1), SUMS), min_size=4, max_size=16)


class Shop:
    """What the office does with two jobs; whatever is refused is not done."""

    def __init__(self, money: Any, jobs: list[Job]) -> None:
        self.money, self.jobs = money, jobs

    def do(self, act: str, which: int, amount: str) -> None:
        """One act on one of the jobs."""
        money, cast, sum_ = self.money, self.money.cast, D(amount)
        money.job = Job.objects.get(pk=self.jobs[which].pk)
        left = charges_to_invoice(money.job)
        invoice = Invoice.objects.filter(job=money.job).order_by("-pk").first()
        on_paper = Charge.objects.filter(invoiced__invoice=invoice, struck_at=None).first() if invoice else None
        struck = Charge.objects.filter(job=money.job, struck_at__isnull=False).first()
        paid = Payment.objects.filter(kind="received", reversed_by=None).last()
        exempt = TaxExemption.objects.filter(ended_at=None).first()
        kind = ("fee", "part", "labor")[len(amount) % 3]
        acts: dict[str, Callable[[], Any]] = {
            "charge": lambda: money.charge(amount, kind),
            "invoice": lambda: left and money.invoice(),
            "some": lambda: left and money.invoice(charges=left[:1]),
            "credit": lambda: on_paper and money.credit(invoice, charges=[on_paper]),
            "credit sum": lambda: invoice and money.credit(invoice, amount),
            "void": lambda: left and strike_charge(by=cast.desk, charge=left[-1]),
            "again": lambda: struck and charge_again(by=cast.desk, charge=struck),
            "discount": lambda: change_job_discount(by=cast.desk, job=money.job, amount=sum_),
            "rate": lambda: TaxRate.objects.filter(tax__name="State").update(percent=sum_ % 9),
            "exempt": lambda: (
                end_certificate(by=cast.desk, exemption=exempt)
                if exempt
                else add_certificate(by=cast.desk, customer=money.job.customer, certificate="CF-9")
            ),
            "deposit": lambda: money.deposit(amount),
            "pay": lambda: invoice and money.pay(invoice, amount, "card"),
            "refund": lambda: money.refund(amount),
            "use": lambda: invoice and use_credit(by=cast.desk, invoice=invoice, amount=sum_),
            "off": lambda: invoice and money.write_off(invoice, amount),
            "bounce": lambda: paid and reverse_payment(by=cast.desk, payment=paid, reason="Not honored"),
            "close": self.close,
        }
        try:
            with transaction.atomic():
                acts[act]()
        except Refused:
            return

    def close(self) -> None:
        """The job is closed, from whichever state; a closed one goes on."""
        job = self.money.job
        ways = ("in-work",) if not job.is_open else ("authorized", "in-work", "ready", "closed")
        for state in ways:
            job.refresh_from_db()
            if job.state != state:
                move_job(by=self.money.cast.manager, job=job, to=state, reason="So", seen_version=job.version)


def on_lines(job: Job) -> Decimal:
    """What the Lines tab says that is owed for a job in all, before payments."""
    summed = job_sum(job, currency="USD", columns=marks.columns())
    marks.mark(summed)
    found = told(job, summed, "USD")
    return found.in_all if found is not None else summed.totals.total


def in_table(client: Client, name: str, state: str) -> list[dict[str, str]]:
    answer: Any = client.get(reverse(name), {"state": state})
    return list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode())))


def jobs_agree(client: Client, jobs: list[Job]) -> None:
    """List, CSV, Lines tab and papers of each job."""
    worth = worth_of_jobs(jobs, currency="USD")
    page = {
        row.xpath("string(.//a)").strip(): row.xpath("string(.//td[contains(@class, 'money')])").strip()
        for row in html.fromstring(client.get("/jobs/list/", {"state": "all"}).content.decode()).xpath("//tbody/tr")
    }
    rows = {row["job"]: row["charged with tax"] for row in in_table(client, "workorders:list_csv", "all")}
    for job in jobs:
        papers = sum((one.total for one in Invoice.objects.filter(job=job)), D(0))
        papers -= sum((one.total for one in CreditNote.objects.filter(invoice__job=job)), D(0))
        left = charges_to_invoice(job)
        rest = priced(job, left, currency="USD").sums.total if left else D(0)
        assert worth[job.pk] == papers + rest == on_lines(job) == D(rows[str(job.number)])
        shown = page[str(job.number)].replace("$", "").replace(",", "").replace("−", "-")
        assert D(shown) == worth[job.pk], page
        is_left = any(one.unit_price and one.quantity for one in left)
        assert left_to_invoice().filter(pk=job.pk).exists() is (job.state == "closed" and is_left)


def books_agree(client: Client, customer: Any) -> None:
    """Papers, statement, aging, day book, journal and figures."""
    today = timezone.localdate()
    first, last = today - timedelta(days=2), today + timedelta(days=2)
    invoices, notes = list(Invoice.objects.all()), list(CreditNote.objects.all())
    for paper in [*invoices, *notes]:
        document = thawed(Document, paper.record)
        assert document.net == sum((kind.net for kind in document.kinds), D(0)) == paper.net
        assert document.tax == sum((tax.due for tax in document.taxes), D(0)) == paper.tax
        assert document.total == document.net + document.tax == paper.total
    balances = {one.pk: balance_now(one) for one in invoices}
    is_open = sum((one.open for one in balances.values()), D(0))
    rows = in_table(client, "invoices:list_csv", "all")
    assert sum((D(row["Open"]) for row in rows), D(0)) == is_open
    for row in rows:
        gone = D(row["Paid, still counted"]) + D(row["Credited"]) + D(row["Written off"])
        assert D(row["Total"]) == D(row["Net"]) + D(row["Tax"]) == gone + D(row["Open"])
    held, back = held_for(customer, "USD"), owed_back_by(customer, "USD")
    statement, aging = statement_of(customer, "USD", today), receivables(today, "USD")
    assert statement.balance == is_open + back - held
    assert (statement.owed, statement.back, statement.held.total) == (is_open, back, held)
    assert (aging.on_invoices, aging.back, aging.held.total) == (is_open, back, held)
    assert sum((one.open for one in owed_by_age(today, "USD")), D(0)) == is_open
    money = Payment.objects.aggregate(sum=Sum("amount"))["sum"] or D(0)
    assert sum((day.total for day in day_book(first, last)), D(0)) == money
    sums = journal.balance_of(journal_entries(first, last))
    assert sum(sums.values()) == 0
    assert sums.get(journal.RECEIVABLE, D(0)) == is_open
    assert sum((sum_ for role, sum_ in sums.items() if role.startswith(journal.MEANS)), D(0)) == money
    sold = -sum((sum_ for role, sum_ in sums.items() if role.startswith(journal.SALES)), D(0))
    taxed = -sum((sum_ for role, sum_ in sums.items() if role.startswith(journal.TAX)), D(0))
    assert sold == sum((one.net for one in invoices), D(0)) - sum((one.net for one in notes), D(0))
    assert taxed == sum((one.tax for one in invoices), D(0)) - sum((one.tax for one in notes), D(0))
    weeks, others = sales_by_week(Period(first, last, today, timezone.get_current_timezone()), "USD")
    assert others == 0
    assert sum((week.left for week in weeks), D(0)) == sold
    assert sum((week.tax - week.credit_tax for week in weeks), D(0)) == taxed


def test_whatever_is_done_every_place_says_the_same(money: Any) -> None:
    state = add_tax(by=money.cast.owner, name="State", percent=D(6), kinds=[ChargeKind.PART, ChargeKind.FEE])
    add_tax(by=money.cast.owner, name="Harbor", percent=D("1.1"), kinds=[ChargeKind.FEE], on_tax=state)
    other = open_job(by=money.cast.desk, vessel=money.cast.vessel, concerns=["Polish"])
    client = Client()
    client.force_login(money.cast.owner)

    @settings(
        max_examples=20,
        deadline=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(ACTS)
    def agrees(acts: list[tuple[str, int, str]]) -> None:
        with transaction.atomic():
            shop = Shop(money, [Job.objects.get(pk=one.pk) for one in (money.first, other)])
            for act, which, amount in acts:
                shop.do(act, which, amount)
            jobs = list(Job.objects.filter(pk__in=[one.pk for one in shop.jobs]).order_by("pk"))
            jobs_agree(client, jobs)
            books_agree(client, jobs[0].customer)
            transaction.set_rollback(True)

    money.first = money.job
    agrees()
