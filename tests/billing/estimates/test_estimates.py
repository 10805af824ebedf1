"""Estimates: what they come to, what a version changes, and that what was given stays as it was."""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.db import transaction
from django.db.utils import IntegrityError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.documents.actions import add_notice
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    add_kit,
    add_kit_line,
    change_estimate_line,
    change_estimate_option,
    change_estimate_terms,
    change_kit_line,
    discard_estimate,
    fill_estimate,
    give_estimate,
    remove_estimate_line,
    remove_estimate_option,
    remove_kit_line,
    start_estimate,
)
from billing.estimates.actions.filling import Source
from billing.estimates.models import Estimate, EstimateLine
from billing.estimates.queries import draft_of, worked_out
from billing.estimates.record import thawed
from commands.models import Command
from commands.refusals import Conflict, Refused
from findings.reports.models import ReportDraft
from parts.actions import add_part
from parts.models import Part
from staff.policy import Role
from tests.billing.authorizations.test_answer_pages import fields_of
from tests.cast import Cast
from tests.findings import story
from vessels.wording import date_words
from workorders.actions import add_line, move_job
from workorders.models import Job
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax

D = Decimal
pytestmark = pytest.mark.django_db


@pytest.fixture
def taxed(cast: Cast) -> None:
    add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[ChargeKind.PART, ChargeKind.FEE])


@pytest.fixture
def estimate(cast: Cast, job: Job) -> Estimate:
    return start_estimate(by=cast.desk, job=job)


def line(cast: Cast, estimate: Estimate, kind: str = "fee", **told: Any) -> EstimateLine:
    said = {"description": kind.capitalize(), **told}
    return add_estimate_line(by=cast.desk, estimate=estimate, told={"kind": kind, **said})


def give(cast: Cast, estimate: Estimate) -> Estimate:
    return give_estimate(by=cast.desk, estimate=estimate, how="printed", seen_total=total(estimate))


def total(estimate: Estimate) -> Decimal:
    return worked_out(estimate, currency="USD").figures.base.total


def price(estimate: Estimate, made: EstimateLine) -> str:
    return str(worked_out(estimate, currency="USD").figures.lines[made.key].price)


HOURS = {"kind": "labor", "quantity": D("2.5"), "unit_price": D("138")}
SUPPLIES = {"kind": "fee", "percent": D(8), "percent_of": "both", "cap": D(45)}


