"""An estimate, the answer to it, the sheet that is signed, the charges and the invoice have their lines in one order.

Lines were added later to a concern that stands first, for the whole job before any, and an option before the work.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from lxml import html

from billing.authorizations.actions import note_authorization
from billing.authorizations.answers import Answer, chosen, offer_of
from billing.authorizations.paper import paper_html as authorization_html
from billing.authorizations.paper import paper_of
from billing.authorizations.queries import standing_of
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    charge_estimate,
    give_estimate,
    start_estimate,
)
from billing.estimates.models import Estimate
from billing.estimates.paper import paper_html
from billing.estimates.record import thawed
from billing.invoices.actions import make_invoice
from billing.invoices.queries.jobs import charges_to_invoice
from commands.refusals import Refused
from files.paper.drawing import Stationery
from staff.queries import shop_profile
from tests.cast import Cast
from tests.workorders.counter import signed_in
from workorders.actions import add_charge, add_line
from workorders.models import Job

D = Decimal
LETTER = Stationery(size="letter", logo_png=None)
OWN = [
    "Find it", "Supplies", "Pump", "Core charge: pump", "Core returned: pump", "Impeller", "Lamp", "Haul-out", "Towing",
]  # fmt: skip
"""The work as the paper has it: by concern, in each as it was added, what is for the whole job last."""
NOT_ASKED = {"Supplies", "Core returned: pump"}
"""A percentage follows what is done, a return its core charge."""


def given(cast: Cast, job: Job) -> Estimate:
    first, second = job.lines.get(), add_line(by=cast.desk, job=job, concern="Stern light is dark")
    made = start_estimate(by=cast.desk, job=job)
    for words in ("Wax", "Canvas"):
        option = add_estimate_option(by=cast.desk, estimate=made, name=words)
        told = {"kind": "fee", "description": words, "unit_price": D(40), "option": option}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    for kind, words, price, line in [
        ("fee", "Haul-out", "90", None), ("part", "Lamp", "18.50", second), ("labor", "Find it", "120", first),
    ]:  # fmt: skip
        told = {"kind": kind, "description": words, "unit_price": D(price), "quantity": D(1), "job_line": line}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    told = {"kind": "fee", "description": "Supplies", "percent": D(5), "percent_of": "both", "job_line": first}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    core = {"description": "Core charge: pump", "unit_price": D(80), "is_core": True, "core_back": True}
    for told in ({"description": "Pump", "unit_price": D(300)}, core):
        add_estimate_line(by=cast.desk, estimate=made, told={"kind": "part", "job_line": first, **told})
    for kind, words, price, line in [("part", "Impeller", "60", first), ("fee", "Towing", "75", None)]:
        told = {"kind": kind, "description": words, "unit_price": D(price), "quantity": D(1), "job_line": line}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    offer = offer_of(made)
    return give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=offer.total(offer.own))


def in_order(page: str, wanted: list[str]) -> list[str]:
    """The wanted words as they stand on a page, each where it is first at the begin of a row, a label or an item."""
    found = []
    for one in html.fromstring(page).xpath("//tbody/tr/th[1] | //label | //li"):
        words = " ".join(one.text_content().split()).removeprefix("Option: ")
        words = words[3:] if words[:1].isdigit() else words
        name = next((name for name in wanted if words.startswith(name)), None)
        if name is not None and name not in found:
            found.append(name)
    return found


def test_one_order_everywhere(cast: Cast, job: Job) -> None:
    estimate = given(cast, job)
    every, single = [*OWN, "Wax", "Canvas"], [one for one in OWN if one not in NOT_ASKED]
    client = signed_in(cast.desk)

    def page(name: str) -> str:
        return client.get(
            reverse(name, args=[job.number, *([1] if name.startswith("estimates") else [])])
        ).content.decode()

    assert in_order(paper_html(thawed(estimate), LETTER), every) == every
    assert in_order(page("estimates:given"), every) == every
    assert in_order(page("authorizations:answer"), single) == single
    asked = [one for one in every if one != "Core returned: pump"]
    assert in_order(page("estimates:charge"), asked) == asked
    offer = offer_of(estimate)
    found = chosen(offer, Answer(1, [one.key for one in offer.options]))
    assert [row.words.split(" (")[0] for row in found.rows] == every
    assert [piece.words for piece in found.pieces] == [one for one in every if one not in NOT_ASKED]
    standing = standing_of(job)
    made = note_authorization(
        by=cast.desk, job=job, amount=found.total, how="phone", who="Wes Harrow", reached="(555) 555-0123",
        said_at=timezone.now(), seen_total=standing.total, seen_authorized=standing.limit.authorized,
        answer=Answer(1, [one.key for one in offer.options]),
    )  # fmt: skip
    assert in_order(authorization_html(paper_of(made, shop_profile()), LETTER), every) == every
    charge_estimate(by=cast.desk, estimate=estimate)
    charges = [one.description.split(" (")[0] for one in charges_to_invoice(job)]
    assert charges == every
    invoice = make_invoice(by=cast.desk, job=job, charges=charges_to_invoice(job), seen_total=standing_of(job).total)
    assert in_order(client.get(reverse("invoices:invoice", args=[invoice.pk])).content.decode(), every) == every


def test_a_core_that_comes_back_takes_no_room_of_what_was_authorized(cast: Cast, job: Job) -> None:
    """$100 is agreed to; with the core charge it would be $185 for a moment, wherever that stands."""
    made = start_estimate(by=cast.desk, job=job)
    told = {"kind": "part", "unit_price": D(85), "is_core": True, "core_back": True, "description": "Core"}
    for one in ({"kind": "fee", "description": "Pump", "unit_price": D(100)}, told):
        add_estimate_line(by=cast.desk, estimate=made, told=one)
    give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=D(100))
    standing = standing_of(job)
    note_authorization(
        by=cast.desk, job=job, amount=D(100), how="phone", who="Wes Harrow", reached="(555) 555-0123",
        said_at=timezone.now(), seen_total=standing.total, seen_authorized=None, is_ceiling=True, answer=Answer(1),
    )  # fmt: skip
    charge_estimate(by=cast.desk, estimate=made)
    assert [one.description for one in charges_to_invoice(job)] == ["Pump", "Core", "Core returned: Core"]
    with pytest.raises(Refused, match="agreed to no more than"):
        add_charge(by=cast.desk, job=job, kind="part", description="Core", unit_price=D(85), is_core=True)
