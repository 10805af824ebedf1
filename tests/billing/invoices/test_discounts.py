"""Discounts of charges and jobs: what they take off, that invoices close over them, that an estimate carries them."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from billing.documents.frozen import thawed
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_terms,
    charge_estimate,
    give_estimate,
    start_estimate,
)
from billing.estimates.queries import worked_out
from billing.invoices.models import Invoice
from billing.invoices.record import Document
from commands.questions import Questions, asking
from commands.refusals import Refused
from tests.billing.authorizations.test_answer_pages import fields_of
from tests.billing.invoices.test_invoicing import taxed
from workorders.actions import add_charge, change_intake, change_job_discount, strike_charge
from workorders.queries import job_sum

D = Decimal


def total_of(money: Any) -> Decimal:
    money.job.refresh_from_db()
    return job_sum(money.job, currency="USD").totals.total


def discounted(money: Any, price: str, quantity: str = "1", **off: Any) -> Any:
    return add_charge(
        by=money.cast.desk, job=money.job, kind="part", description="Hose", quantity=D(quantity), unit_price=D(price),
        **off,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("price", "quantity", "off", "net"),
    [
        ("50", "2", {"discount_percent": D("12.5")}, "87.50"),
        ("50", "2", {"discount_amount": D("0.01")}, "99.99"),
        ("0.05", "1", {"discount_percent": D(50)}, "0.02"),  # half a cent is taken off as a whole one
        ("9.99", "3", {"discount_percent": D(100)}, "0.00"),
        ("10", "1", {"discount_amount": D(10)}, "0.00"),
        ("10", "1", {"discount_percent": D(0)}, "10.00"),
        ("0", "1", {"discount_percent": D(10)}, "0.00"),
        ("33.33", "1", {"discount_percent": D("33.333")}, "22.22"),  # 11.1099… is $11.11
    ],
)
def test_a_charge_less_its_discount(money, price: str, quantity: str, off: dict[str, Any], net: str) -> None:
    discounted(money, price, quantity, **off)
    assert total_of(money) == D(net)


@pytest.mark.parametrize(
    ("off", "sentence"),
    [
        ({"discount_amount": D("10.01")}, "more than the \\$10.00 that it is taken from"),
        ({"discount_amount": D(1), "discount_percent": D(1)}, "a percentage or a sum, and not both"),
        ({"discount_percent": D("100.001")}, "cannot be saved"),
        ({"discount_percent": D(-1)}, "cannot be saved"),
        ({"discount_amount": D("-0.01")}, "cannot be saved"),
        ({"discount_amount": D("0.001")}, "cannot be saved"),
    ],
)
def test_what_is_no_discount_of_a_charge_is_refused(money, off: dict[str, Any], sentence: str) -> None:
    with pytest.raises(Refused, match=sentence):
        discounted(money, "10", **off)
    assert not money.job.charges.exists()


def test_a_discount_of_the_job_is_never_more_than_what_is_charged(money, cast):
    """$30 off $40 is $10; with $25 of it voided, the $15 that are left cost nothing, and nobody is owed money."""
    money.charge("15")
    gone = money.charge("25")
    change_job_discount(by=cast.desk, job=money.job, amount=D(30))
    assert total_of(money) == D(10)
    strike_charge(by=cast.desk, charge=gone)
    assert total_of(money) == D(0)
    change_job_discount(by=cast.desk, job=money.job)
    assert total_of(money) == D(15)
    for wrong in ({"percent": D(5), "amount": D(5)}, {"percent": D(101)}, {"amount": D(-1)}):
        with pytest.raises(Refused):
            change_job_discount(by=cast.desk, job=money.job, **wrong)


def test_a_discount_above_what_is_charged_is_refused_and_stays_typed(money, cast):
    """$500 off $99.99 and a core of $40, of which no discount is taken; $99.99 off it costs nothing."""
    with pytest.raises(Refused, match="Nothing is charged that this discount could be taken from"):
        change_job_discount(by=cast.desk, job=money.job, amount=D(5))
    money.charge("99.99")
    add_charge(by=cast.desk, job=money.job, kind="part", description="Pump", unit_price=D(40), is_core=True)
    client = Client()
    client.force_login(cast.desk)
    address = reverse("workorders:discount", args=[money.job.number])
    answer = client.post(address, {"percent": "", "amount": "500"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "A discount of $500.00 is more than the $99.99 that it is taken from." in page
    assert 'value="500"' in page
    money.job.refresh_from_db()
    assert money.job.discount is None
    assert client.post(address, {"percent": "", "amount": "99.99"}).status_code == 302
    assert total_of(money) == D(40)


def test_a_discount_that_somebody_changed_meanwhile_is_not_overwritten(money, cast):
    """Both have the form open; one takes 5 % off, the other then $20: nothing is lost, and both are shown."""
    money.charge("100")
    address = reverse("workorders:discount", args=[money.job.number])
    one, other = Client(), Client()
    one.force_login(cast.owner)
    other.force_login(cast.desk)
    hers, mine = (fields_of(client.get(address).content) for client in (one, other))
    assert one.post(address, {**hers, "percent": "5"}).status_code == 302
    answer = other.post(address, {**mine, "amount": "20"})
    assert answer.status_code == 409
    assert total_of(money) == D(95)
    page = lxml.html.fromstring(answer.content)
    assert page.get_element_by_id("conflict-title").text == f"{cast.owner} saved this while you were writing"
    rows = [[cell.text_content() for cell in row] for row in page.xpath('//section[@class="conflict"]//tbody/tr')]
    assert rows == [["Discount", "5", "—"], ["Or a sum off", "—", "20.00"]]
    shown = fields_of(answer.content)
    assert (shown.get("percent"), shown["amount"]) == (None, "20")
    assert other.post(address, shown).status_code == 302  # knowingly, after both were shown
    assert total_of(money) == D(80)


def test_a_job_that_was_saved_otherwise_meanwhile_leaves_its_discount_to_the_form(money, cast):
    money.charge("100")
    address = reverse("workorders:discount", args=[money.job.number])
    client = Client()
    client.force_login(cast.desk)
    shown = fields_of(client.get(address).content)
    money.job.refresh_from_db()
    change_intake(by=cast.owner, job=money.job, seen_version=money.job.version, changes={"spot": "B-7"})
    assert client.post(address, {**shown, "amount": "20"}).status_code == 302
    assert total_of(money) == D(80)


def test_whoever_saved_the_discount_before_another_change_is_not_named(money, cast):
    """The manager saved the discount, the owner then the spot: the conflict does not say that it was the owner."""
    money.charge("100")
    address = reverse("workorders:discount", args=[money.job.number])
    client = Client()
    client.force_login(cast.desk)
    shown = fields_of(client.get(address).content)
    job = change_job_discount(by=cast.manager, job=money.job, percent=D(5))
    change_intake(by=cast.owner, job=job, seen_version=job.version, changes={"spot": "B-7"})
    page = client.post(address, {**shown, "amount": "20"}).content.decode()
    assert "Somebody else saved this while you were writing" in page
    assert total_of(money) == D(95)


def test_ten_percent_over_two_invoices_is_ten_percent_of_the_whole(money, cast):
    """10 % of $0.15 is $0.02 (half up). Of $0.05 and $0.10 apart it would be $0.01 each as well; of 3 × $0.05 it
    would be three cents: the second and third invoice have what the first has left."""
    charges = [money.charge("0.05") for _ in range(3)]
    change_job_discount(by=cast.desk, job=money.job, percent=D(10))
    money.job.refresh_from_db()
    said = [thawed(Document, money.invoice(charges=[charge]).record) for charge in charges]
    assert sum(one.discount for one in said) == D("0.02")
    assert sum(one.net for one in said) == D("0.13")
    for one in said:
        assert sum(line.net for line in one.lines) == one.net


def test_what_is_credited_takes_its_share_along_and_has_it_again(money, cast):
    first, second = money.charge("60"), money.charge("40")
    change_job_discount(by=cast.desk, job=money.job, amount=D(10))
    money.job.refresh_from_db()
    invoice = money.invoice(charges=[first])
    assert invoice.total == D(54)
    money.credit(invoice)
    assert total_of(money) == D(30)  # $40 less the $10: the discount is on what is charged
    assert money.invoice(charges=[second]).total == D(30)


PRICES = st.lists(st.sampled_from(["0.01", "0.05", "3.33", "19.99", "100"]), min_size=1, max_size=6)
OFF = st.one_of(
    st.sampled_from(["0.001", "3", "12.5", "33.333", "100"]).map(lambda one: {"percent": D(one)}),
    st.sampled_from(["0.01", "0.07", "10", "5000"]).map(lambda one: {"amount": D(one)}),
)


def test_invoices_give_the_discount_to_the_cent_however_charges_are_spread_over_them(money, cast):
    """Splitting and joining neither gains nor loses a cent: net and discount are those of one invoice over all."""

    @settings(max_examples=12, deadline=None)
    @given(PRICES, OFF, st.data())
    def closes(prices: list[str], off: dict[str, Decimal], data: Any) -> None:
        with transaction.atomic():
            charges = [money.charge(price) for price in prices]
            if "amount" in off:
                off = {"amount": min(off["amount"], sum(D(price) for price in prices))}
            job = change_job_discount(by=cast.desk, job=money.job, **off)
            whole = job_sum(job, currency="USD").totals
            left = data.draw(st.permutations(charges))
            nets, discounts = D(0), D(0)
            while left:
                count = data.draw(st.integers(1, len(left)))
                some, left = left[:count], left[count:]
                said = thawed(Document, money.invoice(charges=some).record)
                nets, discounts = nets + said.net, discounts + said.discount
                assert all(0 <= line.net <= line.amount for line in said.lines)
            assert (nets, discounts) == (whole.net, whole.discount)
            transaction.set_rollback(True)

    closes()


def estimated(money: Any, **told: Any) -> Any:
    cast = money.cast
    estimate = start_estimate(by=cast.desk, job=money.job)
    line = money.job.lines.get()
    for said in [
        {"kind": "labor", "description": "Find it", "quantity": D("2.5"), "unit_price": D(138), "job_line": line},
        {"kind": "part", "description": "Hose", "quantity": D(3), "unit_price": D("19.99"), "discount_percent": D(10)},
        {"kind": "fee", "description": "Supplies", "percent": D(8), "percent_of": "both", "cap": D(45)},
        {"kind": "fee", "description": "Storage", "feet": D("33.5"), "days": 3, "unit_price": D("2.05")},
    ]:
        add_estimate_line(by=cast.desk, estimate=estimate, told=said)
    estimate.refresh_from_db()
    terms = {"valid_until": timezone.localdate() + timedelta(days=30), "discount_percent": D(5), **told}
    change_estimate_terms(by=cast.desk, estimate=estimate, seen_version=estimate.version, changes=terms)
    return estimate


def given_over(money: Any, estimate: Any) -> Decimal:
    estimate.refresh_from_db()
    total = worked_out(estimate, currency="USD").figures.base.total
    give_estimate(by=money.cast.desk, estimate=estimate, how="shown", seen_total=total)
    estimate.refresh_from_db()
    return total


def test_what_was_estimated_is_charged_and_invoiced_to_the_cent(money, cast):
    taxed(cast, "6.5")
    estimate = estimated(money)
    with pytest.raises(Refused, match="Give the estimate to the customer first"):
        charge_estimate(by=cast.desk, estimate=estimate)
    total = given_over(money, estimate)
    charge_estimate(by=cast.desk, estimate=estimate)
    assert total_of(money) == total
    assert money.job.charges.get(description="Find it").line == money.job.lines.get()
    with pytest.raises(Refused, match="is on the job already"):
        charge_estimate(by=cast.desk, estimate=estimate)
    assert money.invoice().total == total


def test_the_option_that_was_taken_comes_along_and_a_later_version_only_adds(money, cast):
    estimate = estimated(money)
    option = add_estimate_option(by=cast.desk, estimate=estimate, name="Rebuild", alternatives="Engine")
    other = add_estimate_option(by=cast.desk, estimate=estimate, name="Exchange", alternatives="Engine")
    for one, price in ((option, "400"), (other, "900")):
        told = {"kind": "sublet", "description": str(one), "unit_price": D(price), "option": one}
        add_estimate_line(by=cast.desk, estimate=estimate, told=told)
    estimate.refresh_from_db()
    with_option = worked_out(estimate, currency="USD").figures.options[option.key].total
    given_over(money, estimate)
    with pytest.raises(Refused, match="Of the options “Engine” the customer takes one"):
        charge_estimate(by=cast.desk, estimate=estimate, options=[str(option.key), str(other.key)])
    with pytest.raises(Refused, match="is not on this estimate"):
        charge_estimate(by=cast.desk, estimate=estimate, options=["of-another"])
    charge_estimate(by=cast.desk, estimate=estimate, options=[str(option.key)])
    assert total_of(money) == with_option
    later = start_estimate(by=cast.desk, job=money.job)
    add_estimate_line(by=cast.desk, estimate=later, told={"kind": "fee", "description": "Launch", "unit_price": D(60)})
    given_over(money, later)
    with pytest.raises(Refused, match="Version 2 was given in place of this one"):
        charge_estimate(by=cast.desk, estimate=estimate)
    before = money.job.charges.count()
    charge_estimate(by=cast.desk, estimate=later)
    assert [one.description for one in money.job.charges.order_by("pk")][before:] == ["Launch"]


def test_labor_that_is_charged_already_is_asked_about(money, cast):
    estimate = estimated(money)
    given_over(money, estimate)
    money.charge("100", "labor")
    with asking(list), pytest.raises(Questions, match="Labor is charged on this job already"):
        charge_estimate(by=cast.desk, estimate=estimate)


def test_the_desk_sees_what_is_taken_off(money, cast):
    client = Client()
    client.force_login(cast.desk)
    number = money.job.number
    estimate = estimated(money)
    given_over(money, estimate)
    page = client.get(reverse("estimates:given", args=[number, 1])).content.decode()
    address = reverse("estimates:charge", args=[number, 1])
    assert address in page
    sheet = client.get(address)
    assert sheet.status_code == 200
    assert client.post(address).status_code == 422  # nothing is selected
    assert client.post(address, fields_of(sheet.content)).status_code == 302
    told = client.get(reverse("workorders:lines", args=[number])).content.decode()
    words = " ".join(" ".join(lxml.html.fromstring(told).itertext()).split())
    assert "less $6.00" in words
    assert "Discount on the job, 5 %" in words
    wrong = client.post(reverse("workorders:discount", args=[number]), {"percent": "5", "amount": "5"})
    assert (wrong.status_code, "not both" in wrong.content.decode()) == (422, True)
    assert client.post(reverse("workorders:discount", args=[number]), {"amount": "7.50"}).status_code == 302
    invoice = money.invoice()
    shown = client.get(reverse("invoices:invoice", args=[invoice.pk])).content.decode()
    assert ("$7.50" in shown, Invoice.objects.count()) == (True, 1)