@pytest.mark.parametrize(
    ("told", "quantity", "expected"),
    [
        ({"kind": "labor", "quantity": D("2.5")}, "2.50", "300.00"),  # the shop's rate of 120
        ({"kind": "labor", "quantity": D("2.5"), "unit_price": D("138")}, "2.50", "345.00"),
        ({"kind": "labor", "is_flat": True, "unit_price": D("450")}, "1", "450.00"),
        ({"kind": "part", "quantity": D(3), "unit_price": D("0.35")}, "3", "1.05"),
        ({"kind": "part", "unit_price": D("12.40")}, "1", "12.40"),
        ({"kind": "sublet", "unit_price": D("250")}, "1", "250.00"),
        ({"kind": "fee", "unit_price": D("0")}, "1", "0.00"),  # free of charge is a price
        ({"kind": "fee", "feet": D("34"), "days": 12, "unit_price": D("2.50")}, "408", "1020.00"),
        ({"kind": "fee", "feet": D("33.5"), "days": 1, "unit_price": D("2.05")}, "33.5", "68.68"),  # 68.675
        ({"kind": "part", "quantity": D(2), "unit_price": D("50"), "discount_percent": D("12.5")}, "2", "87.50"),
        ({"kind": "part", "quantity": D(2), "unit_price": D("50"), "discount_amount": D("0.01")}, "2", "99.99"),
    ],
)
def test_a_line_is_priced(cast: Cast, estimate: Estimate, told: dict[str, Any], quantity: str, expected: str) -> None:
    made = line(cast, estimate, **told)
    assert made.quantity == D(quantity)
    assert price(estimate, made) == expected


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"kind": "gift"}, "kind"),
        ({"kind": "fee", "description": " "}, "description"),
        ({"kind": "part", "quantity": D(0)}, "quantity"),
        ({"kind": "part", "quantity": D(-1)}, "quantity"),
        ({"kind": "part", "unit_price": D("-0.01")}, "unit_price"),
        ({"kind": "labor", "percent": D(8)}, "percent"),
        ({"kind": "fee", "percent": D(101)}, "percent"),
        ({"kind": "fee", "percent": D(8), "unit_price": D(5)}, "percent"),
        ({"kind": "fee", "cap": D(45), "unit_price": D(5)}, "cap"),
        ({"kind": "fee", "feet": D(34), "unit_price": D(2)}, "days"),
        ({"kind": "fee", "days": 12, "unit_price": D(2)}, "feet"),
        ({"kind": "part", "unit_price": D(5), "discount_percent": D(5), "discount_amount": D(1)}, "discount_amount"),
        ({"kind": "part", "unit_price": D(5), "discount_amount": D("5.01")}, "discount_amount"),
    ],
)
def test_what_cannot_stand_on_a_line_is_refused(
    cast: Cast, estimate: Estimate, told: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        line(cast, estimate, **told)
    assert list(refusal.value.fields) == [field]
    assert not estimate.lines.exists()


def test_shop_supplies_are_on_labor_and_parts_and_never_more_than_their_cap(cast: Cast, estimate: Estimate) -> None:
    supplies = line(cast, estimate, **SUPPLIES)
    assert price(estimate, supplies) == "0.00"
    line(cast, estimate, **HOURS)
    line(cast, estimate, kind="sublet", unit_price=D(1000))
    assert price(estimate, supplies) == "27.60"
    line(cast, estimate, kind="part", quantity=D(4), unit_price=D("100"))
    assert price(estimate, supplies) == "45.00"


def test_options_stand_on_top_and_alternatives_are_each_for_itself(cast: Cast, estimate: Estimate, taxed: None) -> None:
    line(cast, estimate, **HOURS)
    line(cast, estimate, **SUPPLIES)
    options = {}
    for name, cost in [("Rebuild", "900.00"), ("Exchange", "1450.00")]:
        option = add_estimate_option(by=cast.desk, estimate=estimate, name=name, alternatives="Pump")
        line(cast, estimate, kind="part", description=name, unit_price=D(cost), option=option)
        options[name] = option.key
    found = worked_out(estimate, currency="USD").figures
    assert found.base.total == D("374.26")  # 345.00, supplies 27.60, 6 % on the fee is 1.656
    with_rebuild = D("345.00") + D("900.00") + D("45.00") + D("56.70")  # 8 % is capped; tax on 945.00
    assert found.options[options["Rebuild"]].total == with_rebuild
    assert found.options[options["Rebuild"]].adds == with_rebuild - D("374.26")
    with_exchange = D("345.00") + D("1450.00") + D("45.00") + D("89.70")
    assert found.options[options["Exchange"]].total == with_exchange


def test_a_discount_of_the_whole_and_what_is_asked_beforehand(cast: Cast, estimate: Estimate, taxed: None) -> None:
    line(cast, estimate, kind="labor", quantity=D(2), unit_price=D(100))
    line(cast, estimate, kind="part", unit_price=D(100))
    change_estimate_terms(
        by=cast.desk, estimate=estimate, seen_version=estimate.version,
        changes={"discount_percent": D(10), "deposit": D(50), "contingency_percent": D("12.5")},
    )  # fmt: skip
    found = worked_out(estimate, currency="USD").figures
    assert (found.base.discount, found.base.tax, found.base.total) == (D("30.00"), D("5.40"), D("275.40"))
    assert found.contingency == D("34.43")  # 34.425
    with pytest.raises(Refused, match="and not both"):
        change_estimate_terms(
            by=cast.desk, estimate=estimate, seen_version=estimate.version, changes={"discount_amount": D(5)}
        )
    changes = {"discount_percent": None, "discount_amount": D(301)}
    change_estimate_terms(by=cast.desk, estimate=estimate, seen_version=estimate.version, changes=changes)
    found = worked_out(estimate, currency="USD").figures
    assert found.problem == "A discount of $301.00 is more than the $300.00 that it is taken from."
    with pytest.raises(Refused, match=r"more than the \$300\.00"):
        give(cast, estimate)


def test_an_exempt_customer_is_told_so_on_the_estimate(cast: Cast, estimate: Estimate, taxed: None) -> None:
    line(cast, estimate, kind="part", unit_price=D(100))
    add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-118")
    (tax,) = thawed(give(cast, estimate))["taxes"]
    said = "State sales tax, 6 %"
    assert tax == {"words": said, "plain": said, "base": "100", "due": "0", "certificate": "CF-118"}


def test_an_estimate_is_filled_in_one_touch(cast: Cast, job: Job, estimate: Estimate) -> None:
    add_line(by=cast.desk, job=job, concern="Bilge pump\nruns often")
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.CONCERNS)
    assert list(estimate.lines.values_list("kind", "description", "job_line__position", "quantity", "unit_price")) == [
        ("labor", "Will not hold 3000 rpm", 1, None, D("120.00")),
        ("labor", "Bilge pump runs often", 2, None, D("120.00")),
    ]
    with pytest.raises(Refused, match="Every concern"):
        fill_estimate(by=cast.desk, estimate=estimate, source=Source.CONCERNS)
    with pytest.raises(Refused, match="No repair is recommended"):
        fill_estimate(by=cast.desk, estimate=estimate, source=Source.RECOMMENDATIONS)
    ReportDraft.objects.create(
        job=job, started_by=cast.tech, before_next_use="Replace the impeller", soon="Flush\n", watch="Look again"
    )
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.RECOMMENDATIONS)
    assert list(estimate.lines.values_list("description", flat=True))[2:] == ["Replace the impeller", "Flush"]
    with pytest.raises(Refused, match="A price is missing: “Will not hold 3000 rpm”, “Bilge pump runs often”"):
        give(cast, estimate)


