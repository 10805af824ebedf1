"""One job through every paper and book: each says the same sums, worked out here by hand.

A repair of two hours at $120.00 with 10 % off it, a part for $83.33 of which $3.33 is let off, a fee of $90.00; the
state takes 6 % on parts and fees, the county 1.5 % on parts; $50.00 is taken off the whole, and $100.00 was deposited.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags
from lxml import html

from billing.authorizations.actions import note_authorization
from billing.authorizations.answers import offer_of
from billing.authorizations.queries import standing_of
from billing.documents.frozen import thawed
from billing.estimates.actions import (
    add_estimate_line,
    change_estimate_terms,
    charge_estimate,
    give_estimate,
    start_estimate,
)
from billing.estimates.paper import paper_html as estimate_html
from billing.estimates.queries import worked_out
from billing.invoices.journal import balance_of
from billing.invoices.paper import paper_html
from billing.invoices.queries.books import day_book, journal_entries
from billing.invoices.queries.jobs import charges_to_invoice
from billing.invoices.queries.lists import receivables, statement_of
from billing.invoices.record import Document
from files.paper.drawing import Stationery
from workorders.actions import charge_again
from workorders.money import money_words
from workorders.queries.sums import sums_of_jobs
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax, end_certificate

D = Decimal
LETTER = Stationery(size="letter", logo_png=None)
NET, STATE, COUNTY, TOTAL = D("336.00"), D("8.88"), D("1.04"), D("345.92")
"""216.00 + 80.00 + 90.00 are 386.00. Of the $50.00 labor has 27.98, the part 10.36, the fee 11.66: by largest
remainder. So the state's tax is due on 69.64 + 78.34 = 147.98, which is 8.88; the county's on 69.64, which is 1.04."""


@pytest.fixture
def priced_job(money: Any) -> Any:
    """The job with the estimate of all that, given and charged."""
    cast, job = money.cast, money.job
    add_tax(by=cast.owner, name="State", percent=D(6), kinds=[ChargeKind.PART, ChargeKind.FEE])
    add_tax(by=cast.owner, name="County", percent=D("1.5"), kinds=[ChargeKind.PART])
    estimate = start_estimate(by=cast.desk, job=job)
    for told in (
        {"kind": "labor", "description": "Seals", "quantity": D(2), "unit_price": D(120), "discount_percent": D(10)},
        {
            "kind": "part",
            "description": "Kit",
            "quantity": D(1),
            "unit_price": D("83.33"),
            "discount_amount": D("3.33"),
        },
        {"kind": "fee", "description": "Haul-out", "quantity": D(1), "unit_price": D(90)},
    ):
        add_estimate_line(by=cast.desk, estimate=estimate, told=told)
    estimate.refresh_from_db()
    change_estimate_terms(
        by=cast.desk, estimate=estimate, seen_version=estimate.version, changes={"discount_amount": D(50)}
    )
    given = give_estimate(
        by=cast.desk,
        estimate=estimate,
        how="printed",
        seen_total=worked_out(estimate, currency="USD").figures.base.total,
    )
    standing = standing_of(job)
    note_authorization(
        by=cast.desk, job=job, amount=given.total, how="phone", who="Wes Harrow", reached="555-0140",
        said_at=timezone.now(), words="Go ahead.", seen_total=standing.total, seen_authorized=standing.limit.authorized,
    )  # fmt: skip
    charge_estimate(by=cast.desk, estimate=given)
    job.refresh_from_db()
    return given


def page(money: Any, name: str, *args: Any, space: str = "invoices") -> str:
    client = Client()
    client.force_login(money.cast.manager)
    return " ".join(strip_tags(client.get(reverse(f"{space}:{name}", args=args)).content.decode()).split())


def books() -> dict[str, Decimal]:
    """What the journal of today comes to by kind of sum, all taxes as one; without what comes to nothing."""
    today, sums = timezone.localdate(), dict[str, Decimal]()
    for role, sum_ in balance_of(journal_entries(today, today)).items():
        name = role.split(":")[0] if role.startswith("tax:") else role
        sums[name] = sums.get(name, D(0)) + sum_
    return {name: sum_ for name, sum_ in sums.items() if sum_}


def amounts_of(page: str, *, row: str, name: str) -> dict[str, list[str]]:
    """The last sum of each row by its first words, so many times as it stands there."""
    found: dict[str, list[str]] = {}
    for one in html.fromstring(page).xpath(row):
        words = "".join(one.xpath("./th/text()")).strip() or one.xpath("string(./th)").strip()
        sums = one.xpath(f"./td[{name}]/text()")
        found.setdefault(words, []).extend(text.strip() for text in sums)
    return found


def test_a_line_has_one_amount_on_every_page_and_paper(money: Any, priced_job: Any) -> None:
    """Of the estimate and the invoice that lie side by side, of the answer between them, and of the job's charges."""
    job = money.job
    told = {"Seals": ["$216.00"], "Kit": ["$80.00"], "Haul-out": ["$90.00"]}
    client = Client()
    client.force_login(money.cast.manager)

    def read(name: str, *args: Any, space: str = "invoices") -> str:
        return client.get(reverse(f"{space}:{name}", args=args)).content.decode()

    def lines(found: dict[str, list[str]]) -> dict[str, list[str]]:
        return {name: sums for name, sums in found.items() if name in told}

    named = {"row": "//tbody/tr", "name": "@data-label='Amount'"}
    given = read("given", job.number, priced_job.revision, space="estimates")
    assert lines(amounts_of(given, **named)) == told
    on_paper = amounts_of(
        estimate_html(thawed(dict, priced_job.snapshot), LETTER), row="//tbody/tr", name="@class='rp-money'"
    )
    assert lines(on_paper) == told
    assert {row.words: [money_words(row.amount, "USD")] for row in rows_of(priced_job) if row.words in told} == told
    assert lines(amounts_of(read("lines", job.number, space="workorders"), **named)) == told
    making = read("make", job.number)
    assert lines(amounts_of(making, **named)) == told
    assert sums_at_foot(making) == ["$386.00", "−$50.00", "$336.00", "$8.88", "$1.04", "$345.92"]
    assert "Seals, $216.00" in making
    invoice = money.invoice()
    made = read("invoice", invoice.pk)
    assert lines(amounts_of(made, **named)) == told
    assert sums_at_foot(made) == ["$386.00", "−$50.00", "$336.00", "$8.88", "$1.04", "$345.92"]
    printed = paper_html(thawed(Document, invoice.record), LETTER, is_signed=False)
    assert lines(amounts_of(printed, row="//table[contains(@class, 'bp-lines')]/tbody/tr", name="last()")) == told
    assert "$240.00 less a discount of $24.00" in printed


