"""A service plan names a kit, whose lines are offered for the estimate of a job that has the service."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse
from django.utils import timezone

from billing.estimates.actions import add_kit, add_kit_line, start_estimate
from billing.estimates.models import EstimateLine, Kit
from commands.models import Command
from staff.queries import shop_profile
from tests.cast import Cast, make_cast
from tests.workorders.counter import signed_in
from workorders.actions import open_job
from workorders.models import Job, JobLine
from workorders.upkeep.actions import add_plan, adopt_plans, change_plan
from workorders.upkeep.models import Adoption, PlanVersion, ServicePlan

OFFERED = "Kits of these services"


def text_of(page: Any) -> str:
    return " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())


@pytest.fixture
def cast(db: None) -> Cast:
    shop_profile()
    return make_cast()


@pytest.fixture
def kit(cast: Cast) -> Kit:
    made = add_kit(by=cast.manager, name="Oil service")
    for words in ("Change oil and filter", "Oil"):
        add_kit_line(
            by=cast.manager,
            kit=made,
            told={"kind": "labor", "description": words, "quantity": Decimal(1)},
        )
    return made


@pytest.fixture
def due(cast: Cast, kit: Kit) -> Adoption:
    plan = add_plan(by=cast.tech, family=cast.family, name="Oil", every_months=12, kit_id=kit.pk)
    day = timezone.localdate() - timedelta(days=500)
    (made,) = adopt_plans(by=cast.desk, engine=cast.port, plans=[plan], basis="done", last_on=day, source="told")
    return made


@pytest.fixture
def job(cast: Cast, due: Adoption) -> Job:
    """Opened from what is due."""
    made = open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Alarm", cast.port)])
    signed_in(cast.desk).post(reverse("upkeep:add_to_job", args=[made.number, due.pk]), {"entry_id": str(uuid.uuid4())})
    return made


def test_a_job_with_the_service_offers_the_kits_lines_once(cast: Cast, job: Job, kit: Kit) -> None:
    desk, at = signed_in(cast.desk), reverse("workorders:lines", args=[job.number])
    page = desk.get(at)
    assert f"{OFFERED} Oil service2 lines" in text_of(page)
    assert "Start an estimate" in text_of(page)
    assert "Put on the estimate" not in text_of(page), "there is none"
    start_estimate(by=cast.desk, job=job)
    tree = lxml.html.fromstring(desk.get(at).content.decode())
    (form,) = tree.xpath("//section[@aria-labelledby='service-kits-title']//form")
    sent = {field.get("name"): field.get("value") for field in form.xpath(".//input")}
    for _ in range(2):
        desk.post(form.get("action"), sent)
    line = JobLine.objects.get(planned__isnull=False)
    told = EstimateLine.objects.order_by("position").values_list("description", "job_line")
    assert list(told) == [("Change oil and filter", line.pk), ("Oil", line.pk)]
    assert OFFERED not in text_of(desk.get(at)), "its lines are on the estimate"


def test_a_concern_on_the_estimate_hides_no_kit(cast: Cast, job: Job) -> None:
    desk = signed_in(cast.desk)
    start_estimate(by=cast.desk, job=job)
    desk.post(reverse("estimates:fill", args=[job.number]), {"source": "concerns", "entry_id": str(uuid.uuid4())})
    assert EstimateLine.objects.filter(job_line__planned__isnull=False).exists()
    assert OFFERED in text_of(desk.get(reverse("workorders:lines", args=[job.number])))


@pytest.mark.parametrize("case", ["not sold", "no lines", "no kit", "closed", "no prices"])
def test_what_cannot_be_put_on_an_estimate_is_not_offered(cast: Cast, job: Job, kit: Kit, case: str) -> None:
    who = cast.desk
    if case == "not sold":
        Kit.objects.update(is_sold=False)
    elif case == "no lines":
        kit.lines.all().delete()
    elif case == "no kit":
        ServicePlan.objects.update(kit=None)
    elif case == "closed":
        Job.objects.update(state="canceled", closed_at=timezone.now())
    else:
        who = cast.tech
    page = signed_in(who).get(reverse("workorders:lines", args=[job.number]))
    assert page.status_code == 200
    assert OFFERED not in text_of(page)


def test_a_plan_names_its_kit_by_the_form_and_no_version_keeps_it(cast: Cast, kit: Kit) -> None:
    tech = signed_in(cast.tech)
    said = {"family": cast.family.pk, "name": "Oil", "every_months": "12", "entry_id": str(uuid.uuid4())}
    assert tech.post(reverse("upkeep:plan_add"), {**said, "kit": "999"}).status_code == 422
    assert tech.post(reverse("upkeep:plan_add"), {**said, "kit": kit.pk}).status_code == 302
    plan = ServicePlan.objects.get()
    assert plan.kit == kit
    assert "Kit: Oil service" in text_of(tech.get(reverse("upkeep:plans")))
    change_plan(by=cast.tech, plan=plan, seen_version=plan.version, changes={"kit": None})
    assert ServicePlan.objects.get().kit is None
    assert PlanVersion.objects.count() == 1
    assert Command.objects.filter(kind="change_plan").get().told == {"kit": [f"estimates.kit:{kit.pk}", None]}
    change_plan(by=cast.tech, plan=plan, seen_version=plan.version, changes={"every_months": 6})
    assert PlanVersion.objects.count() == 2


def test_a_kit_that_is_sold_no_more_stays_with_its_plan(cast: Cast, due: Adoption, kit: Kit) -> None:
    Kit.objects.update(is_sold=False)
    tech, at = signed_in(cast.tech), reverse("upkeep:plan", args=[due.plan_id])
    assert "Oil service" in text_of(tech.get(at))
    assert "Oil service" not in text_of(tech.get(reverse("upkeep:plan_add")))


def test_without_a_kit_in_the_shop_nobody_is_asked_for_one(cast: Cast) -> None:
    assert 'name="kit"' not in signed_in(cast.tech).get(reverse("upkeep:plan_add")).content.decode()
