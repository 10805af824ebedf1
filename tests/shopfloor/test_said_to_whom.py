"""A job's pages tell nobody to do what they may not: the sentence follows the permission."""

from __future__ import annotations

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from tests.cast import Cast, make_cast
from tests.findings import story
from workorders.actions import move_job

pytestmark = pytest.mark.django_db

TOLD = [
    ("labor:job", "Hours without a clock can be noted"),
    ("findings:job", "Log the arrival scan first"),
    ("findings:bench", "log the result on this job"),
]
SCANNED = [("findings:job", "After the repair, clear the codes and scan again")]


@pytest.fixture
def cast(db: None) -> Cast:
    cache.clear()
    return make_cast()


def page_of(person: object, name: str, number: int) -> str:
    client = Client()
    client.force_login(person)  # type: ignore[arg-type]
    answer = client.get(reverse(name, args=[number]))
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.parametrize(("name", "sentence"), TOLD)
def test_who_may_not_is_not_told_to(cast: Cast, name: str, sentence: str) -> None:
    job = story.open_job(cast, day=10)
    assert sentence in page_of(cast.tech, name, job.number)
    assert sentence in page_of(cast.manager, name, job.number)
    assert sentence not in page_of(cast.desk, name, job.number)


@pytest.mark.parametrize(("name", "sentence"), SCANNED)
def test_who_may_not_scan_is_not_told_to_scan_again(cast: Cast, name: str, sentence: str) -> None:
    job = story.open_job(cast, day=10)
    story.scan(cast, 10, 786, [story.seen(story.COOLANT, count=3)], job=job)
    assert sentence in page_of(cast.tech, name, job.number)
    page = page_of(cast.desk, name, job.number)
    assert sentence not in page
    assert "Only one scan so far" in page


def test_nobody_is_told_to_clock_on_to_a_job_that_ended(cast: Cast) -> None:
    job = story.open_job(cast, day=10)
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold", seen_version=job.version)
    for person in (cast.tech, cast.desk, cast.manager):
        page = page_of(person, "labor:job", job.number)
        assert "Who works on a line clocks on to it" not in page
        assert "Nobody has clocked or noted hours on this job." in page