def rows_of(given: Any) -> Any:
    """What an answer that takes all of it is made of."""
    offer = offer_of(given)
    return offer.rows(offer.lines)


def sums_at_foot(page: str) -> list[str]:
    return [one.strip() for one in html.fromstring(page).xpath("//tfoot/tr/td[contains(@class, 'money')]/text()")]


def test_every_paper_says_the_same(money: Any, priced_job: Any) -> None:
    job, customer, today = money.job, money.job.customer, timezone.localdate()
    standing = standing_of(job)
    assert priced_job.total == TOTAL
    assert (standing.total, standing.limit.authorized, standing.left) == (TOTAL, TOTAL, 0)
    assert sums_of_jobs([job], today=today, currency="USD") == {job.pk: TOTAL}
    assert "Total$345.92" in page(money, "lines", job.number, space="workorders")
    money.deposit("100")
    invoice = money.invoice()
    document = thawed(Document, invoice.record)
    assert (invoice.net, invoice.total, document.due) == (NET, TOTAL, TOTAL - 100)
    assert [(tax.name, tax.base, tax.due) for tax in document.taxes] == [
        ("State", D("147.98"), STATE), ("County", D("69.64"), COUNTY),
    ]  # fmt: skip
    assert receivables(today, "USD").total == statement_of(customer, "USD", today).balance == D("245.92")
    money.pay(invoice, "245.92", "card")
    assert [(day.total, dict(day.sums)) for day in day_book(today, today)] == [
        (TOTAL, {"Card": D("245.92"), "Check": D(100)})
    ]
    assert books() == {
        "sales:labor": D("-188.02"), "sales:part": D("-69.64"), "sales:fee": D("-78.34"), "tax": -STATE - COUNTY,
        "means:check": D(100), "means:card": D("245.92"),
    }  # fmt: skip


def test_credited_line_by_line_it_comes_to_nothing_everywhere(money: Any, priced_job: Any) -> None:
    job, customer, today = money.job, money.job.customer, timezone.localdate()
    charges = charges_to_invoice(job)
    invoice = money.invoice()
    notes = [money.credit(invoice, charges=[charge]) for charge in charges]
    assert [note.net for note in notes] == [D("188.02"), D("69.64"), D("78.34")]
    assert sum(note.total for note in notes) == TOTAL
    assert receivables(today, "USD").rows == []
    assert statement_of(customer, "USD", today).balance == 0
    assert books() == {}
    assert sums_of_jobs([job], today=today, currency="USD") == {job.pk: 0}
    assert "Nothing is open: it is credited." in page(money, "invoice", invoice.pk)
    assert "No charge on this job waits to be invoiced." in page(money, "job", job.number)
    assert "No charge on this job waits to be invoiced." in page(money, "make", job.number)


def test_an_exemption_between_estimate_and_invoice_is_told_by_each_as_it_was(money: Any, priced_job: Any) -> None:
    job, cast = money.job, money.cast
    charges = charges_to_invoice(job)
    first = money.invoice(charges=charges[:2])
    certificate = add_certificate(by=cast.desk, customer=job.customer, certificate="CF-9")
    second = money.invoice(charges=charges[2:])
    assert (first.tax, second.tax) == (D("5.22"), 0)  # 6 % of 69.64 is 4.18, 1.5 % is 1.04
    assert first.net + second.net == NET
    end_certificate(by=cast.desk, exemption=certificate)
    assert money.credit(second).total == second.total == D("78.34")
    assert priced_job.total == TOTAL
    third = money.invoice(charges=[charge_again(by=cast.desk, charge=charges[2])])
    assert third.tax == D("4.70")  # 6 % of 78.34


def test_a_tax_that_is_credited_with_another_cent_says_why(money: Any) -> None:
    """5.5 % of three charges of $10.10 is 1.67: credited one by one 0.56, 0.55 and 0.56, and 0.56 of each alone."""
    add_tax(by=money.cast.owner, name="State", percent=D("5.5"), kinds=[ChargeKind.FEE])
    charges = [money.charge("10.10") for _ in range(3)]
    invoice = money.invoice()
    assert (invoice.total, invoice.net) == (D("31.97"), D("30.30"))
    dues = []
    for charge in charges:
        document = thawed(Document, money.credit(invoice, charges=[charge]).record)
        paper = paper_html(document, LETTER, is_signed=False)
        dues.append(document.taxes[0].due)
        assert ("it may not be the percentage of the sum beside it to the cent" in paper) is (dues[-1] != D("0.56"))
    assert dues == [D("0.56"), D("0.55"), D("0.56")]
    invoiced = paper_html(thawed(Document, invoice.record), LETTER, is_signed=False)
    assert "A tax is credited as the difference" not in invoiced