def test_a_kit_takes_the_prices_of_the_day(cast: Cast, job: Job, estimate: Estimate) -> None:
    part = Part.objects.create(number="TW-9", description="Impeller", unit_price=D("41.50"))
    free = Part.objects.create(number="TW-0", description="Gasket", unit_price=D(0))
    kit = add_kit(by=cast.manager, name="Impeller service")
    with pytest.raises(Refused, match="There is a kit of this name"):
        add_kit(by=cast.manager, name="impeller SERVICE")
    labor = add_kit_line(
        by=cast.manager, kit=kit, told={"kind": "labor", "description": "Fit it", "quantity": D("1.5")}
    )
    for told in (
        {"kind": "part", "part": part, "quantity": D(2)},
        {"kind": "part", "part": free},
        SUPPLIES | {"description": "Shop supplies"},
    ):
        add_kit_line(by=cast.manager, kit=kit, told=told)
    part.unit_price = D("45")
    part.save()
    concern = job.lines.get()
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.KIT, kit=kit, job_line=concern)
    change_kit_line(by=cast.manager, line=labor, seen_version=1, changes={"quantity": D(9)})
    remove_kit_line(by=cast.manager, kit=kit, position=2)
    found = [(one.description, one.quantity, one.unit_price, one.job_line) for one in estimate.lines.all()]
    assert found == [
        ("Fit it", D("1.50"), D("120.00"), concern),
        ("TW-9 Impeller", D(2), D(45), concern),
        ("TW-0 Gasket", D(1), None, concern),  # a price of zero in the catalog is none
        ("Shop supplies", None, None, concern),
    ]


def test_what_was_given_is_frozen(cast: Cast, job: Job, estimate: Estimate) -> None:
    made = line(cast, estimate, kind="part", description="Impeller", unit_price=D("48.75"))
    add_notice(by=cast.owner, title="Lien", text="We may keep the boat.", citation="our terms", on_estimates=True)
    given = give(cast, estimate)
    record = thawed(given)
    assert (record["total"], given.total, record["version"]) == ("48.75", D("48.75"), 1)
    assert record["notices"] == [{"title": "Lien", "text": "We may keep the boat.", "citation": "our terms"}]
    made.refresh_from_db()
    told = {"kind": "fee", "description": "More", "unit_price": D(1)}
    for act in (
        lambda: add_estimate_line(by=cast.desk, estimate=given, told=told),
        lambda: change_estimate_line(by=cast.desk, line=made, seen_version=1, changes={"unit_price": D(1)}),
        lambda: remove_estimate_line(by=cast.desk, estimate=given, key=made.key),
        lambda: add_estimate_option(by=cast.desk, estimate=given, name="More"),
        lambda: change_estimate_terms(by=cast.desk, estimate=given, seen_version=9, changes={"deposit": D(1)}),
        lambda: fill_estimate(by=cast.desk, estimate=given, source=Source.CONCERNS),
        lambda: discard_estimate(by=cast.desk, job=job, revision=1),
        lambda: give_estimate(by=cast.desk, estimate=given, how="shown", seen_total=D("48.75")),
    ):
        with pytest.raises(Refused, match="was given to the customer and stays as it is"):
            act()
    assert Command.objects.get(kind="give_estimate").told == {"estimate_total": [None, "48.75"]}
    with pytest.raises(IntegrityError), transaction.atomic():
        Estimate.objects.filter(pk=given.pk).update(snapshot="")


@pytest.mark.parametrize(
    ("before", "sentence"),
    [
        (lambda cast, estimate: None, "Nothing is on this estimate yet"),
        (lambda cast, estimate: line(cast, estimate, kind="part"), "A price is missing: “Part”"),
        (
            lambda cast, estimate: [
                line(cast, estimate, unit_price=D(5)), add_estimate_option(by=cast.desk, estimate=estimate, name="Wax")
            ],
            "Nothing is on the option “Wax”",
        ),
        (
            lambda cast, estimate: [
                line(cast, estimate, unit_price=D(5)),
                Estimate.objects.update(valid_until=timezone.localdate() - timedelta(days=1)),
            ],
            "This day has passed",
        ),
        (
            lambda cast, estimate: line(cast, estimate, description="Polish ☃ \U0001f984", unit_price=D(5)),
            "has no characters for .*then give it",
        ),
    ],
)  # fmt: skip
def test_what_is_not_ready_is_not_given(cast: Cast, estimate: Estimate, before: Any, sentence: str) -> None:
    before(cast, estimate)
    with pytest.raises(Refused, match=sentence):
        give(cast, estimate)
    estimate.refresh_from_db()
    assert estimate.is_draft


def test_it_is_given_as_its_page_showed_it(cast: Cast, estimate: Estimate) -> None:
    line(cast, estimate, unit_price=D(5))
    seen = total(estimate)
    line(cast, estimate, description="Late", unit_price=D(7))
    with pytest.raises(Refused, match=r"\$5\.00 then, \$12\.00 now"):
        give_estimate(by=cast.desk, estimate=estimate, how="printed", seen_total=seen)
    with pytest.raises(Refused, match="Say how it is given"):
        give_estimate(by=cast.desk, estimate=estimate, how="pigeon", seen_total=total(estimate))


def changed(cast: Cast, job: Job, *acts: Any) -> list[str]:
    """What the next version says against the one before, after some acts on it."""
    made = start_estimate(by=cast.desk, job=job)
    for act in acts:
        act(made)
    changes: list[str] = thawed(give(cast, made))["changes"]
    return changes


