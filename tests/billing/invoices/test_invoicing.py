"""Making an invoice: what stands on it, what cannot be, and what a job is asked about before it is closed."""

from __future__ import annotations

import threading
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from billing.documents.frozen import freeze, thawed
from billing.invoices.actions import make_invoice
from billing.invoices.crediting import of_lines, of_sum, what_is_left
from billing.invoices.filing import kept_papers
from billing.invoices.models import CreditNote, DrawnPaper, Invoice, InvoicedCharge
from billing.invoices.record import Document, Line, Party, TaxPart, parts_of, parts_written
from commands.background import do_now
from commands.models import BackgroundTask
from commands.questions import Questions, asking
from commands.refusals import Refused
from files.paper import signing
from staff.models import ShopProfile
from vessels.actions import change_customer
from workorders.actions import move_job, strike_charge
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax


def taxed(cast: Any, percent: str, name: str = "State sales tax") -> Any:
    kinds = [ChargeKind.PART, ChargeKind.FEE]
    return add_tax(by=cast.owner, name=name, percent=Decimal(percent), kinds=kinds)


def document_of(paper: Invoice | CreditNote) -> Document:
    return thawed(Document, paper.record)


def test_an_invoice_says_what_a_bookkeeper_adds_up(money, cast):
    """6.5 % on $41.50 + 2 × $12.35 = $66.20 is $4.303, so $4.30; labor is not taxed."""
    taxed(cast, "6.5")
    money.charge("120", "labor", quantity="1.5")
    money.charge("41.50", "part")
    money.charge("12.35", "part", quantity="2")
    money.deposit("50", reference="1021")
    invoice = money.invoice()
    said = document_of(invoice)
    assert [(one.kind, str(one.net)) for one in said.kinds] == [("labor", "180"), ("part", "66.2")]
    assert [(str(one.base), str(one.due)) for one in said.taxes] == [("66.2", "4.3")]
    assert (invoice.number, invoice.net, invoice.tax, invoice.total) == (
        "INV-1001", Decimal("246.20"), Decimal("4.30"), Decimal("250.50"),
    )  # fmt: skip
    assert ([(one.reference, one.amount) for one in said.deposits], said.due) == (
        [("1021", Decimal(50))], Decimal("200.50"),
    )  # fmt: skip
    assert sum(parts_of(said).values()) == said.total
    assert parts_written(invoice.record) == parts_of(said)
    assert freeze(said).sha256 == invoice.record_sha256


def test_each_tax_stands_for_itself_and_an_exempt_customer_has_the_certificate_on_it(money, cast, job):
    """6 % and 1 % on $33.33: $2.00 (1.9998) and $0.33. The state's is not owed; its base is told all the same."""
    state = taxed(cast, "6")
    taxed(cast, "1", "County tax")
    add_certificate(by=cast.desk, customer=job.customer, certificate="R-77", tax=state)
    money.charge("33.33", "part")
    said = document_of(money.invoice())
    assert [(one.name, str(one.base), str(one.due), one.certificate) for one in said.taxes] == [
        ("State sales tax", "33.33", "0", "R-77"), ("County tax", "33.33", "0.33", ""),
    ]  # fmt: skip
    assert said.total == Decimal("33.66")


def test_what_was_made_stays_what_it_was(money, job, cast):
    money.charge("100")
    invoice = money.invoice()
    customer = job.customer
    change_customer(by=cast.desk, customer=customer, seen_version=customer.version, changes={"name": "Somebody else"})
    assert document_of(Invoice.objects.get(pk=invoice.pk)).customer.name == "Wes Harrow"


def test_no_charge_is_ever_invoiced_twice(money):
    first, second, third = (money.charge(price) for price in ("10", "20", "30"))
    one = money.invoice(charges=[second])
    strike_charge(by=money.cast.desk, charge=third)
    rest = money.invoice()
    assert (one.total, rest.total) == (Decimal(20), Decimal(10))
    assert list(InvoicedCharge.objects.order_by("pk").values_list("charge", flat=True)) == [second.pk, first.pk]
    for charges in ([first], [third], None):
        with pytest.raises(Refused, match=r"was invoiced or voided meanwhile|Nothing is left"):
            make_invoice(by=money.cast.desk, job=money.job, seen_total=Decimal(10), charges=charges)


def test_an_invoice_over_another_sum_than_was_seen_is_not_made(money, cast):
    money.charge("10")
    with pytest.raises(Refused, match=r"comes to \$10.00 now, not to \$9.00"):
        make_invoice(by=cast.desk, job=money.job, seen_total=Decimal(9))
    assert not Invoice.objects.exists()
    assert money.invoice().number == "INV-1001"


