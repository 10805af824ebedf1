"""The frame of a job's page: what it is about, where it stands, and its tabs."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.formats import date_format

from staff.policy import may
from vessels.frames import Frame, FrameTab, linked
from workorders.models import Job
from workorders.tabs import tabs


def job_frame(person: object, job: Job, current: str) -> Frame:
    """The frame of a job's page; ``current`` is the URL name of the tab that is open."""
    facts: list[tuple[str, Any]] = [
        ("Vessel", linked(job.vessel, reverse("vessels:vessel", args=[job.vessel_id]))),
        ("Customer", linked(job.customer.name, reverse("vessels:customer", args=[job.customer_id]))),
        ("Where", " ".join(word for word in [job.get_location_display(), job.spot] if word)),
    ]
    if job.promised_on:
        facts.append(("Promised", date_format(job.promised_on, "M j, Y")))
    if job.technician:
        facts.append(("Technician", job.technician.name))
    return Frame(
        eyebrow=f"Job {job.number}",
        title=job.get_state_display(),
        facts=facts,
        tabs=[
            FrameTab(
                tab.label,
                reverse(tab.url_name, args=[job.number]),
                tab.url_name == current,
                tab.count(job) if tab.count else None,
            )
            for tab in tabs()
            if may(person, tab.permission)
        ],
    )