def test_a_new_version_says_what_it_changes(cast: Cast, job: Job, estimate: Estimate) -> None:
    line(cast, estimate, kind="part", description="Impeller", quantity=D(1), unit_price=D("48.75"))
    line(cast, estimate, kind="labor", description="Fit it", quantity=D(2))
    option = add_estimate_option(by=cast.desk, estimate=estimate, name="Rebuild")
    line(cast, estimate, kind="part", description="Seals", unit_price=D(30), option=option)
    give(cast, estimate)

    def on(name: str, **changes: Any) -> Any:
        def act(made: Estimate) -> None:
            one = made.lines.get(description=name)
            change_estimate_line(by=cast.desk, line=one, seen_version=one.version, changes=changes)

        return act

    def terms(**changes: Any) -> Any:
        return lambda made: change_estimate_terms(
            by=cast.desk, estimate=made, seen_version=made.version, changes=changes
        )

    def leave_out(name: str) -> Any:
        return lambda made: remove_estimate_line(by=cast.desk, estimate=made, key=made.lines.get(description=name).key)

    def rename(made: Estimate) -> None:
        one = made.options.get()
        change_estimate_option(by=cast.desk, option=one, seen_version=1, changes={"name": "Repair"})

    assert changed(cast, job) == ["No price changed.", "The total stays $288.75."]
    assert changed(cast, job, on("Impeller", quantity=D(2))) == [
        "Impeller: $48.75 before, 2 × $48.75 now; price $48.75 before, $97.50 now.",
        "The total: $288.75 before, $337.50 now.",
    ]
    assert changed(cast, job, on("Fit it", discount_percent=D(10)), rename) == [
        "Fit it: discount $0.00 before, $24.00 now; price $240.00 before, $216.00 now.",
        "The option “Rebuild” is called “Repair” now.",
        "The total: $337.50 before, $313.50 now.",
    ]
    assert changed(
        cast, job, leave_out("Fit it"), lambda made: line(cast, made, description="Haul-out", unit_price=D(90))
    ) == [
        "New: Haul-out, $90.00.",
        "Left out: Fit it, $216.00.",
        "The total: $313.50 before, $187.50 now.",
    ]
    until = timezone.localdate() + timedelta(days=400)
    was = thawed(Estimate.objects.filter(given_at__isnull=False).latest("revision"))["valid_until"]

    def without_option(made: Estimate) -> None:
        remove_estimate_option(by=cast.desk, estimate=made, key=made.options.get().key)

    assert changed(cast, job, terms(deposit=D(50), valid_until=until), on("Seals", option=None), without_option) == [
        "Seals: moved from the option “Repair” to the work itself.",
        "The option “Repair” is no longer there.",
        "Deposit: none before, $50.00 now.",
        f"Valid until {date_words(until)} now, until {date_words(date.fromisoformat(was))} before.",
        "The total: $187.50 before, $217.50 now.",
    ]
    assert [one.revision for one in job.estimates.all()] == [6, 5, 4, 3, 2, 1]


def test_two_people_at_one_line_are_told(cast: Cast, estimate: Estimate) -> None:
    made = line(cast, estimate, kind="part", description="Impeller", unit_price=D(40))
    theirs, mine = (EstimateLine.objects.get(pk=made.pk) for _ in range(2))
    change_estimate_line(by=cast.manager, line=theirs, seen_version=1, changes={"unit_price": D(45)})
    with pytest.raises(Conflict) as conflict:
        change_estimate_line(by=cast.desk, line=mine, seen_version=1, changes={"unit_price": D(50)})
    assert (conflict.value.by, conflict.value.theirs, conflict.value.mine) == (
        "Mina Sparrow", {"unit_price": D("45.00")}, {"unit_price": D(50)},
    )  # fmt: skip


def test_every_field_of_two_versions_has_its_name(client: Client, cast: Cast, job: Job, estimate: Estimate) -> None:
    """Its description has no label of its own on the form: the page calls it the same in both places."""
    made = line(cast, estimate, kind="part", description="Impeller", unit_price=D(40))
    client.force_login(cast.desk)
    address = reverse("estimates:line", args=[job.number, made.pk])
    shown = fields_of(client.get(address).content)
    change_estimate_line(by=cast.manager, line=made, seen_version=1, changes={"description": "Pump"})
    answer = client.post(address, {**shown, "description": "Impeller, used", "unit_price": "50"})
    assert answer.status_code == 409
    page = lxml.html.fromstring(answer.content)
    rows = [[cell.text_content() for cell in row] for row in page.xpath('//section[@class="conflict"]//tbody/tr')]
    assert rows == [["Description", "Pump", "Impeller, used"], ["Price or rate", "40.00", "50.00"]]


def test_one_draft_at_a_time_and_a_closed_job_has_none(cast: Cast, job: Job, estimate: Estimate) -> None:
    with pytest.raises(Refused, match="is being written already"):
        start_estimate(by=cast.desk, job=job)
    job.refresh_from_db()
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold", seen_version=job.version)
    with pytest.raises(Refused, match="Open it again"):
        line(cast, estimate, unit_price=D(5))
    discard_estimate(by=cast.desk, job=job, revision=1)
    assert draft_of(job) is None


