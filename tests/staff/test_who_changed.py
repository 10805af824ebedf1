"""Each record's page leads to what the journal has of it: for who may see that, and at no question to the database."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest
from django.db import models
from django.urls import reverse

from commands.models import Command
from findings.instruments.actions import add_instrument
from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.models import Parameter
from parts.actions import add_part
from staff.queries import shop_profile
from tests.cast import Cast, make_cast
from tests.shopfloor.scene import Scene
from vessels.actions import add_customer
from workorders.actions import add_charge, add_line, change_line, open_job, strike_charge
from workorders.models import Job


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


def parameter(cast: Cast) -> Parameter:
    oil = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})[0]
    log_reading(by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=oil, value=Decimal(40), unit="psi")
    return oil


def card(cast: Cast) -> models.Model:
    limit = NewLimit(parameter(cast), "psi", low=Decimal(40))
    return add_card(by=cast.tech, family=cast.family, title="Cold", document="Manual, p. 3", limits=[limit])


def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Alarm"])


Page = tuple[Callable[[Cast], models.Model], Callable[[Cast, Any], str]]
PAGES: dict[str, Page] = {
    "job": (job, lambda cast, one: reverse("workorders:job", args=[one.number])),
    "customer": (lambda cast: cast.customer, lambda cast, one: reverse("vessels:customer", args=[one.pk])),
    "vessel": (lambda cast: cast.vessel, lambda cast, one: reverse("vessels:vessel", args=[one.pk])),
    "engine": (lambda cast: cast.port, lambda cast, one: reverse("vessels:engines", args=[cast.vessel.pk])),
    "unit": (lambda cast: cast.port_unit, lambda cast, one: reverse("vessels:unit", args=[one.pk])),
    "part": (
        lambda cast: add_part(by=cast.manager, number="T-1", maker="Tidewright", description="Anode",
                              unit_price=Decimal(9)),
        lambda cast, one: reverse("parts:part", args=[one.pk]),
    ),
    "card": (card, lambda cast, one: reverse("findings:cards")),
    "parameter": (
        parameter, lambda cast, one: reverse("findings:parameter_history", args=[cast.vessel.pk, one.pk])
    ),
    "instrument": (
        lambda cast: add_instrument(by=cast.manager, kind="Gauge", make="Tidewright", serial="G-7"),
        lambda cast, one: reverse("findings:instrument", args=[one.pk]),
    ),
    "shop": (lambda cast: shop_profile(), lambda cast, one: reverse("staff:shop")),
    "person": (lambda cast: cast.tech, lambda cast, one: reverse("staff:person", args=[one.pk])),
}  # fmt: skip


@pytest.mark.parametrize("name", PAGES)
def test_the_page_of_a_record_leads_to_its_acts(client: Any, cast: Cast, name: str) -> None:
    made, address_of = PAGES[name]
    record = made(cast)
    address, wanted = address_of(cast, record), f'?record={record._meta.label_lower}%3A{record.pk}"'
    client.force_login(cast.owner)
    assert wanted in client.get(address).content.decode()
    client.force_login(cast.manager)
    answer = client.get(address)
    assert wanted not in answer.content.decode()
    assert reverse("staff:journal") not in answer.content.decode()


@pytest.mark.django_db
def test_a_report_leads_to_its_own_acts_and_to_those_on_its_draft_its_signing_among_them(client: Any) -> None:
    scene = Scene(make_cast())
    client.force_login(scene.cast.owner)
    page = client.get(reverse("reports:issued", args=[scene.report.number])).content.decode()
    record = f"reports.issuedreport:{scene.report.pk} reports.reportdraft:{scene.report.draft_id}"
    assert f'?record={quote(record)}"' in page


def test_what_is_done_on_a_jobs_lines_and_charges_is_told_of_the_job(client: Any, cast: Cast) -> None:
    opened = job(cast)
    line = add_line(by=cast.desk, job=opened, concern="Leaks")
    change_line(by=cast.tech, line=line, seen_version=1, changes={"cause": "Hose"}, entry_id=uuid4())
    charge = add_charge(by=cast.desk, job=opened, kind="fee", description="Haul-out", unit_price=Decimal(80))
    strike_charge(by=cast.desk, charge=charge)
    add_customer(by=cast.desk, name="Ada Finch")
    client.force_login(cast.owner)
    rows = client.get(reverse("staff:journal"), {"record": f"workorders.job:{opened.pk}"}).context["rows"]
    assert sorted(row.act.kind for row in rows) == [
        "add_charge",
        "add_line",
        "change_line",
        "open_job",
        "strike_charge",
    ]
    act = Command.objects.get(kind="strike_charge")
    assert act.records[:2] == [f"vessels.vessel:{cast.vessel.pk}", f"workorders.charge:{charge.pk}"]
