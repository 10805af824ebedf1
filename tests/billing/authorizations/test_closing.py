"""Everything that is listed of an answer adds up to the sum that is told: on the page, the sheet and the paper."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from billing.authorizations.answers import Answer, Declined, chosen, last_given, offer_of
from billing.authorizations.made_of import made_of_then
from billing.authorizations.models import Authorization
from billing.authorizations.paper import Paper, rows_of
from billing.authorizations.queries import standing_of
from billing.authorizations.signing import sheet_text
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_terms,
    give_estimate,
    start_estimate,
)
from billing.estimates.models import Estimate
from commands.refusals import Refused
from staff.queries import shop_profile
from tests.billing.authorizations.test_answer_pages import fields_of, signed_in
from tests.billing.authorizations.test_answers import Given, give, note
from tests.cast import Cast
from workorders.models import Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax
from workorders.taxes.models import SalesTax, TaxRate

D = Decimal
MONEY = re.compile(r"(−?)\u2060?\$([\d,]+\.\d\d)")
pytestmark = pytest.mark.django_db


def figures_of(text: str) -> list[Decimal]:
    return [D(("-" if minus else "") + figure.replace(",", "")) for minus, figure in MONEY.findall(text)]


def odd(cast: Cast, job: Job) -> Estimate:
    """Two taxes of which one is on the other, discounts of a line and of the whole, a fee with a cap, a core."""
    state = add_tax(by=cast.owner, name="State", percent=D("6.35"), kinds=[ChargeKind.PART, ChargeKind.FEE])
    add_tax(by=cast.owner, name="Harbor", percent=D("1.1"), kinds=[ChargeKind.PART], on_tax=state)
    made = start_estimate(by=cast.desk, job=job)
    core = {"kind": "part", "description": "Core charge: starter", "unit_price": D(85), "is_core": True}
    for told in (
        {"kind": "labor", "description": "Find it", "quantity": D("2.35"), "unit_price": D("138.33")},
        {"kind": "part", "description": "Starter", "unit_price": D("333.33"), "discount_percent": D("3.3")},
        core | {"core_back": True},
        {"kind": "fee", "description": "Shop supplies", "percent": D(5), "percent_of": "both", "cap": D(20)},
    ):
        add_estimate_line(by=cast.desk, estimate=made, told={"quantity": D(1)} | told)
    option = add_estimate_option(by=cast.desk, estimate=made, name="Wax", alternatives="")
    told = {"kind": "part", "description": "Wax", "unit_price": D("10.07"), "quantity": D(3), "option": option}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    made.refresh_from_db()
    change_estimate_terms(
        by=cast.desk, estimate=made, seen_version=made.version, changes={"discount_percent": D("7.7")}
    )
    return give_estimate(
        by=cast.desk, estimate=made, how="printed", seen_total=offer_of(made).total(offer_of(made).own)
    )


def test_the_page_lists_what_the_heading_tells(cast: Cast, job: Job) -> None:
    estimate = odd(cast, job)
    client, at = signed_in(cast.desk), reverse("authorizations:answer", args=[job.number])
    first = client.get(at)
    text = " ".join(lxml.html.fromstring(first.content.decode()).text_content().split())
    assert "Each with its price, to which comes: Core returned: starter: −\u2060$85.00; Shop supplies (5 % of" in text
    assert f"With all of them it comes to ${estimate.total}." in text
    work = text[text.index("Leave selected what") : text.index("Each with what it adds")]
    whole, listed = figures_of(work), estimate.total
    cap = D(20)  # named in the words of the fee
    assert listed in whole
    whole.remove(listed)
    whole.remove(cap)
    assert sum(whole) == listed
    told = lxml.html.fromstring(client.post(at, fields_of(first.content) | {"step": "look"}).content.decode())
    rows = [row.xpath("./td")[0].text_content() for row in told.xpath("//table[@data-made-of]/tbody/tr")]
    assert sum(figures_of(" ".join(rows))) == listed
    assert f"comes to ${listed} with tax" in told.text_content()


def test_the_sheet_names_fees_and_tax_and_closes(cast: Cast, job: Job) -> None:
    estimate = odd(cast, job)
    offer = offer_of(estimate)
    answer = Answer(estimate.revision, tuple(one.key for one in offer.options))
    found = chosen(offer, answer)
    wished = Authorization(job=job, amount=found.total, how="drawn", who="Wes Harrow")
    text = sheet_text(wished, standing_of(job), (offer, found), answer)
    agreed = text[text.index("I agree to:") : text.index("It comes to")].splitlines()
    rows = [line.rsplit(": ", 1) for line in agreed if line.startswith("– ")]
    assert "– Shop supplies (5 % of labor and parts, at most $20.00)" in [words for words, _ in rows]
    assert "– Discount of 7.7 %" in [words for words, _ in rows]
    assert sum(figures_of(" ".join(amount for _, amount in rows))) == found.total
    assert f"It comes to ${found.total} with tax, in all." in text


def test_the_paper_names_each_tax_as_the_estimate_does(cast: Cast, job: Job) -> None:
    """Each has its own row, whatever taxes come later."""
    add_tax(by=cast.owner, name="County", percent=D("1.5"), kinds=[ChargeKind.PART, ChargeKind.FEE])
    add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART])
    given_ = give(cast, job)
    made = note(cast, job, given_, given_.answer("Wax"))

    def taxes() -> list[tuple[str, Decimal]]:
        keys = {one.key for one in made.pieces.filter(is_taken=True)}
        rows = made_of_then(given_.estimate, keys, made.amount, currency="USD")
        assert sum(one.amount for one in rows) == made.amount
        return [(one.words, one.amount) for one in rows if one.key is None]

    assert taxes() == [("County, 1.5 %", D("4.50")), ("State sales tax, 6 %", D("15.00"))]
    add_tax(by=cast.owner, name="Later", percent=D(3), kinds=[ChargeKind.LABOR])
    assert taxes() == [("County, 1.5 %", D("4.50")), ("State sales tax, 6 %", D("15.00"))]


def test_the_paper_of_an_answer_by_phone_closes_too(cast: Cast, job: Job) -> None:
    """Taxes that are changed later leave it as it was."""
    given_ = give(cast, job, discount_amount=D("33.33"))
    made = note(cast, job, given_, given_.answer("Wax", without=("Haul-out",)))
    add_tax(by=cast.owner, name="Later", percent=D(3), kinds=[ChargeKind.LABOR])
    rows = made_of_then(
        given_.estimate, {one.key for one in made.pieces.filter(is_taken=True)}, made.amount, currency="USD"
    )
    assert [one.words for one in rows] == [
        "Replace the pump", "Pump", "Wax", "Discount", "State sales tax, 6 %",
    ]  # fmt: skip
    assert sum(one.amount for one in rows) == made.amount
    context: dict[str, Any] = {"paper": Paper(made, shop_profile()), "one": made, "shop": shop_profile(), "taken": [1]}
    pieces = list(made.pieces.all())
    html = render_to_string("billing/authorizations/paper.html", context | {"rows": rows_of(made, pieces, "USD")})
    page = lxml.html.fromstring(html)
    *listed, whole = [figures_of(row.text_content())[-1] for row in page.xpath("//table//tbody/tr")]
    assert sum(listed) == whole == made.amount


def test_a_rate_that_only_an_option_has_is_told_too(cast: Cast, job: Job) -> None:
    """Labor is not taxed here and a pump is: the work comes to the same at any rate, the pump does not."""
    add_tax(by=cast.owner, name="State sales tax", percent=D("5.5"), kinds=[ChargeKind.PART])
    made = start_estimate(by=cast.desk, job=job)
    told: dict[str, Any] = {"kind": "labor", "description": "Look at it", "quantity": D(1), "unit_price": D(345)}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    option = add_estimate_option(by=cast.desk, estimate=made, name="New pump", alternatives="")
    told = {"kind": "part", "description": "Pump", "unit_price": D(318), "option": option}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(345))
    given_ = Given(made, {}, {"New pump": option})
    noted = note(cast, job, given_, given_.answer("New pump"))
    assert noted.amount == D("680.49")
    SalesTax.objects.get().rates.update(percent=D("6.25"))  # as if the old one had ended yesterday
    says = r"said \$680\.49 with the option “New pump”; with the taxes of today it comes to \$682\.88\. Start its next"
    for answer, amount in ((given_.answer("New pump"), "682.88"), (given_.answer(), "345")):
        with pytest.raises(Refused, match=says):
            note(cast, job, given_, answer, amount)
    page = signed_in(cast.desk).get(reverse("authorizations:answer", args=[job.number]))
    text = " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())
    assert "with the option “New pump”; with the taxes of today" in text
    assert "337.88" not in text
    assert not lxml.html.fromstring(page.content.decode()).xpath("//input[starts-with(@name, 'option-')]")


def test_the_paper_says_the_rate_that_its_sum_has(cast: Cast, job: Job) -> None:
    """5.5 % of $150 is $8.25; 6.25 % of it is $9.38. Where the estimate’s rate does not make the sum, none is said."""
    tax = add_tax(by=cast.owner, name="State sales tax", percent=D("5.5"), kinds=[ChargeKind.PART])
    given_ = give(cast, job)
    keys = {one.key for one in given_.lines.values()}

    def last(total: str) -> tuple[str, Decimal]:
        row = made_of_then(given_.estimate, keys, D(total), currency="USD")[-1]
        return row.words, row.amount

    assert last("608.25") == ("State sales tax, 5.5 %", D("8.25"))
    day = timezone.localdate()
    tax.rates.update(starts_on=day - timedelta(days=30), ends_on=day - timedelta(days=1))
    TaxRate.objects.create(tax=tax, percent=D("6.25"), starts_on=day, on_parts=True)
    assert last("608.25") == ("State sales tax, 5.5 %", D("8.25"))
    assert last("609.38") == ("Tax", D("9.38"))  # today's rate makes that of it, and need not have been it
    assert last("607.00") == ("Tax", D("7.00"))


def test_an_answer_keeps_its_taxes_by_the_names_of_its_day(cast: Cast, job: Job) -> None:
    tax = add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART])
    county = add_tax(by=cast.owner, name="County", percent=D(1), kinds=[ChargeKind.PART])
    given_ = give(cast, job)
    made = note(cast, job, given_, given_.answer())

    def taxes(one: Authorization) -> list[tuple[str, Decimal]]:
        rows = rows_of(one, list(one.pieces.all()), "USD")
        assert sum(row.amount for row in rows) == one.amount
        return [(row.words, row.amount) for row in rows if row.is_tax]

    said = sorted([("State sales tax, 6 %", D("9.00")), ("County, 1 %", D("1.50"))])
    assert sorted(taxes(made)) == said
    SalesTax.objects.filter(pk=tax.pk).update(name="Sales and use tax")
    county.rates.all().delete()
    made.refresh_from_db()
    assert sorted(taxes(made)) == said
    # an answer from before taxes were kept: the names of today are not those of then
    Authorization.objects.filter(pk=made.pk).update(taxes=None)
    made.refresh_from_db()
    assert taxes(made) == [("Tax", D("10.50"))]


def test_an_answer_with_no_tax_in_it_keeps_that_there_is_none(cast: Cast, job: Job) -> None:
    add_certificate(by=cast.desk, customer=job.customer, certificate="CF-9")
    given_ = give(cast, job)
    made = note(cast, job, given_, given_.answer())
    made.refresh_from_db()
    assert made.taxes == []
    add_tax(by=cast.owner, name="Later", percent=D(3), kinds=[ChargeKind.LABOR])
    assert not any(row.is_tax for row in rows_of(made, list(made.pieces.all()), "USD"))


CENTS = st.decimals(D("0.01"), D("999.99"), places=2)
PERCENT = st.decimals(D("0.1"), D(40), places=1)


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    prices=st.lists(st.tuples(st.sampled_from(["labor", "part", "sublet", "fee"]), CENTS), min_size=1, max_size=4),
    extra=st.lists(CENTS, max_size=2), fee=st.none() | st.tuples(PERCENT, st.none() | CENTS),
    discount=st.none() | PERCENT, core=st.booleans(), data=st.data(),
)  # fmt: skip
def test_any_estimate_and_any_answer_to_it_closes(
    cast: Cast, job: Job, prices: Any, extra: Any, fee: Any, discount: Any, core: bool, data: st.DataObject
) -> None:
    with transaction.atomic():
        if not standing_of(job).total and not job.estimates.exists():
            first = add_tax(by=cast.owner, name="State", percent=D("6.35"), kinds=[ChargeKind.PART, ChargeKind.FEE])
            add_tax(by=cast.owner, name="Harbor", percent=D("1.1"), kinds=[ChargeKind.PART], on_tax=first)
        made = start_estimate(by=cast.desk, job=job)
        tell = [{"kind": kind, "description": kind, "unit_price": price} for kind, price in prices]
        if core:
            tell.append(
                {"kind": "part", "description": "Core", "unit_price": D(50), "is_core": True, "core_back": True}
            )
        for told in tell:
            add_estimate_line(by=cast.desk, estimate=made, told={"quantity": D(1)} | told)
        if fee:
            told = {"kind": "fee", "description": "Supplies", "percent": fee[0], "percent_of": "both", "cap": fee[1]}
            add_estimate_line(by=cast.desk, estimate=made, told=told)
        for number, price in enumerate(extra):
            option = add_estimate_option(by=cast.desk, estimate=made, name=f"Option {number}", alternatives="")
            told = {"kind": "part", "description": "More", "unit_price": price, "quantity": D(1), "option": option}
            add_estimate_line(by=cast.desk, estimate=made, told=told)
        made.refresh_from_db()
        if discount:
            change_estimate_terms(
                by=cast.desk, estimate=made, seen_version=made.version, changes={"discount_percent": discount}
            )
        give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=offer_of(made).total(offer_of(made).own))
        last = last_given(job)
        assert last is not None
        offer = offer_of(last)
        taken = [one.key for one in offer.options if data.draw(st.booleans())]
        declined = [Declined(one.key) for one in offer.single if data.draw(st.booleans())]
        try:
            found = chosen(offer, Answer(last.revision, taken, declined))
        except Refused:
            found = None
        if found is not None:
            assert sum((one.amount for one in found.rows), D(0)) == found.total
            keys = {one.key for one in found.taken}
            then = made_of_then(last, keys, found.total, currency="USD")
            assert sum((one.amount for one in then), D(0)) == found.total
        transaction.set_rollback(True)