def test_an_option_goes_with_its_lines(cast: Cast, estimate: Estimate) -> None:
    option = add_estimate_option(by=cast.desk, estimate=estimate, name="Wax")
    with pytest.raises(Refused, match="option of this name already"):
        add_estimate_option(by=cast.desk, estimate=estimate, name="wax")
    line(cast, estimate, unit_price=D(5), option=option)
    remove_estimate_option(by=cast.desk, estimate=estimate, key=option.key)
    assert not estimate.lines.exists()


def test_a_given_estimate_is_a_price_for_authorizing_the_job(cast: Cast, job: Job, estimate: Estimate) -> None:
    line(cast, estimate, unit_price=D(5))
    job.refresh_from_db()
    with pytest.raises(Refused, match="Nothing is priced on this job"):
        move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version)
    give(cast, estimate)
    move_job(by=cast.desk, job=job, to="authorized", seen_version=job.version)
    assert job.state == "authorized"


def test_who_writes_estimates_and_kits(cast: Cast, job: Job) -> None:
    with pytest.raises(Refused, match="priced lines"):
        start_estimate(by=cast.tech, job=job)
    for role in (Role.FRONT_DESK, Role.TECHNICIAN):
        with pytest.raises(Refused, match="catalog parts"):
            add_kit(by=cast.person(role), name="Mine")


def signed_in(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ({"kind": "labor", "taxable": "on"}, {"description"}),
        ({"kind": "fee"}, {"description"}),
        ({"kind": "labor", "description": "  "}, {"description"}),
        ({"kind": "labor", "is_flat": "on"}, {"description"}),
        ({"kind": "labor", "discount_percent": "10"}, {"description"}),
        ({"kind": "labor", "unit_price": "90"}, {"quantity"}),
        ({"kind": "labor", "unit_price": "90", "is_flat": "on"}, set()),
        ({"kind": "labor", "quantity": "2"}, set()),
        ({"kind": "labor", "description": "Find it"}, set()),
        ({"kind": "labor", "description": "Find it", "unit_price": "90"}, set()),
        ({"kind": "part", "description": "Seal"}, set()),
        ({"kind": "part", "unit_price": "4"}, {"description"}),
    ],
)
@pytest.mark.parametrize("is_kit", [False, True])
def test_a_line_on_which_nothing_was_typed_is_not_kept(
    cast: Cast, job: Job, is_kit: bool, said: dict[str, str], asked: set[str]
) -> None:
    """And one with a price and no hours is asked about; what is not known yet may be left open where it is named."""
    if is_kit:
        kit = add_kit(by=cast.manager, name="Winterize")
        client, at, kept = signed_in(cast.manager), reverse("estimates:kit_line_add", args=[kit.pk]), kit.lines
        said = {name: value for name, value in said.items() if name != "discount_percent"}
    else:
        estimate = start_estimate(by=cast.desk, job=job)
        client, at, kept = signed_in(cast.desk), reverse("estimates:line_add", args=[job.number]), estimate.lines
    answer = client.post(at, said)
    assert (answer.status_code, kept.count()) == ((422, 0) if asked else (302, 1))
    if asked:
        assert set(answer.context["form"].errors) == asked


def test_the_pages_from_nothing_to_a_given_version(cast: Cast, job: Job, taxed: None) -> None:
    client, at = signed_in(cast.desk), reverse("estimates:job", args=[job.number])

    def html(address: str = at) -> str:
        return client.get(address).content.decode()

    assert "Start an estimate" in html()
    assert "Start an estimate" not in signed_in(cast.tech).get(at).content.decode()
    assert client.post(reverse("estimates:start", args=[job.number])).status_code == 302
    assert client.post(reverse("estimates:fill", args=[job.number]), {"source": "concerns"}).status_code == 302
    assert "no price yet" in html()
    found = EstimateLine.objects.get()
    of_line = reverse("estimates:line", args=[job.number, found.pk])
    told = {"kind": "labor", "description": "Find it", "quantity": "2,5", "unit_price": "", "taxable": "on",
            "job_line": job.lines.get().pk, "seen_version": "1"}  # fmt: skip
    assert client.post(of_line, told | {"quantity": "many"}).status_code == 422
    assert client.post(of_line, told).status_code == 302
    Part.objects.create(number="TW-9", description="Impeller", unit_price=D("41.50"))
    add = reverse("estimates:line_add", args=[job.number])
    refused = client.post(add, {"kind": "part", "part_number": "TW-8", "taxable": "on"})
    assert (refused.status_code, "No part of the catalog has this number" in refused.content.decode()) == (422, True)
    assert (
        client.post(add, {"kind": "part", "part_number": "tw-9", "quantity": "2", "taxable": "on"}).status_code == 302
    )
    assert client.post(reverse("estimates:option_add", args=[job.number]), {"name": "Wax"}).status_code == 302
    option = draft_of(job).options.get()  # type: ignore[union-attr]
    assert f"option={option.key}" in html()
    assert "selected" in html(f"{add}?option={option.key}")
    assert (
        client.post(add, {"kind": "fee", "description": "Wax", "unit_price": "60", "option": option.pk}).status_code
        == 302
    )
    terms = reverse("estimates:terms", args=[job.number])
    until = (timezone.localdate() + timedelta(days=14)).isoformat()
    assert client.post(terms, {"valid_until": until, "deposit": "100", "seen_version": "1"}).status_code == 302
    assert "$387.98" in html()  # 300.00, 83.00 and 6 % of it
    giving = {"how": "printed", "revision": "1", "seen_total": "387.98"}
    answer = client.post(reverse("estimates:give", args=[job.number]), giving)
    given = reverse("estimates:given", args=[job.number, 1])
    assert (answer.status_code, answer.headers["Location"]) == (302, given)
    text = html(given)
    for words in ("$387.98", "TW-9 Impeller", "On top of the work", "no price agreed on until", "Deposit asked"):
        assert words in text
    assert text.index("Deposit asked") > text.index("Total without options"), "it is no part of the total"
    assert "Start the next version" in html()


