"""Sections of a job's pages. Each belongs to the room that knows it, which registers it in ``ready``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.http import HttpRequest

from staff.policy import Permission, may
from web.registry import Registry
from workorders.models import Job

if TYPE_CHECKING:
    from workorders.queries.sums import JobSum

LINES, OVERVIEW = "lines", "overview"
"""The pages that have sections of other rooms: the Lines tab, between lines and charges, and the overview."""


@dataclass(frozen=True)
class Section:
    """One section: a template, and the function that makes what the template gets as ``section``.

    The function returns None where there is nothing to show.
    """

    page: str
    template: str
    context: Callable[[HttpRequest, Job], Any]
    position: int
    permission: Permission = Permission.SEE_RECORDS


@dataclass(frozen=True)
class ShownSection:
    """A section with what its template shows."""

    template: str
    content: Any


_sections: Registry[Section] = Registry(lambda section: (section.page, section.template))
register = _sections.register


def remember_sum(request: HttpRequest, job: Job, summed: JobSum) -> None:
    """Tell the sections of a page what it has read and added up of a job already."""
    request.job_sum = (job.pk, summed)  # type: ignore[attr-defined]


def known_sum(request: HttpRequest, job: Job) -> JobSum | None:
    """What the page of this request has read and added up of the job; None where it has not."""
    known, summed = getattr(request, "job_sum", (None, None))
    return summed if known == job.pk else None


def shown_sections(page: str, request: HttpRequest, job: Job) -> list[ShownSection]:
    """The sections of a page that this person may see and that have something to show, in order."""
    shown = []
    for section in _sections.in_order():
        if section.page == page and may(request.user, section.permission):
            content = section.context(request, job)
            if content is not None:
                shown.append(ShownSection(section.template, content))
    return shown