def test_nothing_and_a_job_that_nobody_agreed_to_are_asked_about_once(money, cast, job):
    money.charge("0")
    with asking(list), pytest.raises(Questions) as asked:
        make_invoice(by=cast.desk, job=job, seen_total=Decimal(0))
    assert {"This invoice comes to $0.00", "is still an estimate"} <= {
        part for part in ["This invoice comes to $0.00", "is still an estimate"] if part in str(asked.value.fields)
    }
    assert money.balance(money.invoice())[-1] == "0.00"


def test_a_canceled_job_is_not_invoiced(money, job, cast):
    money.charge("10")
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold", seen_version=job.version)
    with pytest.raises(Refused, match=r"canceled\. Open it again"):
        make_invoice(by=cast.desk, job=job, seen_total=Decimal(10))


@pytest.mark.usefixtures("committed_db")
def test_four_people_invoice_one_job_at_once_and_one_invoice_is_made():
    from tests.billing.invoices.conftest import Money
    from tests.cast import make_cast
    from workorders.actions import open_job

    cast = make_cast()
    money = Money(cast, open_job(by=cast.desk, vessel=cast.vessel, concerns=["Alarm"]))
    money.charge("10")
    begin, told = threading.Barrier(4), []

    def make_one() -> None:
        try:
            begin.wait(60)
            told.append(str(make_invoice(by=cast.desk, job=money.job, seen_total=Decimal(10))))
        except Refused as refusal:
            told.append(refusal.sentence)
        finally:
            connection.close()

    people = [threading.Thread(target=make_one) for _ in range(4)]
    for one in people:
        one.start()
    for one in people:
        one.join(60)
    assert sorted(told) == ["INV-1001", *["Nothing is left to be invoiced on this job."] * 3]


def test_lines_are_credited_to_the_cent_with_their_tax(money, cast):
    """Three lines of $0.07 at 7 %: tax on $0.21 is $0.0147, so $0.01. Line by line it ends at the same cent."""
    taxed(cast, "7")
    charges = [money.charge("0.07", "part") for _ in range(3)]
    invoice = money.invoice()
    assert invoice.total == Decimal("0.22")
    taxes = [money.credit(invoice, charges=[charge]).tax for charge in charges]
    assert sum(taxes) == invoice.tax
    assert money.balance(invoice)[-1] == "0.00"
    with pytest.raises(Refused, match="credited already"):
        money.credit(invoice, charges=[charges[0]])


def test_after_a_sum_was_credited_lines_are_not(money):
    charges = [money.charge("50"), money.charge("50")]
    invoice = money.invoice()
    money.credit(invoice, "60")
    with pytest.raises(Refused, match="was credited as a sum"):
        money.credit(invoice, charges=charges)
    rest = money.credit(invoice)
    assert (rest.total, document_of(rest).lines) == (Decimal(40), ())


# --- what a credit comes to: pure ---

LINES = st.lists(st.tuples(st.integers(0, 9999), st.sampled_from(["labor", "part"])), min_size=1, max_size=6)


def invoiced(cents: list[tuple[int, str]], percent: int) -> Document:
    lines = tuple(
        Line(
            charge=place, concern=0, kind=kind, description="x", quantity=Decimal(1), unit_price=Decimal(one) / 100,
            amount=Decimal(one) / 100, discount=Decimal(0), share=Decimal(0), net=Decimal(one) / 100,
            taxes=("t",) if kind == "part" else (),
        )
        for place, (one, kind) in enumerate(cents)
    )  # fmt: skip
    from billing.invoices.building import _kinds
    from workorders.reckoning import rounded

    base = sum((line.net for line in lines if line.taxes), Decimal(0))
    tax = TaxPart(key="t", name="Tax", percent=Decimal(percent) / 10, base=base, due=rounded(base * percent / 1000))
    net = sum((line.net for line in lines), Decimal(0))
    return Document(
        number="1", issued_on="2026-01-01", currency="USD", shop=Party(name="s"), customer=Party(name="c"), job=None,
        lines=lines, kinds=tuple(_kinds(lines)), subtotal=net, discount=Decimal(0), net=net, taxes=(tax,), tax=tax.due,
        total=net + tax.due, due=net + tax.due,
    )  # fmt: skip