def test_two_people_at_one_line_see_both(cast: Cast, job: Job, estimate: Estimate) -> None:
    made = line(cast, estimate, kind="part", description="Impeller", unit_price=D(40))
    change_estimate_line(by=cast.manager, line=made, seen_version=1, changes={"unit_price": D(45)})
    told = {
        "kind": "part",
        "description": "Impeller",
        "quantity": "1",
        "unit_price": "50",
        "taxable": "on",
        "seen_version": "1",
    }
    answer = signed_in(cast.desk).post(reverse("estimates:line", args=[job.number, made.pk]), told)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Mina Sparrow saved this while you were writing" in text
    assert "45.00" in text
    assert 'value="50"' in text


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", ["Cooling service", "Impeller service"]),
        ("impeller", ["Cooling service", "Impeller service"]),
        ("impeller service", ["Cooling service", "Impeller service"]),
        ("TW-150", ["Cooling service"]),
        ("tw150", ["Cooling service"]),
        ("w15", ["Cooling service"]),
        ("tidewright pump", ["Cooling service"]),
        ("jets", ["Impeller service"]),
        ("TW-151", []),
        ("-", ["Cooling service", "Impeller service"]),
        ("%", []),
    ],
)
def test_kits_are_found_by_a_part_inside(cast: Cast, typed: str, found: list[str]) -> None:
    part = add_part(
        by=cast.owner, number="TW-150", maker="Tidewright", description="Raw water pump impeller", unit_price=D("46.80")
    )
    cooling = add_kit(by=cast.owner, name="Cooling service", note="With a test-run")
    add_kit_line(by=cast.owner, kit=cooling, told={"kind": "part", "part": part, "quantity": D(1)})
    other = add_kit(by=cast.owner, name="Impeller service", note="Not for jets - none")
    add_kit_line(by=cast.owner, kit=other, told={"kind": "labor", "description": "Fit it", "quantity": D("1.5")})
    client = Client()
    client.force_login(cast.desk)
    page = client.get(reverse("estimates:kits"), {"q": typed})
    assert [kit.name for kit in page.context["kits"]] == found
    assert ("No such kit" in page.content.decode()) is (not found)
    assert [kit.count for kit in page.context["kits"]] == [1] * len(found)


def test_pages_of_kits(cast: Cast) -> None:
    client = signed_in(cast.manager)
    assert client.post(reverse("estimates:kits"), {"name": "Impeller service"}).status_code == 302
    (kit,) = client.get(reverse("estimates:kits")).context["kits"]
    told = {"kind": "labor", "description": "Fit it", "quantity": "1.5", "taxable": "on"}
    assert client.post(reverse("estimates:kit_line_add", args=[kit.pk]), told).status_code == 302
    text = client.get(reverse("estimates:kit", args=[kit.pk])).content.decode()
    assert "1.5 h" in text
    assert "price of the day" in text
    assert "Add a line" not in signed_in(cast.desk).get(reverse("estimates:kit", args=[kit.pk])).content.decode()


def test_the_same_record_has_one_spelling(cast: Cast, estimate: Estimate) -> None:
    line(cast, estimate, unit_price=D(5))
    given = give(cast, estimate)
    spelled = json.dumps(thawed(given), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    assert spelled == given.snapshot


def test_open_faults_become_lines_of_labor_once_each(cast: Cast, job: Job, estimate: Estimate) -> None:
    """What is to be found out is told, and no cause; each stands with the concern about its engine."""
    story.scan(cast, 1, 100, [story.seen(story.COOLANT)], job=job)
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.FAULTS)
    (line,) = estimate.lines.all()
    label = story.fault(story.COOLANT).label
    assert line.description == f"Find and repair the cause of {label}, port engine"
    assert (line.kind, line.quantity, line.unit_price) == ("labor", None, D("120.00"))
    with pytest.raises(Refused, match="No fault is open on this boat that is not on the estimate"):
        fill_estimate(by=cast.desk, estimate=estimate, source=Source.FAULTS)


