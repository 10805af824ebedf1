"""The pages of service due: the boat's tab, the list of the shop, the page that opens a job, and a job's lines."""

from __future__ import annotations

import csv
import io
import uuid
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse
from django.utils import timezone

from tests.workorders.counter import signed_in
from vessels.actions import amend_text, log_hours
from vessels.models import LogEntry
from workorders.models import Job, JobLine
from workorders.upkeep.actions import adopt_plans, log_service
from workorders.upkeep.models import Adoption, Reminder, ServiceDone, ServicePlan

H = Decimal


def text_of(page: Any) -> str:
    return " ".join(lxml.html.fromstring(page.content.decode()).text_content().split())


@pytest.fixture
def overdue(cast: Any, oil: ServicePlan, ago: Any) -> Adoption:
    (made,) = adopt_plans(
        by=cast.desk, engine=cast.port, plans=[oil], basis="done", last_on=ago(500), last_hours=H(400), source="told"
    )
    return made


def opening(cast: Any, **more: Any) -> dict[str, Any]:
    return {
        "choice": f"boat:{cast.vessel.pk}", "step": "open", "concerns": "1", "engines": "1",
        "entry_id": str(uuid.uuid4()), "location": "slip", "concern-0-text": "", **more,
    }  # fmt: skip


def test_what_is_due_is_offered_when_the_boat_comes_in(cast, overdue):
    desk = signed_in(cast.desk)
    page = text_of(desk.get("/jobs/open/", {"vessel": cast.vessel.pk}))
    assert "Oil and filter, Port · Norrland D6T-370: overdue" in page
    assert "The maker’s current manual decides." in page
    # neither a tick nor a concern: nothing is opened
    assert desk.post("/jobs/open/", opening(cast)).status_code == 422
    # a tick is kept while other steps are taken
    step = desk.post("/jobs/open/", opening(cast, step="concern", **{f"offer-service-{overdue.pk}": "on"}))
    tree = lxml.html.fromstring(step.content.decode())
    assert tree.xpath(f"//input[@name='offer-service-{overdue.pk}'][@checked]")
    sent = opening(cast, **{f"offer-service-{overdue.pk}": "on"})
    for _ in range(2):
        assert desk.post("/jobs/open/", sent).status_code == 302
    job = Job.objects.get()
    line = job.lines.get()
    assert (line.concern, line.engine, line.planned.adoption) == ("Service due: Oil and filter", cast.port, overdue)
    assert f"It is on job {job.number} already." in text_of(desk.get("/jobs/open/", {"vessel": cast.vessel.pk}))


def test_concerns_and_ticks_together_keep_their_order(cast, overdue):
    signed_in(cast.desk).post(
        "/jobs/open/", opening(cast, **{"concern-0-text": "Alarm", f"offer-service-{overdue.pk}": "on"})
    )
    told = [(line.concern, hasattr(line, "planned")) for line in Job.objects.get().lines.order_by("position")]
    assert told == [("Alarm", False), ("Service due: Oil and filter", True)]


def test_a_done_line_logs_the_service_in_one_touch(cast, overdue, job):
    desk, tech = signed_in(cast.desk), signed_in(cast.tech)
    at = reverse("workorders:lines", args=[job.number])
    assert "Due on this boat, and not on this job" in text_of(desk.get(at))
    desk.post(reverse("upkeep:add_to_job", args=[job.number, overdue.pk]), {"entry_id": str(uuid.uuid4())})
    line = JobLine.objects.get(planned__adoption=overdue)
    assert "Write on the line what was done; then log it here." in text_of(tech.get(at))
    log_hours(by=cast.tech, engine=cast.port, shown=H(520), job_id=job.pk)
    yesterday = timezone.localdate() - timedelta(days=1)
    JobLine.objects.filter(pk=line.pk).update(correction="Oil and filter changed", done_on=yesterday)
    assert "counts from the 520 h read on this job" in text_of(tech.get(at))
    sent = {"entry_id": str(uuid.uuid4()), "hours": ""}
    for _ in range(2):
        tech.post(reverse("upkeep:line_done", args=[job.number, line.position]), sent)
    done = ServiceDone.objects.get()
    assert (done.line, done.read_in.engine_hours, done.entry.engine_hours) == (line, H(520), None)
    assert timezone.localdate(done.entry.happened_at) == yesterday
    assert "In the log," in text_of(tech.get(at))
    log = text_of(tech.get(reverse("vessels:entry", args=[done.pk])))
    assert "Counts from 520 h, as read on this job." in log
    assert "Oil and filter: every 100 h or 12 months." in log


