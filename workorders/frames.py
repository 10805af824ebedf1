"""The frame of a job's page: what it is about, where it stands, and its tabs."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString

from staff.policy import may
from vessels.frames import Frame, FrameAction, FrameTab, linked
from vessels.tabs import counts_of
from web.addresses import address_of
from workorders.models import Job
from workorders.tabs import tabs
from workorders.templatetags.jobs import state_css_class


def job_or_404(number: int, *beside: str) -> Job:
    """The job of a page, with what its frame shows, and what the page names beside it."""
    jobs = Job.objects.select_related("vessel__owner", "customer", "technician", *beside)
    return get_object_or_404(jobs, number=number)


def job_frame(person: object, job: Job, current: str) -> Frame:
    """The frame of a job's page; ``current`` is the URL name of the tab that is open."""
    actions = [FrameAction("Intake tag", address_of("workorders:tag", job.number), "printer")]
    shown = [tab for tab in tabs() if may(person, tab.permission)]
    return Frame(
        eyebrow="Jobs",
        eyebrow_url=reverse("workorders:board"),
        title=f"{job.number} · {job.vessel}",
        facts=_facts(job),
        tabs=[
            FrameTab(tab.label, address_of(tab.url_name, job.number), tab.url_name == current, count)
            for tab, count in zip(shown, counts_of(shown, {"job": job.pk}), strict=True)
        ],
        actions=actions,
    )


def _facts(job: Job) -> list[tuple[str, Any]]:
    facts: list[tuple[str, Any]] = [
        ("State", format_html('<span class="tag {}">{}</span>', state_css_class(job.state), job.get_state_display())),
        ("Vessel", linked(job.vessel, address_of("vessels:vessel", job.vessel_id))),
        ("Customer", linked(job.customer, address_of("vessels:customer", job.customer_id))),
        ("Where", job.where),
    ]
    if job.promised_on:
        facts.append(("Promised", _promised(job.promised_on, is_overdue=job.is_overdue)))
    facts.append(("Technician", job.technician or "not assigned"))
    return facts


def _promised(promised: date, *, is_overdue: bool) -> str | SafeString:
    day = date_format(promised, "D, M j, Y")
    return format_html('{} <span class="tag tag-signal">overdue</span>', day) if is_overdue else day