def test_a_fault_stands_with_the_one_concern_about_its_engine(cast: Cast, job: Job, estimate: Estimate) -> None:
    job.lines.update(engine=cast.port)
    story.scan(cast, 1, 100, [story.seen(story.COOLANT)], job=job)
    story.clear(cast, 2, 101, [story.fault(story.COOLANT)], job=job)
    with pytest.raises(Refused, match="No fault is open"):
        fill_estimate(by=cast.desk, estimate=estimate, source=Source.FAULTS)
    story.scan(cast, 3, 102, [story.seen(story.COOLANT)], job=job)
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.FAULTS)
    assert estimate.lines.get().job_line == job.lines.get()
    add_line(by=cast.desk, job=job, concern="Smoke", engine=cast.port)
    estimate.lines.all().delete()
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.FAULTS)
    assert estimate.lines.get().job_line is None, "two concerns are about that engine"


class TestAPartOfALine:
    """A part of the catalog is found by number or word, with scripts and without; what was typed stays."""

    @pytest.fixture
    def parts(self, cast: Cast) -> list[Part]:
        rows = [("TW-150", "Raw water impeller", "Tidewater", "48.75"), ("TW-150", "Gasket", "Borealis", "0"),
                ("TW-9", "Anode", "Tidewater", "7")]  # fmt: skip
        return [
            Part.objects.create(number=number, description=words, maker=maker, unit_price=D(price))
            for number, words, maker, price in rows
        ]

    @pytest.fixture
    def desk(self, cast: Cast) -> Client:
        client = Client()
        client.force_login(cast.desk)
        return client

    @pytest.mark.parametrize(
        ("text", "found"), [("tw-150", 2), ("impeller", 1), ("anod", 1), ("xyzzy", 0), ("", None), ("\0", None)]
    )
    def test_it_is_found_while_somebody_types(
        self, desk: Client, job: Job, estimate: Estimate, parts: list[Part], text: str, found: int | None
    ) -> None:
        address = reverse("estimates:line_add", args=[job.number])
        page = desk.get(address, {"q": text}, headers={"HX-Request": "true", "HX-Target": "parts-found"})
        assert page.status_code == 200
        told = page.content.decode()
        assert told.count('name="step"') == (found or 0)
        assert ("No part found." in told) is (found == 0)

    def test_without_scripts_it_is_found_chosen_and_kept_with_what_was_typed(
        self, desk: Client, job: Job, estimate: Estimate, parts: list[Part]
    ) -> None:
        address = reverse("estimates:line_add", args=[job.number])
        typed = {"kind": "labor", "quantity": "3", "unit_price": "120", "q": "impeller"}
        found = desk.post(address, {**typed, "step": "find"})
        assert (found.status_code, estimate.lines.count()) == (200, 0)
        form = found.context["form"]
        assert (form["quantity"].value(), form["taxable"].value()) == ("3", False)
        taken = desk.post(address, {**typed, "step": f"part:{parts[0].pk}"})
        form = taken.context["form"]
        shown = {name: form[name].value() for name in ("kind", "chosen_part", "part_number", "description")}
        assert shown == {
            "kind": "part", "chosen_part": parts[0].pk, "part_number": "TW-150",
            "description": "TW-150 Raw water impeller",
        }  # fmt: skip
        sent = {**shown, "quantity": "3", "unit_price": "48.75", "step": "save"}
        assert desk.post(address, sent).status_code == 302
        line = estimate.lines.get()
        assert (line.part, line.quantity, line.unit_price) == (parts[0], 3, D("48.75")), "two makers have this number"

    def test_a_number_of_two_makers_that_nobody_chose_from_is_refused(
        self, desk: Client, job: Job, estimate: Estimate, parts: list[Part]
    ) -> None:
        address = reverse("estimates:line_add", args=[job.number])
        for chosen in ("", str(parts[2].pk), "99999999999999999999", "-1"):
            sent = {"kind": "part", "part_number": "TW-150", "quantity": "1", "chosen_part": chosen, "step": "save"}
            page = desk.post(address, sent)
            assert (page.status_code, "More than one part" in page.content.decode()) == (422, True), chosen

    def test_on_a_line_that_is_there(self, desk: Client, job: Job, estimate: Estimate, parts: list[Part]) -> None:
        told: dict[str, Any] = {"kind": "part", "description": "Impeller", "unit_price": D(40)}
        made = add_estimate_line(by=estimate.started_by, estimate=estimate, told=told)
        address = reverse("estimates:line", args=[job.number, made.pk])
        typed = {"kind": "part", "description": "Impeller", "quantity": "2", "seen_version": str(made.version)}
        page = desk.post(address, {**typed, "step": f"part:{parts[2].pk}"})
        form = page.context["form"]
        assert (form["part_number"].value(), form["quantity"].value(), form["unit_price"].value()) == (
            "TW-9",
            "2",
            "7.00",
        )
        made.refresh_from_db()
        assert made.part is None, "it is only shown"
        sent = {**typed, "chosen_part": parts[2].pk, "part_number": "TW-9", "description": "Anode", "step": "save"}
        assert desk.post(address, sent).status_code == 302
        made.refresh_from_db()
        assert (made.part, made.description) == (parts[2], "Anode")