def test_hours_that_are_none_log_nothing(cast, overdue, job):
    tech = signed_in(cast.tech)
    signed_in(cast.desk).post(reverse("upkeep:add_to_job", args=[job.number, overdue.pk]))
    line = JobLine.objects.get(planned__adoption=overdue)
    page = tech.post(reverse("upkeep:line_done", args=[job.number, line.position]), {"hours": "many"}, follow=True)
    assert not ServiceDone.objects.exists()
    assert "hours" in text_of(page)


def test_hours_that_are_asked_about_lead_from_the_touch_to_the_form(cast, overdue, job):
    Adoption.objects.filter(pk=overdue.pk).update(last_hours=H(500))
    tech = signed_in(cast.tech)
    signed_in(cast.desk).post(reverse("upkeep:add_to_job", args=[job.number, overdue.pk]))
    line = JobLine.objects.get(planned__adoption=overdue)
    page = tech.post(reverse("upkeep:line_done", args=[job.number, line.position]), {"hours": "480"}, follow=True)
    assert not ServiceDone.objects.exists()
    assert "These hours are asked about first. Log the service here." in text_of(page)
    form = lxml.html.fromstring(page.content.decode())
    assert form.xpath("//input[@name='hours']/@value") == ["480"]


def test_the_form_of_a_service_done_and_its_correction(cast, overdue):
    tech = signed_in(cast.tech)
    at = reverse("upkeep:done", args=[cast.port.pk])
    assert tech.post(at, {"entry_id": str(uuid.uuid4())}).status_code == 422
    tech.post(
        at, {"entry_id": str(uuid.uuid4()), "plans": overdue.plan_id, "hours": "530,5", "text": "Filter was full"}
    )
    done = ServiceDone.objects.get()
    assert (done.entry.engine_hours, done.entry.text) == (H("530.5"), "Filter was full")
    correcting = reverse("upkeep:done_correct", args=[done.pk])
    assert 'value="530.5"' in tech.get(correcting).content.decode()
    tech.post(
        correcting, {"entry_id": str(uuid.uuid4()), "plans": overdue.plan_id, "hours": "503.5", "text": "Misread"}
    )
    assert LogEntry.objects.get(amends=done.pk).engine_hours == H("503.5")
    assert "Corrected by Tomas Reef" in text_of(tech.get(reverse("vessels:entry", args=[done.pk])))


def test_an_interval_of_two_hours_is_asked_about(cast):
    said = {"family": cast.family.pk, "name": "Belts", "every_hours": "2", "entry_id": str(uuid.uuid4())}
    page = signed_in(cast.tech).post(reverse("upkeep:plan_add"), said)
    assert "Every 2 h is seldom. Check the figure." in text_of(page)
    assert not ServicePlan.objects.exists()
    for hours, told in [("a lot", "number"), ("NaN", "number"), ("0", "From 1 to 20,000 hours"), ("99999", "20,000")]:
        page = signed_in(cast.tech).post(reverse("upkeep:plan_add"), {**said, "every_hours": hours})
        assert told in text_of(page), hours
    assert not ServicePlan.objects.exists()


