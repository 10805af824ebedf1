"""What of this floor is to be called about: parts late or here, jobs ready or waiting, promised days that moved."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Case, F, OuterRef, Q, Subquery, When, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from vessels.wording import date_words, day_words, label_of
from web.sentences import within
from workorders.calls.asking import CHARGED, Ask, Scope, Source, register
from workorders.models import Job, JobChange, JobMove
from workorders.queries.jobs import OPEN_STATES
from workorders.states import JobState
from workorders.waiting import past_day, waits_as_in

MOVED_SINCE = timedelta(days=14)


def register_reasons() -> None:
    """Make them known."""
    register(Source("states", _by_state, 30))
    register(Source("promise moved", _moved, 70))


def _by_state(scope: Scope) -> list[Ask]:
    """Jobs that wait for the customer or for parts, those that are ready and those with a late part.

    Those that are longest in their state come first.
    """
    moves = JobMove.objects.filter(entry__job=OuterRef("pk"), to_state=JobState.WAITING_CUSTOMER.value)
    last = moves.order_by("-entry__position").values("reason")[:1]
    states = [JobState.WAITING_CUSTOMER, JobState.WAITING_PARTS, JobState.READY]
    place = Window(RowNumber(), partition_by=[F("state")], order_by=[F("state_since").asc(), F("pk").asc()])
    reason = Case(When(state=JobState.WAITING_CUSTOMER, then=Subquery(last)))  # of the others it is not told
    late = past_day(JobState.WAITING_PARTS, timezone.localdate())
    asked = scope.among(Job.objects.filter(state__in=OPEN_STATES), "pk")
    asked = asked.annotate(is_late=Case(When(late, then=True), default=False))
    asked = asked.filter(Q(state__in=[state.value for state in states]) | Q(is_late=True))
    placed = asked.only("number", "state", "state_since").annotate(place=place)
    found = list(placed.filter(place__lte=scope.most + 1).annotate(reason=reason).order_by("state_since", "pk"))
    jobs = {state: scope.first([job for job in found if job.state == state.value], state.value) for state in states}
    waiting, past = jobs[JobState.WAITING_PARTS], scope.first([job for job in found if job.is_late], "parts late")
    waits = waits_as_in(JobState.WAITING_PARTS, list({job.pk: job for job in [*waiting, *past]}.values()))
    return [
        *(Ask(job.pk, "waiting", _why(job.reason or "", job)) for job in jobs[JobState.WAITING_CUSTOMER]),
        *(Ask(job.pk, "parts-late", f"A part is late: {waits[job.pk].words}.") for job in past if job.pk in waits),
        *(
            Ask(job.pk, "parts-here", f"{waits[job.pk].words}.")
            for job in waiting
            if job.pk in waits and waits[job.pk].is_over
        ),
        *(
            Ask(job.pk, "ready", f"Ready for pickup since {day_words(job.state_since)}.", sum_is=CHARGED)
            for job in jobs[JobState.READY]
        ),
    ]


def _why(reason: str, job: Job) -> str:
    said = within(reason)
    return f"The job waits for the customer since {day_words(job.state_since)}{f': “{said}”' if said else ''}."


def _moved(scope: Scope) -> list[Ask]:
    """Promised days that moved to a later one in the last two weeks, the last move of each job."""
    since, label = timezone.now() - MOVED_SINCE, label_of(Job(), "promised_on")
    changes = JobChange.objects.filter(changes__has_key=label, entry__recorded_at__gte=since)
    changes = scope.among(changes.filter(entry__job__state__in=OPEN_STATES), "entry__job")
    told: dict[int, Ask] = {}
    rows = changes.order_by("entry__recorded_at", "entry__position").values_list(
        "entry__job", "changes", "entry__recorded_at"
    )
    for job, changed, at in scope.first(rows, "moved"):
        before, after = (_day(text) for text in changed[label])
        told.pop(job, None)
        if before is not None and (after is None or after > before):
            now = f"to {date_words(after)}" if after is not None else "and none stands now"
            words = f"The promised day was moved from {date_words(before)} {now}, on {day_words(at)}."
            told[job] = Ask(job, f"moved-{at:%Y%m%d%H%M%S}", words)
    return list(told.values())


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text or "")
    except ValueError:
        return None