def asks(cast: Cast, estimate: Estimate, deposit: str, **terms: Any) -> None:
    estimate.refresh_from_db()
    change_estimate_terms(
        by=cast.desk, estimate=estimate, seen_version=estimate.version, changes={"deposit": D(deposit), **terms}
    )


def test_no_more_is_asked_as_a_deposit_than_the_work_can_come_to(cast: Cast, estimate: Estimate) -> None:
    """$90 of work and $60 of an option: up to $150; 10 % contingency is no part of the total, and none of a deposit."""
    line(cast, estimate, unit_price=D(90))
    option = add_estimate_option(by=cast.desk, estimate=estimate, name="Wax")
    line(cast, estimate, unit_price=D(60), option=option)
    asks(cast, estimate, "150.01", contingency_percent=D(10))
    told = r"A deposit of \$150\.01 is asked; with the dearest choice of options the estimate comes to \$150\.00\."
    with pytest.raises(Refused, match=told):
        give(cast, estimate)
    asks(cast, estimate, "150.00")
    assert give(cast, estimate).deposit == D("150.00")


def test_of_options_that_exclude_each_other_a_deposit_counts_the_dearest(cast: Cast, estimate: Estimate) -> None:
    """$100 of work, one of $900 and $1,450, and $60 beside them: $1,610, and not all four."""
    line(cast, estimate, unit_price=D(100))
    for name, cost, group in [("Rebuild", 900, "Pump"), ("Exchange", 1450, "Pump"), ("Wax", 60, "")]:
        option = add_estimate_option(by=cast.desk, estimate=estimate, name=name, alternatives=group)
        line(cast, estimate, unit_price=D(cost), option=option)
    asks(cast, estimate, "1610.01")
    with pytest.raises(Refused, match=r"with the dearest choice of options the estimate comes to \$1,610\.00\."):
        give(cast, estimate)
    asks(cast, estimate, "1610.00")
    assert give(cast, estimate).deposit == D("1610.00")


def test_a_fee_with_a_cap_counts_once_in_the_dearest_choice(cast: Cast, estimate: Estimate) -> None:
    """$300 of labor with 10 % supplies of $50 at most, and two options of $200 of labor: $750, as the cap holds."""
    line(cast, estimate, kind="labor", quantity=D(3), unit_price=D(100))
    line(cast, estimate, percent=D(10), percent_of="both", cap=D(50))
    for name in ("Pump", "Seals"):
        option = add_estimate_option(by=cast.desk, estimate=estimate, name=name)
        line(cast, estimate, kind="labor", quantity=D(2), unit_price=D(100), option=option)
    asks(cast, estimate, "999999")
    with pytest.raises(Refused, match=r"the estimate comes to \$750\.00\."):
        give(cast, estimate)


def test_a_deposit_above_all_is_told_beside_the_terms(cast: Cast, job: Job, estimate: Estimate) -> None:
    """Told as soon as it is saved, though not of an estimate whose lines are still to come or to be priced."""
    client = signed_in(cast.desk)

    def page() -> str:
        return client.get(reverse("estimates:job", args=[job.number])).content.decode()

    said = "A deposit of $99,999.00 is asked; the estimate comes to $90.00. Change the deposit under “Terms”."
    asks(cast, estimate, "99999")
    assert "A deposit of" not in page()
    made = line(cast, estimate, unit_price=D(90))
    assert (said in page(), "Give version 1" in page()) == (True, False)
    unpriced = line(cast, estimate, kind="sublet")
    assert "A deposit of" not in page()
    remove_estimate_line(by=cast.desk, estimate=estimate, key=unpriced.key)
    asks(cast, estimate, "90")
    assert ("A deposit of" in page(), "Give version 1" in page()) == (False, True)
    assert price(estimate, made) == "90.00"


def test_a_deposit_above_all_is_asked_about_when_it_is_saved(cast: Cast, job: Job, estimate: Estimate) -> None:
    """More lines may be to come, so it can be kept; a smaller one is saved without a word."""
    line(cast, estimate, unit_price=D(90))
    estimate.refresh_from_db()
    client, at = signed_in(cast.desk), reverse("estimates:terms", args=[job.number])
    sent = fields_of(client.get(at).content) | {"deposit": "99999"}
    page = client.post(at, sent)
    said = "A deposit of $99,999.00 is asked; the estimate comes to $90.00. The estimate can’t be given so."
    assert (page.status_code, said in page.content.decode()) == (422, True)
    estimate.refresh_from_db()
    assert estimate.deposit is None
    tick = lxml.html.fromstring(page.content.decode()).xpath("//input[@name='asked']/@value")
    assert client.post(at, fields_of(page.content) | {"asked": tick[0]}).status_code == 302
    estimate.refresh_from_db()
    assert estimate.deposit == D(99999)
    assert client.post(at, fields_of(client.get(at).content) | {"words": "As we talked"}).status_code == 302
    page = client.post(at, fields_of(client.get(at).content) | {"discount_percent": "10"})
    said = "A deposit of $99,999.00 is asked; the estimate comes to $81.00. The estimate can’t be given so."
    assert (page.status_code, said in page.content.decode()) == (422, True)
    page = client.post(at, fields_of(client.get(at).content) | {"deposit": "90"})
    assert page.status_code == 302
