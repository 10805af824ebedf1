"""What of floors above jobs is told with a reminder of service: the work that the owner declined."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from django.db.models import F

from billing.authorizations.models import DeferredWork
from staff.queries import local_day
from vessels.wording import date_words
from workorders.upkeep.besides import Besides, register


def register_deferred_work() -> None:
    """Make it known."""
    register(Besides("deferred work", "Deferred work", deferred_sentences))


def deferred_sentences(vessels: Sequence[int]) -> Mapping[int, Sequence[str]]:
    """What the owner of now declined and is still open, by boat, what touches safety first: one query.

    What an owner of before declined is between them and the shop. No sum stands in it, and no reason.
    """
    works = DeferredWork.objects.filter(
        vessel__in=vessels, state=DeferredWork.OPEN, job__customer=F("vessel__owner")
    ).select_related("engine", "job")
    found: dict[int, list[str]] = defaultdict(list)
    for work in works.order_by("-is_safety", "-declined_at", "-pk"):
        found[work.vessel_id].append(sentence_of(work))
    return found


def sentence_of(work: DeferredWork) -> str:
    """One of them: what, for which engine, when it was declined and on which job."""
    what = f"{work.what} (one of: {work.alternatives})" if work.alternatives else work.what
    engine = f", {work.engine}" if work.engine is not None else ""
    safety = " We said that it touches safety." if work.is_safety else ""
    return f"{what}{engine}: declined on {date_words(local_day(work.declined_at))}, job {work.job.number}.{safety}"
