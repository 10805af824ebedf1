"""A function test: what is kept, what is refused with which sentence, and where it is told."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.refusals import NOTHING_DIFFERS, Refused
from findings import cautions
from findings.happenings.actions import log_function_test
from findings.happenings.kinds import TEST
from findings.happenings.models import FunctionTest, Verdict
from findings.happenings.wording import driven_summary
from findings.reports.build import build_findings
from findings.reports.differences import differences
from findings.reports.gaps import gaps
from findings.reports.models import ReportDraft
from findings.reports.record import VERDICTS
from tests.cast import Cast
from tests.findings.story import at, open_job
from vessels.actions import retract
from vessels.log.verify import broken_link
from vessels.models import Vessel
from workorders.models import Job

BLOWER = {"operated": "Bilge blower", "text": "Air at the vent", "verdict": "worked"}


def log(cast: Cast, job: Job | None, **more: Any) -> FunctionTest:
    told = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "job": job, **BLOWER, **more}
    return log_function_test(**told)


@pytest.mark.parametrize(
    ("operated", "lasted", "unit", "verdict", "said"),
    [
        ("Bilge blower", "2", "min", "worked", "Bilge blower, for 2 min: worked."),
        ("Bilge blower", "2.0", "min", "worked", "Bilge blower, for 2 min: worked."),
        ("Horn", None, "", "did not work", "Horn: did not work."),
        ("Injector 3", "0.5", "s", "did not work", "Injector 3, for 0.5 s: did not work."),
        ("Trim pump, up", "90", "s", "not conclusive", "Trim pump, up, for 90 s: not conclusive."),
        ("Generator at half load", "1.5", "h", "worked", "Generator at half load, for 1.5 h: worked."),
        ("Starter", "1000", "s", "not conclusive", "Starter, for 1000 s: not conclusive."),
        ("Fuel pump relay", None, "s", "worked", "Fuel pump relay: worked."),
    ],
)
def test_the_entry_says_what_was_driven_how_long_and_what_it_says(
    operated: str, lasted: str | None, unit: str, verdict: str, said: str
) -> None:
    assert driven_summary(operated, Decimal(lasted) if lasted else None, unit, verdict) == said


def test_the_paper_has_the_same_verdicts() -> None:
    assert tuple(Verdict.labels) == VERDICTS


NO_TIME, TOO_LONG = "Enter more than 0, to a tenth, or leave it empty.", "At most 24 h can be entered for one test."
REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "nothing driven": ({"operated": " "}, "operated", "Say what was driven or operated."),
    "nothing happened": ({"text": ""}, "text", "Say what happened."),
    "no verdict": ({"verdict": ""}, "verdict", "Choose what the test says."),
    "a verdict that is none": ({"verdict": "fine"}, "verdict", "Choose one of the list."),
    "no time": ({"lasted": Decimal(0), "lasted_unit": "s"}, "lasted", NO_TIME),
    "less than no time": ({"lasted": Decimal(-5), "lasted_unit": "s"}, "lasted", NO_TIME),
    "less than a tenth": ({"lasted": Decimal("0.04"), "lasted_unit": "s"}, "lasted", NO_TIME),
    "longer than a day": ({"lasted": Decimal(25), "lasted_unit": "h"}, "lasted", TOO_LONG),
    "a day and a second": ({"lasted": Decimal(86401), "lasted_unit": "s"}, "lasted", TOO_LONG),
    "without its unit": ({"lasted": Decimal(5)}, "lasted", "Choose s, min or h."),
    "very long": ({"operated": "x" * 161}, "operated", "161 characters are too many"),
    "in the future": ({"happened_at": timezone.now() + timedelta(days=2)}, "happened_at", "Enter a time in the past."),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_is_refused_beside_its_field(cast: Cast, job: Job, what: str) -> None:
    told, field, sentence = REFUSED[what]
    with pytest.raises(Refused) as refusal:
        log(cast, job, **told)
    assert refusal.value.fields[field].startswith(sentence)
    assert not FunctionTest.objects.exists()


def test_a_whole_day_is_the_most(cast: Cast, job: Job) -> None:
    for unit, most in {"s": 86400, "min": 1440, "h": 24}.items():
        made = log(cast, job, lasted=Decimal(most), lasted_unit=unit)
        assert (made.lasted, made.lasted_unit) == (most, unit)


def test_a_unit_without_a_time_is_nothing(cast: Cast, job: Job) -> None:
    made = log(cast, job, lasted_unit="s")
    assert (made.lasted, made.lasted_unit, made.entry.summary) == (None, "", "Bilge blower: worked.")


def test_who_may_and_on_which_boat(cast: Cast, job: Job) -> None:
    other = Vessel.objects.create(name="Tern", owner=cast.customer)
    with pytest.raises(Refused, match="in another boat"):
        log(cast, job, engine=other.engines.create(position="single"))
    with pytest.raises(Refused, match="role"):
        log(cast, job, by=cast.desk)


def test_it_is_logged_once_corrected_and_voided(cast: Cast, job: Job) -> None:
    key = uuid4()
    first = log(cast, job, entry_id=key, happened_at=at(1), lasted=Decimal(2), lasted_unit="min")
    assert log(cast, job, entry_id=key, happened_at=at(1), lasted=Decimal(2), lasted_unit="min") == first
    assert (first.entry.kind, first.entry.job_id, first.entry.is_late) == (TEST, job.pk, True)
    with pytest.raises(Refused) as refusal:
        log(cast, job, amends=first.entry, lasted=Decimal(2), lasted_unit="min")
    assert refusal.value.sentence == NOTHING_DIFFERS
    second = log(cast, job, amends=first.entry, verdict="did not work")
    assert second.entry.happened_at == at(1)
    retract(by=cast.tech, entry=second.entry, reason="Another blower")
    assert FunctionTest.objects.count() == 2
    assert broken_link(Vessel.objects.get(pk=cast.vessel.pk)) is None


# ---- by the pages


def sent(tech: Client, job: Job, **told: Any) -> Any:
    form = {"entry_id": str(uuid4()), "engine": "boat", **BLOWER, **told}
    return tech.post(reverse("findings:function_test", args=[job.number]), form)


def test_the_cautions_are_open_before_the_form(tech: Client, job: Job) -> None:
    page = tech.get(reverse("findings:function_test", args=[job.number])).content.decode()
    assert '<details class="caution" open>' in page
    assert page.index(cautions.DRIVEN) < page.index('name="operated"')


def test_a_page_without_scripts_logs_it(tech: Client, cast: Cast, job: Job) -> None:
    answer = sent(tech, job, lasted="1,5", lasted_unit="min")
    assert answer.status_code == 302
    page = tech.get(answer.headers["Location"]).content.decode()
    assert "Bilge blower, for 1.5 min: worked." in page
    assert "Air at the vent" in page
    assert "the boat itself" in page


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"lasted": "a while", "lasted_unit": "s"}, "a while"),
        ({"lasted": "-1", "lasted_unit": "s"}, NO_TIME),
        ({"lasted": "12345678", "lasted_unit": "s"}, "digits"),
        ({"lasted": "30", "lasted_unit": "h"}, TOO_LONG),
        ({"verdict": ""}, "Choose what the test says."),
        ({"engine": ""}, "Choose the engine, or the boat itself."),
    ],
)
def test_what_was_typed_is_kept_beside_the_sentence(
    tech: Client, job: Job, told: dict[str, str], sentence: str
) -> None:
    answer = sent(tech, job, **told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "Air at the vent" in page
    assert not FunctionTest.objects.exists()


def test_the_page_of_a_correction_begins_with_what_stood_there(tech: Client, cast: Cast, job: Job) -> None:
    first = log(cast, job, happened_at=at(1), lasted=Decimal(90), lasted_unit="s")
    page = tech.get(reverse("findings:correct_function_test", args=[first.pk])).content.decode()
    assert 'value="90"' in page
    assert '<option value="s" selected' in page
    assert "Bilge blower" in page


# ---- in the report


def test_it_stands_in_the_report_and_what_did_not_work_last_is_asked_about(cast: Cast, job: Job) -> None:
    log(cast, job, happened_at=at(1), verdict="did not work", lasted=Decimal(2), lasted_unit="min")
    log(cast, job, happened_at=at(2))
    log(cast, job, happened_at=at(3), operated="Horn", verdict="did not work", engine=None)
    log(cast, job, happened_at=at(3), operated="Trim pump", verdict="not conclusive")
    log(cast, open_job(cast), operated="Of another job", verdict="did not work")
    draft = ReportDraft.objects.create(job=job, started_by=cast.tech)
    found = build_findings(draft)
    assert [(one.operated, one.lasted, one.verdict, one.engine) for one in found.tests] == [
        ("Bilge blower", "2 min", "Did not work", "Port"),
        ("Bilge blower", "", "Worked", "Port"),
        ("Horn", "", "Did not work", ""),
        ("Trim pump", "", "Not conclusive", "Port"),
    ]
    asked = [one for one in gaps(found, job) if one.startswith("Function test")]
    assert asked == ["Function test: “Horn” did not work when it was driven last; no recommendation names it."]
    draft.soon = "Repair the horn"
    asked = [one for one in gaps(build_findings(draft), job) if one.startswith("Function test")]
    assert asked == ["Function test: “Horn” did not work when it was driven last; a recommendation names it."]


def test_a_revision_says_what_became_of_it(cast: Cast, job: Job) -> None:
    draft = ReportDraft.objects.create(job=job, started_by=cast.tech)
    before = build_findings(draft)
    first = log(cast, job, happened_at=at(1), lasted=Decimal(2), lasted_unit="min")
    old = build_findings(draft)
    assert differences(before, old) == ["Function test added: Bilge blower, port, for 2 min, Apr 2, 2025: worked."]
    log(cast, job, amends=first.entry, verdict="did not work", text="No air", lasted=Decimal(2), lasted_unit="min")
    [said] = differences(old, build_findings(draft))
    assert said.startswith(
        "Function test: Bilge blower, port, for 2 min, Apr 2, 2025: did not work; it was Bilge blower, port, for "
        "2 min, Apr 2, 2025: worked; text: “No air”, it was “Air at the vent”"
    )
