"""A note is written from the job, by whoever may write notes, and stands in the job's log and the boat's."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from tests.cast import Cast, make_cast
from tests.findings.story import at, open_job
from vessels.models import LogEntry, Vessel
from workorders.models import Job


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(cast)


@pytest.fixture
def desk(client: Client, cast: Cast) -> Client:
    client.force_login(cast.desk)
    return client


def test_it_stands_in_the_jobs_log_and_in_the_boats(desk: Client, cast: Cast, job: Job) -> None:
    log = reverse("workorders:log", args=[job.number])
    assert reverse("workorders:note", args=[job.number]) in desk.get(log).content.decode()
    told = {"entry_id": str(uuid4()), "text": "Owner comes\non Friday", "engine": cast.port.pk}
    told["happened_at"] = "2025-04-02T10:00"
    for _ in range(2):
        answer = desk.post(reverse("workorders:note", args=[job.number]), told)
        assert (answer.status_code, answer.headers["Location"]) == (302, log)
    [entry] = LogEntry.objects.filter(kind="note")
    assert (entry.job_id, entry.engine_id, entry.author_id) == (job.pk, cast.port.pk, cast.desk.pk)
    assert entry.is_late
    assert "Owner comes" in desk.get(log).content.decode()
    assert "Owner comes" in desk.get(reverse("vessels:log", args=[cast.vessel.pk])).content.decode()


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"text": " \n"}, "Enter the note."),
        ({"text": "x" * 20001}, "20000"),
        ({"text": "Wet \U0001f4a7"}, "Papers cannot show"),
        ({"text": "Wet", "happened_at": "2999-01-01T10:00"}, "This is in the future."),
        ({"text": "Wet", "engine": "of another boat"}, "no longer on it"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_kept(
    desk: Client, cast: Cast, job: Job, told: dict[str, str], sentence: str
) -> None:
    if "engine" in told:
        strange = Vessel.objects.create(name="Tern", owner=cast.customer).engines.create(position="single")
        told = told | {"engine": str(strange.pk)}
    answer = desk.post(reverse("workorders:note", args=[job.number]), {"entry_id": str(uuid4()), **told})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert told["text"].strip()[:50] in page
    assert not LogEntry.objects.filter(kind="note").exists()


def test_on_a_job_that_ended_it_is_kept_and_said(desk: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=at(2))
    address = reverse("workorders:note", args=[job.number])
    assert "The job has ended: the note is kept as written later." in desk.get(address).content.decode()
    assert desk.post(address, {"entry_id": str(uuid4()), "text": "Called back"}).status_code == 302
    assert LogEntry.objects.get(kind="note").job_id == job.pk
