"""Signs that no paper shows are told beside what was typed, on the sheet and on a card, and nothing typed is lost."""

from __future__ import annotations

import html
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from findings.readings.actions import NewLimit, add_card
from findings.readings.card_forms import LimitForm
from findings.readings.models import Parameter, Reading, ReadingSheet, SpecCard
from tests.cast import Cast
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db
SAID = "Papers cannot show “😀”. Leave it out, or say it in words."


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot.", cast.port)])


@pytest.fixture
def card(cast: Cast) -> SpecCard:
    limits = [NewLimit(Parameter.objects.get(name="Oil pressure"), "psi", "warm 😀", Decimal(40))]
    return add_card(by=cast.tech, family=cast.family, title="Warm", document="Manual", limits=limits)


@pytest.mark.parametrize("cell", ["condition", "source", "page"])
def test_a_cell_of_a_card_says_so(cell: str) -> None:
    oil = Parameter.objects.get(name="Oil pressure")
    data = {"parameter": "oil pressure", "low": "40", "unit": "psi", cell: "4 😀"}
    form = LimitForm(data, system="us", parameters={"oil pressure": oil})
    assert form.errors == {cell: [SAID]}
    kept = LimitForm(data, initial={cell: "4 😀"}, system="us", parameters={"oil pressure": oil})
    assert kept.is_valid(), "what stood there is not asked about again"


def test_a_card_is_sent_back_with_it(cast, client, card) -> None:
    client.force_login(cast.tech)
    data = {"family": cast.family.pk, "title": "Warm 😀", "document": "M", "limits-TOTAL_FORMS": "1",
            "limits-INITIAL_FORMS": "0", "limits-0-parameter": "Oil pressure", "limits-0-low": "4",
            "limits-0-unit": "psi", "limits-0-source": "Ed. 😀"}  # fmt: skip
    answer = client.post(reverse("findings:card_add"), data)
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 422
    assert page.count(SAID) >= 2
    assert 'value="Ed. 😀"' in page
    assert SpecCard.objects.count() == 1


def address(cast: Cast, job: Job, more: str = "") -> str:
    return f"{reverse('findings:job_readings', args=[job.number])}?engine={cast.port.pk}{more}"


@pytest.mark.parametrize(
    ("field", "value"),
    [("text", "Rough 😀"), ("instrument", "Gauge 😀"),
     ("other-condition", "idle 😀"), ("other-parameter_name", "Boost 😀")],
)  # fmt: skip
def test_a_text_of_the_sheet_is_told_beside_its_field(cast, client, card, job, field, value) -> None:
    client.force_login(cast.tech)
    limit = card.limits.get()
    sent: dict[str, Any] = {f"limit-{limit.pk}-value": "50", f"limit-{limit.pk}-unit": "psi", "phase": "arrival",
                            field: value}  # fmt: skip
    if field.startswith("other"):
        sent |= {"other-parameter_name": "Boost", "other-value": "4", "other-unit": "psi"} | {field: value}
    answer = client.post(address(cast, job), sent)
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 422
    assert SAID in page
    assert value in page
    assert not Reading.objects.exists()


def test_a_condition_is_told_where_it_is_typed_and_where_it_comes_by_address(cast, client, card, job) -> None:
    client.force_login(cast.tech)
    limit = card.limits.get()
    typed = {f"limit-{limit.pk}-value": "50", f"limit-{limit.pk}-unit": "psi", "phase": "arrival"}
    page = client.post(address(cast, job), typed | {"add-condition": "yes", "new-condition": "hot 😀"})
    body = html.unescape(page.content.decode())
    assert SAID in body
    assert 'value="hot 😀"' in body
    assert 'value="50"' in body
    oil = limit.parameter
    at = address(cast, job, f"&under=hot+😀&line={oil.pk}")
    cell = next(one for one in client.get(at).context["sheet"].cells if one.line.key == f"line-{oil.pk}")
    answer = client.post(at, {f"{cell.prefix}-value": "50", "phase": "arrival"})
    assert answer.status_code == 422
    assert SAID in html.unescape(answer.content.decode())
    assert not Reading.objects.exists()


def test_the_name_of_a_saved_sheet_and_its_conditions_are_told(cast, client, card, job) -> None:
    client.force_login(cast.tech)
    page = client.post(address(cast, job), {"save-sheet": "yes", "sheet-name": "Trial 😀"})
    assert SAID in html.unescape(page.content.decode())
    assert "Trial 😀" in page.content.decode()
    assert not ReadingSheet.objects.exists()
    client.post(address(cast, job), {"save-sheet": "yes", "sheet-name": "Trial"})
    at = reverse("findings:sheet", args=[ReadingSheet.objects.get().pk])
    told = {"seen_number": "1", "name": "Trial", "rows": "Oil pressure, psi", "conditions": "Idle 😀"}
    answer = client.post(at, told)
    assert answer.status_code == 422
    assert SAID in html.unescape(answer.content.decode())
