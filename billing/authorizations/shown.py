"""What the Lines tab shows of what was authorized."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest

from billing.authorizations.guarding import limit_words
from billing.authorizations.queries import Standing, standing_of
from staff.policy import Permission
from staff.requests import signed_in
from workorders.models import Job


@dataclass(frozen=True)
class OnLines:
    """Where a job stands, in words and figures."""

    standing: Standing
    words: str
    may_note: bool


def on_lines(request: HttpRequest, job: Job) -> OnLines:
    """What was authorized and what is left of it."""
    standing = standing_of(job)
    return OnLines(standing, limit_words(standing), job.is_open and signed_in(request).may(Permission.SET_PRICES))
