"""What the tests of the pages share: somebody signed in, and many jobs."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.test import Client
from django.utils import timezone

from staff.models import Person
from tests.cast import Cast
from vessels.models import Customer, Vessel
from workorders.models import Job, JobNumber


def signed_in(person: Person) -> Client:
    """A browser of this person."""
    client = Client()
    client.force_login(person)
    return client


def many_jobs(cast: Cast, count: int, **more: Any) -> list[Job]:
    """Plain rows, without log entries: for counting queries and pages."""
    numbers, _ = JobNumber.objects.get_or_create(pk=1)
    customer = Customer.objects.create(name="Ann Reed")
    jobs = []
    for index in range(count):
        numbers.last += 1
        vessel = Vessel.objects.create(name=f"Boat {numbers.last}", owner=customer)
        facts = {
            "state": "in-work",
            "technician": cast.tech,
            "promised_on": timezone.localdate() + timedelta(days=index % 7 - 3),
            **more,
        }
        job = Job.objects.create(number=numbers.last, vessel=vessel, customer=customer, opened_by=cast.desk, **facts)
        job.lines.create(position=1, concern=f"Concern {index}")
        jobs.append(job)
    numbers.save()
    return jobs
