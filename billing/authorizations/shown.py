"""What the Lines tab shows of what was authorized."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest

from billing.authorizations.guarding import limit_words, words_without_sums
from billing.authorizations.queries import Standing, standing_of
from staff.policy import Permission
from staff.requests import signed_in
from workorders.marks import total_of
from workorders.models import Job
from workorders.sections import known_sum


@dataclass(frozen=True)
class OnLines:
    """Where a job stands, in words and figures; in words alone to those who see no prices."""

    standing: Standing
    words: str
    sees_sums: bool
    may_note: bool


def on_lines(request: HttpRequest, job: Job) -> OnLines:
    """What was authorized and what is left of it."""
    shop, person = request.shop, signed_in(request)  # type: ignore[attr-defined]
    summed = known_sum(request, job)
    total = total_of(job, summed, shop.currency) if summed is not None else None
    standing = standing_of(job, shop, total=total)
    sees_sums = person.may(Permission.SEE_PRICES)
    words = limit_words(standing) if sees_sums else words_without_sums(standing)
    return OnLines(standing, words, sees_sums, job.is_open and person.may(Permission.SET_PRICES))