@given(LINES, st.integers(0, 300), st.randoms(use_true_random=False))
def test_crediting_line_by_line_in_any_order_takes_away_what_was_invoiced(
    cents: list[tuple[int, str]], percent: int, random: Any
) -> None:
    invoice, gone = invoiced(cents, percent), set()
    order = [line.charge for line in invoice.lines]
    random.shuffle(order)
    left = parts_of(invoice)
    for charge in order:
        parts = of_lines(invoice, {charge}, gone)
        assert all(sum_ >= 0 for sum_ in parts.values())
        gone.add(charge)
        for name, sum_ in parts.items():
            left[name] -= sum_
    assert set(left.values()) == {Decimal(0)}


@given(LINES, st.integers(0, 300), st.data())
def test_a_sum_that_is_credited_is_shared_out_whole(cents: list[tuple[int, str]], percent: int, data: Any) -> None:
    invoice = invoiced(cents, percent)
    left = what_is_left(invoice, [])
    total = int(invoice.total * 100)
    amount = Decimal(data.draw(st.integers(0, total))) / 100
    parts = of_sum(left, amount, "USD")
    assert sum(parts.values(), Decimal(0)) == amount
    assert all(0 <= sum_ <= left[name] for name, sum_ in parts.items())


# --- through the pages ---


def sent(client: Client, address: str, **told: Any) -> Any:
    """The form of a page, as a browser sends it."""
    page = client.get(address)
    form = [one for one in lxml.html.fromstring(page.content.decode()).forms if one.method == "POST"][-1]
    values: dict[str, Any] = {}
    for name, value in form.form_values():
        values.setdefault(name, []).append(value)
    return client.post(address, values | told)


def test_the_office_bills_takes_money_and_closes(money, cast, job):
    client = Client()
    client.force_login(cast.manager)
    money.charge("100")
    money.deposit("40")
    move_job(by=cast.manager, job=job, to="authorized", reason="By phone", seen_version=job.version)
    address = reverse("invoices:make", args=[job.number])
    assert "$40.00 is held of what was deposited for this job; $40.00 of it is taken into this invoice." in (
        client.get(address).content.decode()
    )
    made = sent(client, address)
    invoice = Invoice.objects.get()
    assert made.headers["Location"] == reverse("invoices:invoice", args=[invoice.pk])
    for nothing in ("-5", "0"):
        told = sent(client, reverse("invoices:pay", args=[invoice.pk]), amount=nothing, means="card").content.decode()
        assert "Enter a sum above zero, such as $1.00." in told
    told = sent(client, reverse("invoices:pay", args=[invoice.pk]), amount="$70", means="card").content.decode()
    assert "Only $60.00 is open on invoice INV-1001. $10.00 would be held as credit of Wes Harrow." in told
    sent(client, reverse("invoices:pay", args=[invoice.pk]), amount="25.00", means="card", reference="4711")
    page = client.get(made.headers["Location"]).content.decode()
    assert "$35.00 is open." in page
    assert "Deposit taken: Check" in page
    assert "Paid: Card, 4711" in page
    for state, there in [("open", True), ("overdue", False), ("paid", False), ("all", True)]:
        assert ("INV-1001" in client.get(reverse("invoices:list"), {"state": state}).content.decode()) is there
    table = b"".join(client.get(reverse("invoices:list_csv")).streaming_content).decode().splitlines()
    assert table[0].endswith('Total,"Paid, still counted",Credited,Written off,Open')
    assert table[1].endswith("USD,100.00,0.00,100.00,65.00,0.00,0.00,35.00")


def test_what_pays_nothing_is_told_as_held_and_not_as_paid(money, cast, job):
    """Another $50 on an invoice that is paid is held for the customer; no page says that it is on the invoice."""
    client = Client()
    client.force_login(cast.manager)
    invoice = money.invoice("100")
    money.pay(invoice, "100")
    extra = money.pay(invoice, "50", "transfer")
    assert extra.invoice is None
    page = client.get(reverse("invoices:invoice", args=[invoice.pk])).content.decode()
    assert "Nothing is open: it is paid." in page
    assert "$50.00 is held for Wes Harrow" in page
    told = client.get(reverse("invoices:customer", args=[invoice.customer_id])).content.decode()
    assert "Payment, bank transfer" in told
    money.credit(invoice)
    assert "credited</span>" in client.get(reverse("invoices:job", args=[job.number])).content.decode()
    customer = client.get(reverse("vessels:customer", args=[invoice.customer_id])).content.decode()
    assert "The shop is owed nothing by Wes Harrow. The shop owes Wes Harrow $150.00." in customer


