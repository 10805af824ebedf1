"""A visual finding: what is kept, what is refused with which sentence, where it is shown and what comes of it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.estimates.actions import fill_estimate, start_estimate
from billing.estimates.actions.filling import Source
from commands.models import Command
from commands.refusals import NOTHING_DIFFERS, Refused
from findings.happenings.actions import log_visual_finding
from findings.happenings.kinds import VISUAL
from findings.happenings.models import Severity, VisualFinding
from findings.happenings.wording import recommended_words, visual_summary
from findings.reports.build import build_findings
from findings.reports.models import ReportDraft
from findings.reports.record import SEVERITIES
from tests.cast import Cast
from tests.findings.story import at, open_job
from vessels.actions import retract
from vessels.log.verify import broken_link
from vessels.models import LogEntry, Vessel
from workorders.models import Job

HOSE = {"place": "Raw-water hose at the pump", "text": "Cracked under the clamp", "severity": "soon",
        "recommendation": "Replace the hose."}  # fmt: skip


def log(cast: Cast, job: Job | None, **more: Any) -> VisualFinding:
    told = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "job": job, **HOSE, **more}
    return log_visual_finding(**told)


# ---- sentences, as a surveyor would say them


@pytest.mark.parametrize(
    ("place", "severity", "recommendation", "said"),
    [
        ("Raw-water hose", "soon", "Replace the hose",
         "Raw-water hose: repair soon. Recommended: Replace the hose."),
        ("Raw-water hose", "soon", "Replace the hose.",
         "Raw-water hose: repair soon. Recommended: Replace the hose."),
        ("Fuel filter bowl", "before next use", "Stop the leak!",
         "Fuel filter bowl: repair before next use. Recommended: Stop the leak!"),
        ("Zinc, transom", "watch", "", "Zinc, transom: watch."),
        ("Zinc, transom", "watch", "Look again in May…",
         "Zinc, transom: watch. Recommended: Look again in May…"),
        ("Engine mounts", "none", "", "Engine mounts: no fault seen."),
        ("Drive belt 7PK", "watch", "Is it the right one?",
         "Drive belt 7PK: watch. Recommended: Is it the right one?"),
        ("Bilge", "soon", "Find out what leaks", "Bilge: repair soon. Recommended: Find out what leaks."),
    ],
)  # fmt: skip
def test_the_entry_says_where_how_serious_and_what_to_do(
    place: str, severity: str, recommendation: str, said: str
) -> None:
    assert visual_summary(place, severity, recommendation) == said


def test_the_paper_has_the_same_severities() -> None:
    assert tuple(Severity.labels) == SEVERITIES


REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "no place": ({"place": " \t"}, "place", "Say where it is on the boat or the engine."),
    "nothing seen": ({"text": "\n"}, "text", "Say what you saw."),
    "no severity": ({"severity": ""}, "severity", "Choose how serious it is."),
    "a severity that is none": ({"severity": "terrible"}, "severity", "Choose one of the list."),
    "repair, and nothing said": (
        {"recommendation": "  "}, "recommendation",
        "Say what should be done about it, or choose “Watch” if nothing has to be repaired.",
    ),
    "repair now, and nothing said": (
        {"severity": "before next use", "recommendation": ""}, "recommendation",
        "Say what should be done about it, or choose “Watch” if nothing has to be repaired.",
    ),
    "no fault, and work": (
        {"severity": "none"}, "recommendation",
        "No fault was seen, so there is nothing to recommend. Leave this empty, or choose “Watch”.",
    ),
    "very long": (
        {"place": "x" * 161}, "place", "161 characters are too many: at most 160 are kept here.",
    ),
    "a very long text": (
        {"text": "x" * 5001}, "text", "5001 characters are too many: at most 5000 are kept here.",
    ),
    "in the future": (
        {"happened_at": timezone.now() + timedelta(days=2)}, "happened_at", "Enter a time in the past.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_is_refused_beside_its_field(cast: Cast, job: Job, what: str) -> None:
    told, field, sentence = REFUSED[what]
    with pytest.raises(Refused) as refusal:
        log(cast, job, **told)
    assert refusal.value.fields[field] == sentence
    assert not VisualFinding.objects.exists()


def test_another_boats_engine_and_job_are_refused(cast: Cast, job: Job) -> None:
    other = Vessel.objects.create(name="Tern", owner=cast.customer)
    strange = other.engines.create(position="single")
    with pytest.raises(Refused, match="in another boat"):
        log(cast, job, engine=strange)
    with pytest.raises(Refused, match=f"Job {job.number} is for another boat"):
        log(cast, job, vessel=other, engine=None)


def test_hours_that_run_backward_are_refused(cast: Cast, job: Job) -> None:
    log(cast, job, engine_hours=Decimal(500), happened_at=at(1))
    with pytest.raises(Refused) as refusal:
        log(cast, job, engine_hours=Decimal(400), happened_at=at(2))
    assert "hours" in refusal.value.fields


def test_an_engine_that_was_gone_by_then(cast: Cast, job: Job) -> None:
    cast.port.removed_on = at(1).date()
    cast.port.save()
    with pytest.raises(Refused, match="This engine was removed from the boat on Apr 2, 2025"):
        log(cast, job, happened_at=at(3))
    assert log(cast, job, happened_at=at(0.5)).pk  # late, and of when it was aboard


def test_the_desk_may_not(cast: Cast, job: Job) -> None:
    with pytest.raises(Refused, match="role"):
        log(cast, job, by=cast.desk)


# ---- in the log


def test_it_is_logged_with_who_when_and_hours_and_the_log_verifies(cast: Cast, job: Job) -> None:
    made = log(cast, job, engine_hours=Decimal("512.4"), happened_at=at(3), place=" Raw-water\n hose ")
    entry = made.entry
    assert (entry.kind, entry.job_id, entry.engine_id) == (VISUAL, job.pk, cast.port.pk)
    assert (entry.author_id, entry.engine_hours, entry.happened_at) == (cast.tech.pk, Decimal("512.4"), at(3))
    assert entry.is_late
    assert made.place == "Raw-water hose"
    assert broken_link(Vessel.objects.get(pk=cast.vessel.pk)) is None


def test_sent_twice_it_is_there_once(cast: Cast, job: Job) -> None:
    key = uuid4()
    assert log(cast, job, entry_id=key) == log(cast, job, entry_id=key)
    assert VisualFinding.objects.count() == Command.objects.filter(kind="log_visual_finding").count() == 1


def test_on_a_closed_job_it_is_kept(cast: Cast, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=at(2))
    assert log(cast, job, happened_at=at(3)).entry.job_id == job.pk


def test_corrected_it_counts_in_the_place_of_the_first(cast: Cast, job: Job) -> None:
    first = log(cast, job, happened_at=at(1))
    with pytest.raises(Refused) as refusal:
        log(cast, job, amends=first.entry, happened_at=at(1))
    assert refusal.value.sentence == NOTHING_DIFFERS
    second = log(cast, job, amends=first.entry, severity="watch", recommendation="")
    assert second.entry.happened_at == first.entry.happened_at
    assert VisualFinding.objects.count() == 2
    with pytest.raises(Refused, match="already corrected"):
        log(cast, job, amends=first.entry, text="Sound")
    retract(by=cast.tech, entry=second.entry, reason="It was cracked after all")
    assert log(cast, job, amends=first.entry, text="Cracked").pk


# ---- by the pages


def sent(tech: Client, job: Job, **told: Any) -> Any:
    form = {"entry_id": str(uuid4()), "engine": "boat", **HOSE, **told}
    return tech.post(reverse("findings:visual_finding", args=[job.number]), form)


def test_a_page_without_scripts_logs_it(tech: Client, cast: Cast, job: Job) -> None:
    answer = sent(tech, job, engine=str(cast.port.pk), hours="512.4")
    assert (answer.status_code, answer.headers["Location"]) == (302, reverse("findings:job", args=[job.number]))
    page = tech.get(answer.headers["Location"]).content.decode()
    assert "Raw-water hose at the pump: repair soon. Recommended: Replace the hose." in page
    assert "Cracked under the clamp" in page
    log_page = tech.get(reverse("vessels:log", args=[cast.vessel.pk]) + "?text=hose+cracked").content.decode()
    assert "Raw-water hose at the pump" in log_page


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"engine": ""}, "Choose the engine, or the boat itself."),
        ({"engine": "77777"}, "Choose one from the list."),
        ({"hours": "512"}, "Choose the engine, or leave the hours empty."),
        ({"hours": "a lot", "engine": "port"}, "a lot"),
        ({"severity": ""}, "Choose how serious it is."),
        ({"text": ""}, "Say what you saw."),
        ({"recommendation": ""}, "Say what should be done about it"),
        ({"happened_at": "2999-01-01T10:00"}, "This is in the future."),
        ({"text": "Cracked \U0001f4a5"}, "Papers cannot show"),
    ],
)
def test_what_was_typed_is_kept_beside_the_sentence(
    tech: Client, cast: Cast, job: Job, told: dict[str, str], sentence: str
) -> None:
    told = {name: str(cast.port.pk) if value == "port" else value for name, value in told.items()}
    answer = sent(tech, job, **told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "Raw-water hose at the pump" in page
    assert not VisualFinding.objects.exists()


def test_the_same_once_more_is_asked_about_once(tech: Client, job: Job) -> None:
    sent(tech, job)
    answer = sent(tech, job)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "The same is in the log of this job already: Tomas Reef" in page
    key = page.split('name="asked" value="')[1].split('"')[0]
    assert sent(tech, job, asked=key).status_code == 302
    assert VisualFinding.objects.count() == 2


def test_a_closed_job_says_so(tech: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=at(2))
    page = tech.get(reverse("findings:visual_finding", args=[job.number])).content.decode()
    assert f"Job {job.number} has ended. What you log here is kept on it, as entered later." in page


def test_the_page_of_a_correction_begins_with_what_stood_there(tech: Client, cast: Cast, job: Job) -> None:
    first = log(cast, job, engine_hours=Decimal("512.4"), happened_at=at(1))
    address = reverse("findings:correct_visual_finding", args=[first.pk])
    page = tech.get(address).content.decode()
    for word in ["Raw-water hose at the pump", "Cracked under the clamp", "512.4", "Both stay visible"]:
        assert word in page
    told = {"entry_id": str(uuid4()), "engine": str(cast.port.pk), **HOSE, "hours": "512.4", "severity": "watch"}
    assert tech.post(address, told).status_code == 302
    last = LogEntry.objects.latest("recorded_at")
    assert (last.amends_id, last.happened_at, last.engine_hours) == (first.pk, at(1), Decimal("512.4"))
    assert "correct it" in tech.get(reverse("findings:job", args=[job.number])).content.decode()


# ---- what comes of it


def test_what_it_recommends_goes_to_the_estimate_in_one_touch(cast: Cast, job: Job) -> None:
    log(cast, job)
    log(cast, job, place="Zinc", severity="watch", recommendation="Look again in May")
    log(cast, job, engine=None, place="Bilge", severity="before next use", recommendation="Find the leak")
    gone = log(cast, job, place="Belt", recommendation="Replace the belt")
    retract(by=cast.tech, entry=gone.entry, reason="The other boat")
    estimate = start_estimate(by=cast.desk, job=job)
    fill_estimate(by=cast.desk, estimate=estimate, source=Source.RECOMMENDATIONS)
    lines = {line.description: line.job_line for line in estimate.lines.all()}
    assert lines == {
        "Find the leak (Bilge)": None,
        "Replace the hose (Raw-water hose at the pump, port engine)": job.lines.get(),
    }
    with pytest.raises(Refused, match="No repair is recommended on this job that is not on the estimate"):
        fill_estimate(by=cast.desk, estimate=estimate, source=Source.RECOMMENDATIONS)


def test_what_it_recommends_is_said_with_its_place(cast: Cast, job: Job) -> None:
    words = [recommended_words(log(cast, job)), recommended_words(log(cast, job, engine=None, place="Bilge"))]
    assert words == ["Replace the hose (Raw-water hose at the pump, port engine)", "Replace the hose (Bilge)"]


def test_it_stands_in_the_report_with_its_recommendation(cast: Cast, job: Job) -> None:
    log(cast, job, happened_at=at(1))
    log(cast, open_job(cast), place="Of another job")
    draft = ReportDraft.objects.create(job=job, started_by=cast.tech, soon="replace  the hose\nWax it")
    found = build_findings(draft)
    [one] = found.visual
    assert (one.place, one.severity, one.by, one.engine) == (HOSE["place"], "Repair soon", "Tomas Reef", "Port")
    assert [said.text for said in found.recommendations] == ["replace  the hose", "Wax it"]  # typed already
    draft.soon = ""
    assert [(said.urgency, said.text) for said in build_findings(draft).recommendations] == [
        ("soon", "Replace the hose (Raw-water hose at the pump, port engine)")
    ]


def test_the_page_of_the_draft_says_what_findings_recommend(tech: Client, cast: Cast, job: Job) -> None:
    ReportDraft.objects.create(job=job, started_by=cast.tech, soon="Wax it")
    address = reverse("reports:job", args=[job.number])
    assert "Recommended by visual findings" not in tech.get(address).content.decode()
    log(cast, job)
    page = tech.get(address).content.decode()
    assert "Recommended by visual findings" in page
    assert "Replace the hose (Raw-water hose at the pump, port engine) <small>soon</small>" in page


def test_only_what_counts_is_in_the_report(cast: Cast, job: Job) -> None:
    first = log(cast, job, happened_at=at(1))
    log(cast, job, amends=first.entry, severity="watch", recommendation="")
    gone = log(cast, job, place="Belt")
    retract(by=cast.tech, entry=gone.entry, reason="The other boat")
    found = build_findings(ReportDraft.objects.create(job=job, started_by=cast.tech))
    assert [(one.severity, one.by, one.corrected_by) for one in found.visual] == [("Watch", "Tomas Reef", "Tomas Reef")]
    assert found.recommendations == ()
