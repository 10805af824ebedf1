"""Two options taken together against the version: what it says of both, and what was agreed to is what it said.

$4,000.00 of parts, and two options of $500.00 each. The state takes 6 % on no more than $4,600.00 in all: each option
alone is taxed whole, and of both together $400.00 is not.
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse

from billing.authorizations.answers import changed_words, chosen, offer_of
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    charge_estimate,
    give_estimate,
    start_estimate,
)
from billing.estimates.paper import paper_html
from billing.estimates.record import thawed
from commands.refusals import Refused
from files.paper.drawing import Stationery
from tests.billing.authorizations.test_answer_pages import signed_in
from tests.billing.authorizations.test_answers import Given, note
from tests.cast import Cast
from workorders.models import Job
from workorders.queries import job_sum
from workorders.reckoning import CapPer, ChargeKind
from workorders.taxes.actions import add_tax
from workorders.taxes.models import TaxRate

D = Decimal
pytestmark = pytest.mark.django_db


def given(cast: Cast, job: Job, *options: tuple[str, str, str], cap: str | None = "4600") -> Given:
    """The work and its options (name, what they are one of, price), given."""
    add_tax(
        by=cast.owner, name="State", percent=D(6), kinds=[ChargeKind.PART], cap=None if cap is None else D(cap),
        cap_per=CapPer.DOCUMENT,
    )  # fmt: skip
    made = start_estimate(by=cast.desk, job=job)
    told: dict[str, Any] = {"kind": "part", "description": "Engine", "unit_price": D(4000)}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    for name, group, price in options or (("Rails", "", "500"), ("Wax", "", "500")):
        option = add_estimate_option(by=cast.desk, estimate=made, name=name, alternatives=group)
        told = {"kind": "part", "description": name, "unit_price": D(price), "option": option}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    offer = offer_of(made)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=offer.total(offer.own))
    made.refresh_from_db()
    return Given(
        made, {one.description: one for one in made.lines.filter(option=None)},
        {one.name: one for one in made.options.all()},
    )  # fmt: skip


def said(found: Given) -> list[tuple[list[str], Decimal]]:
    return [(one["names"], D(one["total"])) for one in thawed(found.estimate)["together"]]


def test_the_version_says_what_both_come_to(cast: Cast, job: Job) -> None:
    found = given(cast, job)
    record = thawed(found.estimate)
    assert [D(one["adds"]) for one in record["options"]] == [D(530), D(530)]
    assert said(found) == [(["Rails", "Wax"], D(5276))]  # 5000.00 and 6 % of 4600.00: not 4240.00 + 2 × 530.00
    words = "“Rails” and “Wax” together: $5,276.00 in all."
    page = signed_in(cast.desk).get(reverse("estimates:given", args=[job.number, 1])).content.decode()
    assert words in " ".join(lxml.html.fromstring(page).text_content().split())
    assert words in paper_html(record, Stationery(size="letter", logo_png=None))


def test_what_is_agreed_to_and_charged_is_that_sum(cast: Cast, job: Job) -> None:
    found = given(cast, job)
    made = note(cast, job, found, found.answer("Rails", "Wax"))
    assert made.amount == D(5276)
    charge_estimate(by=cast.desk, estimate=found.estimate)
    job.refresh_from_db()
    assert job_sum(job, currency="USD").totals.total == D(5276)


@pytest.mark.parametrize(
    ("options", "cap", "pairs"),
    [
        ((("Rails", "", "500"), ("Wax", "", "500")), None, []),  # nothing stops: both are the sum of each
        ((("Rails", "", "100"), ("Wax", "", "100")), "4600", []),
        ((("Rails", "Deck", "500"), ("Wax", "Deck", "500")), "4600", []),  # one of them at most
        ((("Rails", "Deck", "500"), ("Wood", "Deck", "700"), ("Wax", "", "500")), "4600",
         [(["Rails", "Wax"], D(5276)), (["Wood", "Wax"], D(5476))]),
    ],
)  # fmt: skip
def test_only_what_is_another_sum_is_said(cast: Cast, job: Job, options: Any, cap: str | None, pairs: Any) -> None:
    assert said(given(cast, job, *options, cap=cap)) == pairs


def test_a_cap_that_moved_changes_only_both_and_is_told(cast: Cast, job: Job) -> None:
    """At $4,550.00 each alone comes to what it did; both together come to $3.00 less."""
    found = given(cast, job)
    assert changed_words(offer_of(found.estimate)) == ""
    TaxRate.objects.update(cap=D(4550))
    words = (
        "Version 1 said $5,276.00 with “Rails” and “Wax”; with the taxes of today it comes to $5,273.00. Start its "
        "next version and give that."
    )
    assert changed_words(offer_of(found.estimate)) == words
    with pytest.raises(Refused, match="with “Rails” and “Wax”"):
        note(cast, job, found, found.answer("Rails", "Wax"), "5273")


def test_three_together_are_compared_when_they_are_chosen(cast: Cast, job: Job) -> None:
    """$300.00 each, and a cap of $4,850.00 that moved to $4,800.00: no two of them reach it."""
    options = [(name, "", "300") for name in ("Rails", "Wax", "Wood")]
    found = given(cast, job, *options, cap="4850")
    TaxRate.objects.update(cap=D(4800))
    offer = offer_of(found.estimate)
    assert changed_words(offer) == ""
    assert chosen(offer, found.answer("Rails", "Wax")).total == D("4876.00")
    says = r"what was chosen comes to \$5,191\.00; with the taxes of today to \$5,188\.00\. Start its next"
    with pytest.raises(Refused, match=says):
        chosen(offer, found.answer("Rails", "Wax", "Wood"))


def test_a_version_from_before_its_taxes_were_kept_is_answered_as_before(cast: Cast, job: Job) -> None:
    found = given(cast, job)
    record = json.loads(found.estimate.snapshot)
    del record["rules"], record["together"]
    type(found.estimate).objects.filter(pk=found.estimate.pk).update(snapshot=json.dumps(record))
    found.estimate.refresh_from_db()
    assert offer_of(found.estimate).rules_then is None
    assert note(cast, job, found, found.answer("Rails", "Wax")).amount == D(5276)
    page = signed_in(cast.desk).get(reverse("estimates:given", args=[job.number, 1]))
    assert page.status_code == 200
