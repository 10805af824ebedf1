"""A core charge stands on a line of its own, and is given back below zero when the old part comes back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

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
from billing.estimates.lines import how_words
from billing.estimates.queries import worked_out
from billing.estimates.record import lines_in
from billing.estimates.record import thawed as thawed_estimate
from billing.invoices.actions import credit_invoice, make_invoice
from billing.invoices.models import Invoice
from billing.invoices.pricing import priced
from billing.invoices.queries.jobs import charges_to_invoice
from billing.invoices.record import Document
from commands.refusals import Refused
from shopfloor.today.jobs import ReadyMoney, ready_money
from tests.cast import Cast
from workorders.actions import add_charge, change_job_discount, charge_again, return_core, strike_charge
from workorders.models import Charge, Job
from workorders.queries import job_sum
from workorders.queries.sums import sums_of_jobs
from workorders.reckoning import ChargeKind, Discount, Item, Tax, percent_fee, reckon
from workorders.taxes.actions import add_tax

D = Decimal
PART, LABOR = ChargeKind.PART, ChargeKind.LABOR


def core(cast: Cast, job: Job, price: str = "60", **more: Any) -> Charge:
    told = {"description": "Core charge: starter", "is_core": True} | more
    return add_charge(by=cast.desk, job=job, kind=PART, unit_price=D(price), **told)


def part(cast: Cast, job: Job, price: str, **more: Any) -> Charge:
    return add_charge(by=cast.desk, job=job, kind=PART, description="Starter", unit_price=D(price), **more)


def total(job: Job) -> Decimal:
    job.refresh_from_db()
    found = job_sum(job, currency="USD").totals.total
    assert sums_of_jobs([job])[job.pk] == found
    return found


def invoiced(cast: Cast, job: Job, *charges: Charge) -> Invoice:
    chosen = list(charges) or charges_to_invoice(job)
    worth = priced(job, chosen, currency="USD").sums.total
    return make_invoice(by=cast.desk, job=job, seen_total=worth, charges=chosen)


def test_a_core_and_its_return_come_to_nothing_whatever_else_is_there() -> None:
    taxes = [Tax("t", "Tax", D("6.25"))]
    own = [Item(PART, D(1), D(400)), Item(LABOR, D("2.5"), D(140))]
    both = [Item(PART, D(2), D("59.99"), is_core=True), Item(PART, D(-2), D("59.99"), is_core=True)]
    for off in (None, Discount(percent=D(10)), Discount(amount=D("33.33"))):
        assert reckon([*own, *both], taxes=taxes, discount=off).total == reckon(own, taxes=taxes, discount=off).total


money = st.decimals(min_value="0.01", max_value="5000", places=2)


@given(st.lists(money, min_size=1, max_size=4), money, st.integers(1, 5), st.integers(0, 100), st.booleans())
def test_no_discount_moves_a_core(prices: list[Decimal], price: Decimal, many: int, off: int, taxed: bool) -> None:
    own = [Item(PART, D(1), one) for one in prices]
    cores = [Item(PART, D(sign * many), price, taxed, is_core=True) for sign in (1, -1)]
    taxes = [Tax("t", "Tax", D("6.25"), cap=D(1000))] if many > 3 else [Tax("t", "Tax", D("6.25"))]
    found = reckon([*own, *cores], taxes=taxes, discount=Discount(percent=D(off)))
    assert found.total == reckon(own, taxes=taxes, discount=Discount(percent=D(off))).total
    assert [one.net for one in found.items[-2:]] == [many * price, -many * price]


def test_a_fee_by_percentage_is_not_on_cores() -> None:
    items = [Item(PART, D(1), D(100)), Item(PART, D(1), D(60), is_core=True)]
    assert percent_fee(items, percent=D(5), kinds=frozenset({PART}), currency="USD") == D(5)


def test_only_returns_and_a_discount() -> None:
    found = reckon([Item(PART, D(-1), D(60), is_core=True)], discount=Discount(percent=D(10)))
    assert (found.total, found.discount) == (D(-60), D(0))


@pytest.mark.django_db
class TestOnAJob:
    def test_it_is_charged_and_given_back(self, cast: Cast, job: Job) -> None:
        add_tax(by=cast.owner, name="State", percent=D(6), kinds=[PART])
        part(cast, job, "400")
        change_job_discount(by=cast.desk, job=job, percent=D(10))
        charged = core(cast, job, quantity=D(2))
        assert total(job) == D("508.80")  # 360 + 120, and 6 %
        back = return_core(by=cast.desk, charge=charged, quantity=D(1))
        assert (back.quantity, back.unit_price, str(back)) == (-1, 60, "Core returned: starter")
        assert total(job) == D("445.20")
        return_core(by=cast.desk, charge=charged)
        assert total(job) == D("381.60")
        with pytest.raises(Refused, match="was given back already"):
            return_core(by=cast.desk, charge=charged)

    def test_it_is_taxed_as_it_was_charged(self, cast: Cast, job: Job) -> None:
        add_tax(by=cast.owner, name="State", percent=D(6), kinds=[PART])
        part(cast, job, "400")
        back = return_core(by=cast.desk, charge=core(cast, job, taxable=False))
        assert (back.taxable, total(job)) == (False, D(424))

    @pytest.mark.parametrize(
        ("more", "field"),
        [
            ({"kind": "fee"}, "is_core"),
            ({"unit_price": None}, "unit_price"),
            ({"discount_percent": D(5)}, "discount_percent"),
            ({"discount_amount": D(5)}, "discount_percent"),
            ({"quantity": D(-1)}, "quantity"),
        ],
    )
    def test_what_it_cannot_have(self, cast: Cast, job: Job, more: dict[str, Any], field: str) -> None:
        told = {"kind": PART, "description": "Core", "unit_price": D(60), "is_core": True} | more
        with pytest.raises(Refused) as refused:
            add_charge(by=cast.desk, job=job, **told)
        assert list(refused.value.fields) == [field]

    def test_no_more_comes_back_than_was_charged(self, cast: Cast, job: Job) -> None:
        charged = core(cast, job, quantity=D(2))
        for wrong, words in [("3", "No more than 2 are left"), ("0", "how many"), ("-1", "how many")]:
            with pytest.raises(Refused, match=words):
                return_core(by=cast.desk, charge=charged, quantity=D(wrong))
        back = return_core(by=cast.desk, charge=charged, quantity=D(1))
        with pytest.raises(Refused, match="No more than one is left"):
            return_core(by=cast.desk, charge=charged, quantity=D(2))
        for strange in (back, part(cast, job, "10")):
            with pytest.raises(Refused, match="is no core charge"):
                return_core(by=cast.desk, charge=strange)

    def test_what_was_given_back_stays_charged(self, cast: Cast, job: Job) -> None:
        charged = core(cast, job)
        back = return_core(by=cast.desk, charge=charged)
        with pytest.raises(Refused, match="Void its return first"):
            strike_charge(by=cast.desk, charge=charged)
        strike_charge(by=cast.desk, charge=back)
        with pytest.raises(Refused, match="note the return beside that charge"):
            charge_again(by=cast.desk, charge=back)
        strike_charge(by=cast.desk, charge=charged)
        with pytest.raises(Refused, match="was voided"):
            return_core(by=cast.desk, charge=charged)
        assert charge_again(by=cast.desk, charge=charged).is_core

    def test_the_database_knows_the_sign(self, cast: Cast, job: Job) -> None:
        charged, plain = core(cast, job), part(cast, job, "10")
        for row, wrong in [
            (plain, {"quantity": -1}), (charged, {"quantity": -1}), (charged, {"kind": "fee"}),
            (charged, {"discount_percent": 5}), (plain, {"core_of": charged}),
        ]:  # fmt: skip
            with pytest.raises(IntegrityError), transaction.atomic():
                Charge.objects.filter(pk=row.pk).update(**wrong)

    def test_what_is_authorized(self, cast: Cast, job: Job) -> None:
        """A core is part of what the job comes to, and its return makes room for the rest."""
        standing = standing_of(job)
        note_authorization(
            by=cast.desk, job=job, amount=D(450), how="phone", who="Wes Harrow", reached="555-0140",
            said_at=timezone.now(), seen_total=standing.total, seen_authorized=None,
        )  # fmt: skip
        charged = core(cast, job)
        with pytest.raises(Refused, match=r"This brings the job to \$460.00 with tax"):
            part(cast, job, "400")
        return_core(by=cast.desk, charge=charged)
        part(cast, job, "400")
        assert standing_of(job).left == 50

    def test_today_comes_to_the_same(self, cast: Cast, job: Job) -> None:
        part(cast, job, "400")
        change_job_discount(by=cast.desk, job=job, percent=D(10))
        core(cast, job)
        Job.objects.filter(pk=job.pk).update(state="ready")
        assert ready_money("USD") == ReadyMoney(1, "$420.00")

    def test_the_pages(self, cast: Cast, job: Job) -> None:
        client = Client()
        client.force_login(cast.desk)
        told = {"step": "add", "kind": "part", "description": "Core: pump", "quantity": "2", "unit_price": "60",
                "is_core": "on"}  # fmt: skip
        assert client.post(reverse("workorders:charge_add", args=[job.number]), told).status_code == 302
        charged = Charge.objects.get()
        page = reverse("workorders:lines", args=[job.number])
        assert "Core returned" in client.get(page).content.decode()
        at = reverse("workorders:core_return", args=[job.number, charged.pk])
        for wrong, words in [("many", "number"), ("5", "No more than 2 are left")]:
            assert words in client.post(at, {"quantity": wrong}, follow=True).content.decode()
        client.post(at, {"quantity": "1"})
        client.post(at, {})
        text = client.get(page).content.decode()
        assert text.count("Core returned: Core: pump") >= 2
        assert "below zero" not in text
        assert 'name="quantity"' not in text


@pytest.mark.django_db
class TestOnInvoices:
    def test_a_line_below_zero(self, cast: Cast, job: Job) -> None:
        add_tax(by=cast.owner, name="State", percent=D(6), kinds=[PART])
        part(cast, job, "400")
        return_core(by=cast.desk, charge=core(cast, job))
        made = invoiced(cast, job)
        document = thawed(Document, made.record)
        assert [(line.quantity, line.net) for line in document.lines] == [(1, 400), (1, 60), (-1, -60)]
        assert (made.net, made.tax, made.total) == (400, 24, 424)

    def test_an_invoice_below_zero_is_none(self, cast: Cast, job: Job) -> None:
        charged = core(cast, job)
        first = invoiced(cast, job)
        back = return_core(by=cast.desk, charge=charged)
        assert total(job) == 0
        with pytest.raises(
            Refused, match=r"would come to −\u2060\$60.00: the core charges that are given back are more"
        ):
            invoiced(cast, job)
        with pytest.raises(Refused, match="was given back already"):
            credit_invoice(by=cast.owner, invoice=first, reason="Core is here")
        strike_charge(by=cast.desk, charge=back)
        assert credit_invoice(by=cast.owner, invoice=first, reason="Core is here").total == 60

    def test_given_back_on_a_later_invoice(self, cast: Cast, job: Job) -> None:
        charged = core(cast, job)
        invoiced(cast, job)
        return_core(by=cast.desk, charge=charged)
        part(cast, job, "100")
        second = invoiced(cast, job)
        assert second.total == 40
        chosen = list(job.charges.filter(unit_price=100))
        with pytest.raises(Refused, match="more than what is left of it, as a core charge is given back"):
            credit_invoice(by=cast.owner, invoice=second, reason="Wrong", charges=chosen)
        assert credit_invoice(by=cast.owner, invoice=second, reason="All of it").total == 40
        assert return_core(by=cast.desk, charge=charged).quantity == -1  # it is owed again

    def test_both_are_credited_together(self, cast: Cast, job: Job) -> None:
        part(cast, job, "100")
        charged = core(cast, job)
        back = return_core(by=cast.desk, charge=charged)
        made = invoiced(cast, job)
        with pytest.raises(Refused, match="Credit both together"):
            credit_invoice(by=cast.owner, invoice=made, reason="x", charges=[back])
        with pytest.raises(Refused, match="Credit both together"):
            credit_invoice(by=cast.owner, invoice=made, reason="x", charges=[charged])
        note = credit_invoice(by=cast.owner, invoice=made, reason="x", charges=[*job.charges.all()])
        assert note.total == 100


@pytest.mark.django_db
class TestOnEstimates:
    def test_it_is_estimated_charged_and_given_back(self, cast: Cast, job: Job) -> None:
        made = start_estimate(by=cast.desk, job=job)
        line = {"kind": "part", "description": "Starter", "unit_price": D(400)}
        add_estimate_line(by=cast.desk, estimate=made, told=line)
        core_line = {"kind": "part", "description": "Core charge: starter", "unit_price": D(60), "is_core": True}
        for wrong, field in [({"kind": "fee"}, "is_core"), ({"unit_price": None}, "unit_price"),
                             ({"discount_percent": D(5)}, "discount_percent")]:  # fmt: skip
            with pytest.raises(Refused) as refused:
                add_estimate_line(by=cast.desk, estimate=made, told=core_line | wrong)
            assert list(refused.value.fields) == [field]
        written = add_estimate_line(by=cast.desk, estimate=made, told=core_line)
        assert how_words(written, "USD") == "$60.00, core charge, until the old part is here"
        fee = {"kind": "fee", "description": "Supplies", "percent": D(5)}
        add_estimate_line(by=cast.desk, estimate=made, told=fee)
        made.refresh_from_db()
        change_estimate_terms(
            by=cast.desk, estimate=made, seen_version=made.version, changes={"discount_percent": D(10)}
        )
        made.refresh_from_db()
        assert worked_out(made, currency="USD").figures.base.total == D("438.00")  # 378 of 420, and 60
        given = give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D("438.00"))
        charge_estimate(by=cast.desk, estimate=given)
        assert total(job) == D("438.00")
        return_core(by=cast.desk, charge=job.charges.get(is_core=True))
        assert total(job) == D("378.00")

    def test_one_that_comes_back_with_the_work(self, cast: Cast, job: Job) -> None:
        """The estimate shows its return as a line below zero, and both are charged, within what was agreed to."""
        add_tax(by=cast.owner, name="State", percent=D(6), kinds=[PART])
        made = start_estimate(by=cast.desk, job=job)
        told = {"kind": "part", "description": "Starter", "unit_price": D(400)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
        core_line = {"kind": "part", "description": "Core charge: starter", "unit_price": D(60), "quantity": D(2)}
        with pytest.raises(Refused) as refused:
            add_estimate_line(by=cast.desk, estimate=made, told=core_line | {"core_back": True})
        assert list(refused.value.fields) == ["core_back"]
        add_estimate_line(by=cast.desk, estimate=made, told=core_line | {"is_core": True, "core_back": True})
        client = Client()
        client.force_login(cast.desk)
        page = client.get(reverse("estimates:job", args=[job.number])).content.decode()
        assert "−\u2060$120.00 as the old part comes back with the work" in page
        given = give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(424))
        lines = {line["description"]: (line["quantity"], line["price"]) for _, line in lines_in(thawed_estimate(given))}
        assert lines["Core returned: starter"] == ("-2", "-120")
        offer = offer_of(given)
        assert [offer.adds_of({one.key}) for one in offer.single] == [D(424), D(0)]
        standing = standing_of(job)
        note_authorization(
            by=cast.desk, job=job, amount=D(424), how="phone", who="Wes Harrow", reached="555-0140",
            said_at=timezone.now(), seen_total=standing.total, seen_authorized=None,
        )  # fmt: skip
        charge_estimate(by=cast.desk, estimate=given)
        assert total(job) == D(424)
        assert sorted(one.quantity for one in job.charges.all()) == [-2, 1, 2]
        page = client.get(reverse("estimates:given", args=[job.number, 1])).content.decode()
        assert "Core returned: starter" in page

    def test_a_version_says_no_other_tax_where_one_stops_at_a_sum(self, cast: Cast, job: Job) -> None:
        add_tax(by=cast.owner, name="Surtax", percent=D(1), kinds=[PART], cap=D(100))
        made = start_estimate(by=cast.desk, job=job)
        told = {"kind": "part", "description": "Starter", "unit_price": D(90)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
        give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D("90.90"))
        again = start_estimate(by=cast.desk, job=job)
        add_estimate_line(by=cast.desk, estimate=again, told=told | {"description": "Relay"})
        given = give_estimate(by=cast.desk, estimate=again, how="printed", seen_total=D(181))
        assert thawed_estimate(given)["changes"] == [
            "New: Relay, $90.00.", "The total: $90.90 before, $181.00 now."
        ]  # fmt: skip
