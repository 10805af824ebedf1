"""What a piece of work takes on a tablet: touches always; seconds where the walk goes at a person's pace."""

from __future__ import annotations

import os
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from benchmarks.pace import PACED, TWELVE, Walked, four_codes, twelve_on_the_card, twelve_without_a_card
from findings.faults.models import Sighting
from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter, Reading
from findings.readings.parameters import seed_parameters
from tests.browser.driving import Tablets
from workorders.actions import move_job, open_job
from workorders.models import Job

if TYPE_CHECKING:
    from tests.cast import Cast

pytestmark = pytest.mark.browser

IS_PACED = bool(os.environ.get(PACED))
SECONDS = {"12 readings, with a spec card": 40, "12 readings, without a spec card": 60, "4 codes, from Today": 20}


def walk(walker: Callable[..., Walked], page: Any, *, most: int) -> None:
    walked = walker(page, is_paced=IS_PACED)
    assert walked.touches <= most, str(walked)
    if IS_PACED:
        print(walked)
        assert walked.seconds <= SECONDS[walked.name], str(walked)


@pytest.fixture
def job(cast: Cast) -> Job:
    seed_parameters()
    made = open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot", cast.port)], technician=cast.tech)
    agreed = move_job(by=cast.manager, job=made, to="authorized", reason="By phone", seen_version=made.version)
    return move_job(by=cast.tech, job=agreed, to="in-work", seen_version=agreed.version)


def test_twelve_readings_with_a_spec_card(tablets: Tablets, cast: Cast, job: Job) -> None:
    limits = [
        NewLimit(parameter=Parameter.objects.get(name=name), unit=unit, high=Decimal(value) * 2)
        for name, unit, value in TWELVE
    ]
    add_card(by=cast.tech, family=cast.family, title="Warm", document="Invented manual, page 4", limits=limits)
    page = tablets.hand_out(cast.tech)
    page.goto(reverse("findings:job", args=[job.number]))
    walk(twelve_on_the_card, page, most=24)
    assert Reading.objects.filter(verdict="in range").count() == 12


def test_twelve_readings_without_a_spec_card(tablets: Tablets, cast: Cast, job: Job) -> None:
    page = tablets.hand_out(cast.tech)
    page.goto(reverse("findings:job", args=[job.number]))
    walk(twelve_without_a_card, page, most=24)
    kept = {one.parameter.name: str(one.value.normalize().quantize(Decimal("0.1"))) for one in Reading.objects.all()}
    assert kept == {name: str(Decimal(value).quantize(Decimal("0.1"))) for name, _, value in TWELVE}


def test_four_codes_from_today(tablets: Tablets, cast: Cast, job: Job) -> None:
    page = tablets.hand_out(cast.tech)
    page.goto("/")
    walk(four_codes, page, most=33)
    assert Sighting.objects.count() == 4