def test_the_list_counts_as_far_as_a_person_goes(cast, overdue, impeller, monkeypatch):
    adopt_plans(by=cast.desk, engine=cast.starboard, plans=[impeller, overdue.plan])
    desk, everything = signed_in(cast.desk), {"standing": "all"}
    for most, said in [(3, "3 services."), (2, "More than 2 services.")]:
        monkeypatch.setattr("workorders.upkeep.views.standing.MOST_COUNTED", most)
        assert said in text_of(desk.get(reverse("upkeep:list"), everything))
    monkeypatch.setattr("workorders.upkeep.views.standing.MOST_COUNTED", 1000)
    monkeypatch.setattr("workorders.upkeep.views.standing.MOST_FOUND", 1)
    assert "3 services." in text_of(desk.get(reverse("upkeep:list"), everything))
    assert "More than 1 service." in text_of(desk.get(reverse("upkeep:list"), {**everything, "q": "second"}))


def test_the_list_is_filtered_and_saved(cast, overdue, impeller):
    adopt_plans(by=cast.desk, engine=cast.starboard, plans=[impeller])
    desk = signed_in(cast.desk)
    shown = text_of(desk.get(reverse("upkeep:list")))
    assert "1 service. Save as CSV" in shown
    assert "Oil and filter" in shown
    assert "Impeller" not in shown
    assert "Impeller" in text_of(desk.get(reverse("upkeep:list"), {"standing": "not known"}))
    assert "Nothing here" in text_of(desk.get(reverse("upkeep:list"), {"standing": "all", "q": "no such boat"}))
    assert "1 service." in text_of(
        desk.get(reverse("upkeep:list"), {"standing": "all", "q": "starboard second", "page": "9"})
    )
    answer = desk.get(reverse("upkeep:list_csv"), {"standing": "all"})
    table = list(csv.DictReader(io.StringIO(answer.getvalue().decode())))
    assert [(row["service"], row["stands"], row["last hours"]) for row in table] == [
        ("Oil and filter", "Overdue", "400"), ("Impeller", "Not known", ""),
    ]  # fmt: skip


def test_a_reminder_is_noted_with_what_was_due(cast, overdue):
    desk = signed_in(cast.desk)
    page = text_of(desk.get(reverse("upkeep:reminders")))
    assert "(555) 555-0123" in page
    assert "not reminded yet" in page
    assert "Dear Wes Harrow," in page
    said = {"way": "call", "remark": "After Easter", "vessel": cast.vessel.pk, "entry_id": str(uuid.uuid4())}
    for _ in range(2):
        desk.post(reverse("upkeep:reminded", args=[cast.customer.pk]), said)
    made = Reminder.objects.get()
    assert made.told.startswith("Oil and filter (Port · Norrland D6T-370): overdue.")
    assert "Dora Quill called" in text_of(desk.get(reverse("upkeep:reminders")))
    assert "After Easter" in text_of(desk.get(reverse("upkeep:vessel", args=[cast.vessel.pk])))
    assert "Say how" in text_of(desk.post(reverse("upkeep:reminded", args=[cast.customer.pk]), {}, follow=True))


def test_the_boat_tells_what_is_due_and_what_is_not_known(cast, overdue, impeller):
    page = text_of(signed_in(cast.tech).get(reverse("vessels:vessel", args=[cast.vessel.pk])))
    assert "Overdue" in page
    tab = text_of(signed_in(cast.tech).get(reverse("upkeep:vessel", args=[cast.vessel.pk])))
    assert "Last done" in tab
    assert "as we were told" in tab
    assert "Follow 1 plan of Norrland D6T" in tab
    assert "Follow 2 plans of Norrland D6T" in tab


def test_a_note_that_corrects_a_service_done_stands_beside_it(cast, overdue):
    done = log_service(by=cast.tech, engine=cast.port, plans=[overdue.plan], text="Filter 7711")
    at = reverse("upkeep:vessel", args=[cast.vessel.pk])
    assert "Corrected by" not in text_of(signed_in(cast.desk).get(at))
    amend_text(by=cast.desk, entry=done.entry, text="It was filter 7712.")
    page = text_of(signed_in(cast.desk).get(at))
    assert "It was filter 7712." in page
    assert "Last done" in page, "the service counts as before"
