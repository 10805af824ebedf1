"""Which taxes a job has: those of today while it is open, those of its closing day afterwards."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.models import Command
from commands.refusals import Refused
from shopfloor.today.jobs import ready_money
from staff.policy import Role
from tests.cast import Cast
from vessels.models import Customer
from workorders.actions import add_charge, move_job
from workorders.models import Job
from workorders.queries import job_sum
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import (
    add_certificate,
    add_tax,
    add_tax_rate,
    end_certificate,
    end_tax,
    remove_tax_rate,
)
from workorders.taxes.models import JobTaxes, SalesTax, TaxExemption, TaxRate
from workorders.taxes.queries import read_rules, taxes_of, taxes_on, written_rules

D = Decimal
LABOR, PART, SUBLET, FEE = ChargeKind.LABOR, ChargeKind.PART, ChargeKind.SUBLET, ChargeKind.FEE
pytestmark = pytest.mark.django_db


def today(days: int = 0) -> date:
    return timezone.localdate() + timedelta(days=days)


@pytest.fixture
def state(cast: Cast) -> SalesTax:
    return add_tax(by=cast.owner, name="State sales tax", percent=D(6), kinds=[PART, FEE], starts_on=today(-400))


@pytest.fixture
def county(cast: Cast, state: SalesTax) -> SalesTax:
    return add_tax(by=cast.manager, name="County surtax", percent=D("0.5"), kinds=[PART], starts_on=today(-400))


def charged(cast: Cast, job: Job, *prices: tuple[ChargeKind, str], **more: Any) -> None:
    for kind, price in prices:
        add_charge(by=cast.desk, job=job, kind=kind, description=str(kind), unit_price=D(price), **more)


def told(job: Job) -> list[tuple[str, str, str]]:
    found = job_sum(job, currency="USD")
    return [
        (one.words + (f": exempt, {one.certificate}" if one.certificate else ""), str(one.base), str(one.due))
        for one in found.taxes
    ]


def close(cast: Cast, job: Job, **more: Any) -> Job:
    job.refresh_from_db()
    if job.state == "estimate":
        for state in ("authorized", "in-work", "ready"):
            job.refresh_from_db()
            move_job(by=cast.manager, job=job, to=state, reason="All of it", seen_version=job.version)
    job.refresh_from_db()
    return move_job(by=cast.manager, job=job, to="closed", seen_version=job.version, **more)


def test_each_tax_is_told_by_its_name_on_what_it_is_due_on(cast: Cast, job: Job, county: SalesTax) -> None:
    charged(cast, job, (LABOR, "300"), (PART, "100"), (SUBLET, "80"), (FEE, "50"))
    charged(cast, job, (PART, "1000"), taxable=False)
    assert told(job) == [("State sales tax, 6 %", "150.00", "9.00"), ("County surtax, 0.5 %", "100.00", "0.50")]
    assert job_sum(job, currency="USD").totals.total == D("1539.50")
    html = page(cast.desk, reverse("workorders:lines", args=[job.number]))
    assert "State sales tax, 6 % of $150.00" in html
    assert "$1,539.50" in html


def test_a_shop_without_taxes_adds_none_up(cast: Cast, job: Job) -> None:
    charged(cast, job, (PART, "100"))
    assert told(job) == []
    assert "Tax" not in page(cast.desk, reverse("workorders:lines", args=[job.number])).split("</thead>")[1]


def test_an_open_job_has_the_taxes_of_today_and_a_closed_one_those_of_its_last_day(
    cast: Cast, job: Job, state: SalesTax
) -> None:
    charged(cast, job, (PART, "100"))
    close(cast, job)
    add_tax_rate(by=cast.owner, tax=state, percent=D(7), kinds=[PART, LABOR], starts_on=today())
    assert told(job) == [("State sales tax, 6 %", "100.00", "6.00")]
    job.refresh_from_db()
    move_job(by=cast.manager, job=job, to="in-work", reason="It drips", seen_version=job.version)
    job.refresh_from_db()
    assert told(job) == [("State sales tax, 7 %", "100.00", "7.00")]
    assert not JobTaxes.objects.exists()
    move_job(by=cast.manager, job=job, to="ready", reason="Dry", seen_version=job.version)
    close(cast, job, reason="Dry")
    end_tax(by=cast.owner, tax=state, last_day=today())
    TaxRate.objects.all().delete()
    assert told(job) == [("State sales tax, 7 %", "100.00", "7.00")]


def test_a_job_of_before_keeps_its_one_percentage(cast: Cast, job: Job, county: SalesTax) -> None:
    Job.objects.filter(pk=job.pk).update(tax_percent=D("5.5"), tax_on_labor=False)
    job.refresh_from_db()
    charged(cast, job, (LABOR, "300"), (PART, "100"))
    assert told(job) == [("Tax, 5.5 %", "100.00", "5.50")]
    close(cast, job)
    assert told(job) == [("Tax, 5.5 %", "100.00", "5.50")]
    Job.objects.filter(pk=job.pk).update(tax_percent=D(0))
    job.refresh_from_db()
    assert told(job) == []


@pytest.mark.parametrize(
    ("day", "expected"),
    [(-401, []), (-400, ["6"]), (0, ["6"]), (9, ["6"]), (10, ["6.25"]), (30, ["6.25"]), (31, []), (3000, [])],
)
def test_a_rate_holds_from_its_first_day_to_its_last(
    cast: Cast, state: SalesTax, day: int, expected: list[str]
) -> None:
    add_tax_rate(by=cast.owner, tax=state, percent=D("6.25"), kinds=[PART], starts_on=today(10))
    end_tax(by=cast.owner, tax=state, last_day=today(30))
    rules = taxes_on(today(day), [cast.customer.pk])[cast.customer.pk]
    assert [f"{one.percent.normalize():f}" for one in rules.taxes] == expected


def test_a_rate_that_was_in_use_is_never_changed(cast: Cast, state: SalesTax) -> None:
    with pytest.raises(Refused, match="A new rate begins today, or later"):
        add_tax_rate(by=cast.owner, tax=state, percent=D(7), kinds=[PART], starts_on=today(-1))
    with pytest.raises(Refused, match="was in use before today"):
        remove_tax_rate(by=cast.owner, tax=state, starts_on=today(-400))
    with pytest.raises(Refused, match="Its last day is today, or later"):
        end_tax(by=cast.owner, tax=state, last_day=today(-1))
    add_tax_rate(by=cast.owner, tax=state, percent=D(7), kinds=[PART], starts_on=today(5))
    with pytest.raises(Refused, match=r"begins on .* already"):
        add_tax_rate(by=cast.owner, tax=state, percent=D(8), kinds=[PART], starts_on=today(5))
    with pytest.raises(Refused, match="Remove it first"):
        end_tax(by=cast.owner, tax=state, last_day=today(2))
    assert [(one.percent, one.ends_on) for one in state.rates.all()] == [(D(6), today(4)), (D(7), None)]
    remove_tax_rate(by=cast.owner, tax=state, starts_on=today(5))
    assert [(one.percent, one.ends_on) for one in state.rates.all()] == [(D(6), None)]
    told_of_it = Command.objects.filter(kind="remove_tax_rate").get().told
    assert told_of_it == {"rate": [f"7 % on parts from {today(5).isoformat()}", None]}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"name": "state sales TAX"}, "name"),
        ({"name": " "}, "name"),
        ({"percent": D(101)}, "percent"),
        ({"percent": D("-1")}, "percent"),
        ({"percent": D("6.0625")}, "percent"),
        ({"kinds": []}, "kinds"),
        ({"starts_on": date(1026, 1, 1)}, "starts_on"),
        ({"starts_on": date(2226, 1, 1)}, "starts_on"),
    ],
)
def test_what_cannot_be_a_tax_is_refused(cast: Cast, state: SalesTax, said: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        add_tax(**{"by": cast.owner, "name": "Another", "percent": D(1), "kinds": [PART], **said})
    assert list(refusal.value.fields) == [field]
    assert SalesTax.objects.count() == 1


def test_who_is_exempt_from_one_tax_still_owes_the_other(
    cast: Cast, job: Job, county: SalesTax, state: SalesTax
) -> None:
    charged(cast, job, (PART, "100"))
    add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-118", tax=state, last_day=today())
    assert told(job) == [
        ("State sales tax, 6 %: exempt, CF-118", "100.00", "0.00"),
        ("County surtax, 0.5 %", "100.00", "0.50"),
    ]
    everything = add_certificate(by=cast.desk, customer=cast.customer, certificate="GOV-7")
    assert [one.split(": ")[-1] for one, _, _ in told(job)] == ["exempt, GOV-7"] * 2
    html = page(cast.desk, reverse("workorders:lines", args=[job.number]))
    assert "State sales tax, 6 % of $100.00: exempt, certificate GOV-7" in html
    end_certificate(by=cast.desk, exemption=everything)
    assert job_sum(job, currency="USD").totals.tax == D("0.50")


def test_a_certificate_that_has_run_out_is_told_and_the_tax_is_charged(cast: Cast, job: Job, state: SalesTax) -> None:
    charged(cast, job, (PART, "100"))
    made = add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-118", last_day=today())
    TaxExemption.objects.filter(pk=made.pk).update(last_day=date(2026, 5, 1))
    (sentence,) = taxes_of(job).run_out
    assert sentence == (
        "The certificate CF-118 of Wes Harrow was valid until May 1, 2026. It exempts from State sales tax no more."
    )
    assert told(job) == [("State sales tax, 6 %", "100.00", "6.00")]
    assert sentence in page(cast.desk, reverse("workorders:lines", args=[job.number]))
    html = page(cast.desk, reverse("vessels:customer", args=[cast.customer.pk]))
    assert "was valid until May 1, 2026. Ask for a new one" in html
    add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-119", tax=state)
    assert taxes_of(job).run_out == ()


def test_a_job_that_was_closed_with_a_certificate_stays_exempt(cast: Cast, job: Job, state: SalesTax) -> None:
    charged(cast, job, (PART, "100"))
    made = add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-118")
    close(cast, job)
    end_certificate(by=cast.desk, exemption=made)
    assert told(job) == [("State sales tax, 6 %: exempt, CF-118", "100.00", "0.00")]


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"certificate": ""}, "certificate"),
        ({"certificate": "x" * 61}, "certificate"),
        ({"certificate": "CF-118"}, "certificate"),
        ({"last_day": date(2020, 1, 1)}, "last_day"),
        ({"last_day": date(9999, 1, 1)}, "last_day"),
    ],
)
def test_what_is_no_certificate_is_refused(cast: Cast, state: SalesTax, said: dict[str, Any], field: str) -> None:
    add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-118")
    with pytest.raises(Refused) as refusal:
        add_certificate(**{"by": cast.desk, "customer": cast.customer, "certificate": "CF-9", **said})
    assert list(refusal.value.fields) == [field]


def test_who_sets_taxes(cast: Cast, state: SalesTax) -> None:
    for role in (Role.FRONT_DESK, Role.TECHNICIAN):
        with pytest.raises(Refused, match="set the shop’s taxes"):
            add_tax(by=cast.person(role), name="Mine", percent=D(1), kinds=[PART])
    with pytest.raises(Refused, match="priced lines"):
        add_certificate(by=cast.tech, customer=cast.customer, certificate="CF-118")


def test_the_journal_tells_the_jobs_sum_with_its_taxes(cast: Cast, job: Job, county: SalesTax) -> None:
    charged(cast, job, (PART, "100"))
    assert Command.objects.get(kind="add_charge").told == {"job_total": ["0.00", "106.50"]}


def test_several_jobs_take_the_same_few_queries(
    cast: Cast, county: SalesTax, django_assert_max_num_queries: Any
) -> None:
    from tests.workorders.counter import many_jobs

    jobs = many_jobs(cast, 8, state="ready")
    for job in jobs:
        job.charges.create(kind="part", description="Anode", unit_price=D(10), added_by=cast.desk)
    add_certificate(by=cast.desk, customer=Customer.objects.get(name="Ann Reed"), certificate="CF-1")
    with django_assert_max_num_queries(5):  # jobs, charges, the zone, rates, certificates
        money = ready_money("USD")
    assert (money.jobs, money.words) == (8, "$80.00")


def test_rules_are_read_as_they_were_written(cast: Cast, county: SalesTax, state: SalesTax) -> None:
    add_certificate(by=cast.desk, customer=cast.customer, certificate="CF-118", tax=state)
    rules = taxes_on(today(), [cast.customer.pk])[cast.customer.pk]
    assert read_rules(written_rules(rules)) == rules


def test_no_choice_says_taxed_where_no_tax_would_be_charged_by_it(cast: Cast, job: Job, state: SalesTax) -> None:
    add = reverse("workorders:charge_add", args=[job.number])
    html = page(cast.desk, add)
    assert "By the shop’s taxes" in html
    assert ">Taxed<" not in html
    client = Client()
    client.force_login(cast.desk)
    labor = {"step": "add", "kind": "labor", "quantity": "1", "taxable": "yes"}
    assert client.post(add, labor).status_code == 422
    Job.objects.filter(pk=job.pk).update(tax_percent=D(6), tax_on_labor=False)
    assert ">Taxed<" in page(cast.desk, add)
    assert client.post(add, labor).status_code == 302
    job.refresh_from_db()
    assert told(job) == [("Tax, 6 %", "120.00", "7.20")]


def page(person: Any, address: str) -> str:
    client = Client()
    client.force_login(person)
    return client.get(address).content.decode()


def test_the_pages(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.manager)
    listed = reverse("taxes:list")
    assert "No tax yet" in page(cast.manager, listed)
    refused = client.post(listed, {"name": "State sales tax", "percent": "6,25"})
    assert (refused.status_code, "Choose at least one kind" in refused.content.decode()) == (422, True)
    assert (
        client.post(listed, {"name": "State sales tax", "percent": "6,25", "kinds": ["part", "fee"]}).status_code == 302
    )
    tax = SalesTax.objects.get()
    assert tax.rates.get().starts_on == today()
    html = page(cast.manager, listed)
    assert "6.25 %" in html
    assert "on parts and fees" in html
    later = {"percent": "7", "kinds": ["part"], "starts_on": today(3).isoformat()}
    assert client.post(reverse("taxes:rate", args=[tax.pk]), later).status_code == 302
    assert client.post(reverse("taxes:end", args=[tax.pk]), {"last_day": today(1).isoformat()}).status_code == 422
    rate = tax.rates.get(percent=7)
    taken = {"starts_on": rate.starts_on.isoformat()}
    assert client.post(reverse("taxes:rate_remove", args=[tax.pk]), {"starts_on": "soon"}).status_code == 302
    assert client.post(reverse("taxes:rate_remove", args=[tax.pk]), taken).status_code == 302
    assert client.post(reverse("taxes:end", args=[tax.pk]), {"last_day": today(1).isoformat()}).status_code == 302
    assert tax.rates.get().ends_on == today(1)
    of_customer = reverse("taxes:certificates", args=[cast.customer.pk])
    assert "No certificate" in page(cast.tech, of_customer)
    assert client.post(of_customer, {"certificate": "CF-118", "tax": tax.pk}).status_code == 302
    assert "exempt from State sales tax" in page(cast.tech, of_customer)
    made = TaxExemption.objects.get()
    assert client.post(reverse("taxes:certificate_end", args=[made.pk])).status_code == 302
    assert "no longer counts since" in page(cast.tech, of_customer)