def test_a_credit_that_contradicts_itself_is_not_made(money, cast):
    charge = money.charge("10")
    invoice = money.invoice("90")
    client = Client()
    client.force_login(cast.manager)
    address = reverse("invoices:credit", args=[invoice.pk])
    for told, words in [
        ({"how": "all", "charges": [charge.pk]}, "You selected lines."),
        ({"how": "all", "amount": "5"}, "You entered a sum."),
        ({"how": "lines", "charges": [charge.pk], "amount": "5"}, "You entered a sum."),
        ({"how": "sum"}, "Enter the sum that is credited."),
        ({"how": "lines"}, "Choose at least one line."),
        ({}, "What is credited"),
    ]:
        answer = client.post(address, {"reason": "Agreed", **told})
        assert (answer.status_code, words in answer.content.decode()) == (422, True), told
    assert not CreditNote.objects.exists()


def test_the_journal_that_is_saved_balances_in_every_entry(money, cast, job):
    taxed(cast, "6.5")
    money.charge("33.33", "part")
    invoice = money.invoice("10")
    money.pay(invoice, "20")
    money.credit(invoice, "20")
    money.write_off(invoice, "1.01")
    client = Client()
    client.force_login(cast.owner)
    answer = client.get(reverse("invoices:journal_csv"))
    rows = [line.split(",") for line in b"".join(answer.streaming_content).decode().splitlines()[1:]]
    entries: dict[str, Decimal] = {}
    for row in rows:
        entries[row[0]] = entries.get(row[0], Decimal(0)) + Decimal(row[-2] or 0) - Decimal(row[-1] or 0)
    assert len(entries) >= 5
    assert set(entries.values()) == {Decimal(0)}
    assert all(len(figure.split(".")[1]) == 2 for row in rows for figure in row[-2:] if figure)
    assert {"Owed by customers", "Sales of parts", "Fees", "State sales tax", "Cash"} <= {row[6] for row in rows}


def test_a_job_is_closed_over_money_only_with_a_tick(money, cast, job):
    """Charges that are not invoiced, an invoice that is not paid and a deposit: each is told, and none blocks."""
    client = Client()
    client.force_login(cast.manager)
    invoice = money.invoice("100")
    money.charge("20")
    money.deposit("5")
    job.lines.update(correction="Done")
    for to in ("authorized", "in-work", "ready"):
        job.refresh_from_db()
        move_job(by=cast.manager, job=job, to=to, reason="By phone", seen_version=job.version)
    page = sent(client, reverse("workorders:job", args=[job.number]))
    job.refresh_from_db()
    told = {"to": "closed", "seen_version": job.version, "seen_state": "ready", "reason": ""}
    address = reverse("workorders:move", args=[job.number])
    ShopProfile.objects.update(technicians_see_prices=False)
    at_the_dock = Client()  # whoever sees no prices is asked without them
    at_the_dock.force_login(cast.tech)
    plain = at_the_dock.post(address, told).content.decode()
    for sentence in (
        "1 charge is not invoiced yet.",
        f"A sum is open on invoice {invoice}.",
        "A sum was deposited for this job and is not used.",
    ):
        assert sentence in plain
    assert "$" not in plain
    page = client.post(address, told)
    words = page.content.decode()
    assert page.status_code == 422
    assert "1 charge is not invoiced yet: $20.00 with tax." in words
    assert f"$100.00 is open on invoice {invoice}." in words
    assert "$5.00 was deposited for this job and is not used." in words
    ticks = [one.get("value") for one in lxml.html.fromstring(words).xpath("//input[@name='asked']")]
    assert len(ticks) == 3
    assert client.post(address, {**told, "asked": ticks}).status_code == 302
    job.refresh_from_db()
    assert job.state == "closed"


def test_a_job_is_canceled_over_a_deposit_only_with_a_tick(money, cast, job):
    client = Client()
    client.force_login(cast.manager)
    money.deposit("25.25")
    told = {"to": "canceled", "seen_version": job.version, "seen_state": job.state, "reason": "The owner sold it"}
    address = reverse("workorders:move", args=[job.number])
    page = client.post(address, told)
    words = page.content.decode()
    assert page.status_code == 422
    assert "$25.25 was deposited for this job and is not used." in words
    ticks = [one.get("value") for one in lxml.html.fromstring(words).xpath("//input[@name='asked']")]
    assert client.post(address, {**told, "asked": ticks}).status_code == 302
    tab = client.get(reverse("invoices:job", args=[job.number])).content.decode()
    assert "takes it in" not in tab
    assert "The job is canceled: it is owed to" in tab


