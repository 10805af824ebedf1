"""A reading is corrected by its value, once; the old one stays visible and is marked wherever it shows."""

from __future__ import annotations

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from tests.findings.story import COOLANT, OIL, at, scan, seen
from vessels.actions import retract


@pytest.fixture
def wrong(cast, job):
    """A point was lost: 445 psi of oil pressure."""
    return put(cast, job, "445", text="")


def put(cast, job, value, *, day=1, **more):
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=Parameter.objects.get(name="Oil pressure"),
        value=Decimal(value), unit="psi", condition="warm", phase="arrival", instrument="Gauge 3", job=job,
        engine_hours=Decimal(100 + day), happened_at=at(day), **more,
    )  # fmt: skip


def sent(tech, wrong, **more):
    url = reverse("findings:correct_reading", args=[wrong.pk])
    form = tech.get(url).context["form"]
    answers = {name: form[name].value() for name in form.fields} | {"entry_id": str(uuid.uuid4())}
    answers = {name: "" if value is None else value for name, value in answers.items()}
    return url, answers | more


def test_the_form_holds_what_stands_there_and_replaces_it_at_the_same_moment(tech, cast, job, wrong):
    url, answers = sent(tech, wrong, value="44.5", text="A point was lost.")
    assert (answers["hours"], answers["condition"], answers["instrument"]) == ("101", "warm", "Gauge 3")
    assert [tech.post(url, answers).status_code for _ in range(2)] == [302, 302]
    right = Reading.objects.exclude(pk=wrong.pk).get()
    assert (right.value, right.unit, right.condition, right.phase) == (Decimal("44.5"), "psi", "warm", "arrival")
    assert (right.entry.amends_id, right.entry.happened_at) == (wrong.pk, wrong.entry.happened_at)
    assert (right.entry.engine_hours, right.entry.job, right.entry.engine) == (Decimal(101), job, cast.port)


def test_it_is_corrected_once(tech, wrong):
    url, answers = sent(tech, wrong, value="44.5")
    assert tech.post(url, answers).status_code == 302
    again = tech.post(url, answers | {"value": "44.6", "entry_id": str(uuid.uuid4())})
    assert again.status_code == 422
    assert "already voided or corrected" in again.content.decode()
    page = tech.get(url).content.decode()
    assert "This reading was corrected" in page
    assert "Log the correction" not in page
    assert Reading.objects.count() == 2


def test_what_is_no_value_is_said_by_its_field(tech, wrong):
    for change, field in [({"value": "x"}, "value"), ({"value": ""}, "value"), ({"hours": "9"}, "hours")]:
        if field == "hours":
            scan_before(wrong)
        url, answers = sent(tech, wrong, **change)
        answer = tech.post(url, answers)
        assert answer.status_code == 422
        assert answer.context["form"].errors[field]
    assert Reading.objects.count() == 1


def scan_before(wrong):
    from tests.findings.story import log_scan

    log_scan(
        by=wrong.entry.author, unit=wrong.entry.engine.units.get(), phase="arrival", is_complete=True, codes=[],
        engine_hours=Decimal(100), happened_at=at(0),
    )  # fmt: skip


def test_the_old_value_is_marked_wherever_it_shows(tech, cast, job, wrong):
    right = put(cast, job, "44.5", amends=wrong.entry)
    gone = put(cast, job, "12", day=2)
    taken = retract(by=cast.tech, entry=gone.entry, reason="Wrong gauge.")
    see_right, see_taken = (reverse("vessels:entry", args=[pk]) for pk in (right.pk, taken.pk))
    history = reverse("findings:parameter_history", args=[cast.vessel.pk, wrong.parameter_id])
    for url in (reverse("findings:job", args=[job.number]), f"{history}?engine={cast.port.pk}&condition=warm"):
        page = tech.get(url).content.decode()
        for old in ("445 psi", "12 psi"):
            assert f"<s>{old}</s>" in page, url
        assert page.count(">corrected</span>") == 1
        assert page.count(">voided</span>") == 1
        assert see_right in page
        assert see_taken in page
        assert ">a correction</span>" in page
        assert reverse("findings:correct_reading", args=[right.pk]) in page
        assert reverse("findings:correct_reading", args=[wrong.pk]) not in page
    assert "2 readings here were corrected or voided and are left out of the trend." in page
    latest = tech.get(reverse("findings:vessel_readings", args=[cast.vessel.pk])).content.decode()
    assert "44.5 psi" in latest
    assert ">a correction</span>" in latest
    assert "445 psi" not in latest


def test_who_may_not_amend_is_offered_nothing(client, cast, job, wrong):
    client.force_login(cast.desk)
    page = client.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "correct it" not in page
    assert client.get(reverse("findings:correct_reading", args=[wrong.pk])).status_code == 403


# ---- before and after


def test_every_scan_of_the_job_stands_in_before_and_after(tech, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    scan(cast, 1, 101, [seen(COOLANT), seen(OIL)], job=job, phase="after-repair")
    scan(cast, 2, 102, [], job=job, phase="sea-trial")
    page = tech.get(reverse("findings:job", args=[job.number]))
    unit = page.context["findings"].units[0]
    assert [one.phase for one in unit.scans] == ["arrival", "after-repair", "sea-trial"]
    rows = {row.fault.fault.label: [words for _, words in row.cells] for row in unit.rows}
    assert rows == {
        "SPN 110 FMI 0": ["active", "active", "not listed"],
        "SPN 100 FMI 1": ["not listed", "active", "not listed"],
    }
    assert {row.compared.change.value for row in unit.rows} == {"gone"}
    body = page.content.decode()
    assert body.index("On arrival") < body.index("After repair") < body.index("Sea trial")


def test_what_came_back_between_two_scans_is_neither_new_nor_still_there(tech, cast, job):
    from tests.findings.story import clear

    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 1, 101, job=job)
    scan(cast, 1.5, 101, [], job=job, phase="after-repair")
    scan(cast, 9, 140, [seen(COOLANT)], job=job, phase="sea-trial")
    page = tech.get(reverse("findings:job", args=[job.number]))
    row = page.context["findings"].units[0].rows[0]
    assert row.fault.fault.state == "not fixed yet"  # on the very job that had cleared it
    assert row.came_back
    assert ">not fixed yet</span>" in page.content.decode()
    assert ">still there</span>" not in page.content.decode()
