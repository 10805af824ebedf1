"""Charges over nothing: work under warranty is invoiced, credited and charged again as all other work is."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.documents.frozen import thawed
from billing.invoices.filing import pdf_of
from billing.invoices.models import CreditNote, Invoice
from billing.invoices.queries.books import journal_entries
from billing.invoices.queries.lists import receivables, statement_of
from billing.invoices.record import Document
from commands.refusals import Refused
from workorders.actions import change_job_discount, charge_again, strike_charge


def client(money: Any) -> Client:
    made = Client()
    made.force_login(money.cast.manager)
    return made


def page(money: Any, name: str, pk: int) -> str:
    return " ".join(client(money).get(reverse(f"invoices:{name}", args=[pk])).content.decode().split())


def voided(charge: Any) -> bool:
    charge.refresh_from_db()
    return bool(charge.is_struck)


@pytest.fixture
def warranty(money: Any) -> tuple[Any, Invoice]:
    charge = money.charge("0", "labor")
    return charge, money.invoice()


def test_warranty_work_alone_on_an_invoice_is_credited_and_charged_again(money: Any, warranty: Any) -> None:
    charge, invoice = warranty
    with pytest.raises(Refused, match=f"stands on invoice {invoice}"):
        strike_charge(by=money.cast.desk, charge=charge)
    assert "Credit this invoice" in page(money, "invoice", invoice.pk)
    note = money.credit(invoice)
    assert (note.total, note.net, note.tax) == (0, 0, 0)
    assert voided(charge)
    assert [line.description for line in thawed(Document, note.record).lines] == ["labor 0"]
    again = charge_again(by=money.cast.desk, charge=charge)
    assert money.invoice(charges=[again]).total == 0
    told = page(money, "invoice", invoice.pk)
    assert f"Credit note {note}" in told
    assert "Credit this invoice" not in told
    with pytest.raises(Refused, match="Nothing of this is left to be credited"):
        money.credit(invoice)


def test_it_is_asked_about_once_and_told_as_what_it_is(money: Any, warranty: Any) -> None:
    charge, invoice = warranty
    told = page(money, "credit", invoice.pk)
    assert (
        "No sum of this invoice is left to be credited. 1 line of it is on the job and can be credited over nothing."
    ) in told
    url = reverse("invoices:credit", args=[invoice.pk])
    answer = client(money).post(url, {"how": "lines", "charges": [charge.pk], "reason": "Wrong engine"})
    assert answer.status_code == 422
    assert "This credit note comes to $0.00." in answer.content.decode()
    assert not CreditNote.objects.exists()
    sent = {"how": "lines", "charges": [charge.pk], "reason": "Wrong engine", "asked": [f"nothing of {invoice}"]}
    assert client(money).post(url, sent).status_code == 302
    assert voided(charge)
    assert "Nothing of this invoice is left to be credited." in page(money, "credit", invoice.pk)


def test_a_line_over_nothing_beside_others(money: Any) -> None:
    nothing, fee = money.charge("0"), money.charge("10")
    invoice = money.invoice()
    money.write_off(invoice, "10")  # what was written off is not credited, a line over nothing is
    assert "Credit this invoice" in page(money, "invoice", invoice.pk)
    assert money.credit(invoice, charges=[nothing]).total == 0
    assert (voided(nothing), voided(fee)) == (True, False)
    assert "Credit this invoice" not in page(money, "invoice", invoice.pk)
    with pytest.raises(Refused, match=r"was written off\. Reverse that first"):
        money.credit(invoice, charges=[fee])


def test_a_discount_of_all_of_it_and_the_books(money: Any) -> None:
    money.charge("100")
    money.job.refresh_from_db()
    change_job_discount(by=money.cast.desk, job=money.job, percent=Decimal(100))
    invoice = money.invoice()
    note = money.credit(invoice)
    today = timezone.localdate()
    assert (invoice.total, note.total) == (0, 0)
    assert [entry.postings for entry in journal_entries(today, today)] == [(), ()]
    statement = statement_of(money.job.customer, "USD", today)
    assert [(row.what, row.amount, row.after) for row in statement.rows] == [
        (f"Invoice {invoice}, job {money.job.number}", 0, 0),
        (f"Credit note {note} on invoice {invoice}", 0, 0),
    ]
    assert receivables(today, "USD").rows == []
    assert (pdf_of(note) or b"").startswith(b"%PDF")


def test_a_sum_that_is_all_that_is_left_takes_the_charges_along(money: Any) -> None:
    fee, other = money.charge("60"), money.charge("40")
    invoice = money.invoice()
    money.credit(invoice, "70")
    assert (voided(fee), voided(other)) == (False, False)
    money.credit(invoice, str(invoice.total - 70))
    assert (voided(fee), voided(other)) == (True, True)
    assert money.worth([]) == 0