def test_who_may_not_see_money_sees_no_tab(money, cast, job):
    client = Client()
    for person, sees in [(cast.desk, True), (cast.tech, False)]:
        client.force_login(person)
        page = client.get(reverse("workorders:job", args=[job.number])).content.decode()
        assert (reverse("invoices:job", args=[job.number]) in page) is sees


# --- on paper ---


def test_a_paper_is_signed_and_kept_once_and_without_a_certificate_it_says_so(money, settings, tmp_path):
    settings.MEDIA_ROOT, settings.VAR = str(tmp_path / "media"), tmp_path
    settings.SIGNING_P12, settings.SIGNING_P12_PASSWORD = "", "of-the-test"
    invoice = money.invoice("100")
    note = money.credit(invoice, "30")
    client = Client()
    client.force_login(money.cast.desk)
    plain = client.get(reverse("invoices:pdf", args=[invoice.pk]))
    assert plain.content.startswith(b"%PDF")
    assert b"/Sig" not in plain.content
    page = client.get(reverse("invoices:invoice", args=[invoice.pk])).content.decode()
    assert "The PDF is drawn without a signature. The shop has no certificate to sign with yet." in page
    assert "no structured data (EN 16931). Missing: the shop’s country;" in page
    signing.make_certificate("Marlin Creek Marine")
    for subject, address in (
        (f"invoice:{invoice.pk}", reverse("invoices:pdf", args=[invoice.pk])),
        (f"credit:{note.pk}", reverse("invoices:credit_pdf", args=[note.pk])),
    ):
        assert "Waiting to be drawn" in client.get(address).content.decode()
        part = client.get(address, headers={"HX-Request": "true"}).content.decode()
        assert ("Waiting to be drawn" in part, "<html" in part) == (True, False)
        assert client.post(address).status_code == 302  # asked for once more, it is drawn once
        do_now(BackgroundTask.objects.get(subject=subject))
        first, again = client.get(address).content, client.get(address).content
        assert first == again
        assert len(list(signing.signature_digests(first))) == 1
        assert client.get(address, headers={"HX-Request": "true"}).headers["HX-Redirect"] == address
    assert [digest for digest, _, _ in kept_papers()] == list(DrawnPaper.objects.values_list("pdf_sha256", flat=True))
    assert DrawnPaper.objects.count() == 2
    statement = client.get(reverse("invoices:statement_pdf", args=[invoice.customer_id]))
    assert statement.content.startswith(b"%PDF")
    assert len(list(signing.signature_digests(statement.content))) == 1


def test_a_paper_that_could_not_be_drawn_says_why_and_is_asked_for_again(money, monkeypatch):
    invoice = money.invoice("100")
    task = BackgroundTask.objects.get(kind="draw_paper", subject=f"invoice:{invoice.pk}")

    def broken(*_: Any, **__: Any) -> None:
        raise Refused("The disk is full.")

    monkeypatch.setattr("billing.invoices.filing.file_paper", broken)
    monkeypatch.setattr("billing.invoices.filing.signing.why_no_certificate", lambda: "")
    do_now(task)
    client = Client()
    client.force_login(money.cast.desk)
    page = client.get(reverse("invoices:pdf", args=[invoice.pk])).content.decode()
    assert ("The disk is full." in page, "Draw it" in page) == (True, True)


def test_what_cannot_be_printed_is_said_before_anything_is_frozen(money, cast, job):
    job.lines.update(concern="It goes \U0001f6a4")
    money.charge("10", "labor")
    with pytest.raises(Refused, match=r"printed invoice has no characters .* then make the invoice"):
        money.invoice()
    assert money.worth() == Decimal(10)
    assert not Invoice.objects.exists()


def test_lines_are_offered_to_be_credited_only_where_they_can_be(money, cast):
    """Once a sum was credited, no line of one is left whole; then only a sum or all that is left is offered."""
    first, second = money.charge("100"), money.charge("40")
    made = money.invoice()
    client = Client()
    client.force_login(cast.manager)
    at = reverse("invoices:credit", args=[made.pk])
    assert 'value="lines"' in client.get(at).content.decode()
    money.credit(made, "30")
    page = client.get(at).content.decode()
    assert ('value="lines"' in page, str(second) in page) == (True, True)
    money.credit(made, "80")
    page = client.get(at).content.decode()
    assert ('value="lines"' in page, 'value="sum"' in page, str(first) in page) == (False, True, False)
    answer = client.post(at, {"how": "lines", "reason": "Agreed"})
    assert answer.status_code == 422
    assert money.credit(made).total == Decimal(30)
