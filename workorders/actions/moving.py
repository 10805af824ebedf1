"""Moving a job from one state to another."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from commands.envelope import command
from commands.questions import ask_once
from commands.refusals import Conflict, Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from vessels.log.chain import NewEntry, append
from workorders.actions.checking import lock_job
from workorders.guards import ask_before_moving, is_priced_elsewhere
from workorders.models import Job, JobChange, JobLine, JobMove, Stretch
from workorders.states import FINISHING, LABELS, MOVES, OPEN, JobState, may_move, needs_reason
from workorders.taxes.actions import settle_taxes
from workorders.waiting import explained


@command("move_job", needs=Permission.MOVE_JOBS, writes_to="job.vessel")
def move_job(
    *,
    by: Person,
    job: Job,
    to: JobState | str,
    reason: str = "",
    seen_version: int,
    seen_state: JobState | str | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Job:
    """Move a job, with a word of why where the move wants one.

    ``seen_state`` is the state that the person saw when deciding. Where it is given and still true, a change of
    something else on the job does not stand in the way.

    Raises:
        Conflict: somebody moved or changed the job in the meantime.
        Refused: the move is not in the table, or its reason is missing.
        Questions: somebody is there to be asked, and has not answered.
    """
    stored = lock_job(job)
    start, end = JobState(stored.state), _known(to)
    if stored.version != seen_version and seen_state != stored.state:
        raise _conflict(stored, end)
    _refuse_unknown_move(start, end)
    _refuse_without_reason(stored, start, end, reason.strip())
    if end is JobState.CANCELED:
        _ask_about_clocks(stored)
    ask_before_moving(by, stored, end)
    told = "" if reason.strip() else explained(stored, end)
    entry = append(
        NewEntry(
            kind="job-moved",
            vessel=job.vessel,
            author=by,
            job_id=job.pk,
            summary=f"Job {job.number}: {LABELS[start].lower()} → {LABELS[end].lower()}{f': {told}' if told else ''}",
            text=reason,
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=JobMove(from_state=start.value, to_state=end.value, reason=reason.strip()),
    )
    stored.state, stored.state_since = end.value, entry.happened_at
    stored.closed_at = None if end in OPEN else entry.happened_at
    stored.changed_by, stored.version = by, stored.version + 1
    stored.save(update_fields=["state", "state_since", "closed_at", "changed_by", "version"])
    if (start in OPEN) is not (end in OPEN):
        settle_taxes(stored, day=None if end in OPEN else local_day(entry.happened_at))
    job.refresh_from_db()
    return job


def unfinished_lines(job: Job) -> list[JobLine]:
    """The lines of a job that nobody has written a correction for."""
    return list(job.lines.filter(correction="").order_by("position"))


def _known(to: JobState | str) -> JobState:
    try:
        return JobState(to)
    except ValueError as error:
        raise Refused(f"“{str(to)[:40]}” is not a state of a job.") from error


def _conflict(stored: Job, end: JobState) -> Conflict:
    who = str(stored.changed_by or "somebody else")
    return Conflict(
        f"{who} changed this job while you were looking at it: it is now “{stored.get_state_display()}”. The job was "
        "not moved. Look at it below, then decide again.",
        theirs={"state": stored.state},
        mine={"state": end.value},
        by=who,
    )


def _refuse_unknown_move(start: JobState, end: JobState) -> None:
    if may_move(start, end):
        return
    if start is end:
        raise Refused(f"The job is already “{LABELS[end]}”.")
    ways = ", ".join(f"“{LABELS[state]}”" for state in MOVES[start])
    raise Refused(f"A job cannot go from “{LABELS[start]}” to “{LABELS[end]}” in one move. From here: {ways}.")


def _refuse_without_reason(job: Job, start: JobState, end: JobState, reason: str) -> None:
    sentence = "" if reason else asks_why(job, start, end)
    if sentence:
        raise Refused(sentence, fields={"reason": sentence})


@dataclass(frozen=True)
class OnJob:
    """What a page has read of a job already: lines without a correction, in order, and whose clock runs on it."""

    unfinished: Sequence[JobLine]
    clocks: Collection[str]


def asks_why(job: Job, start: JobState, end: JobState, known: OnJob | None = None) -> str:
    """What has to be explained before a job is moved; nothing where it may be moved without a word.

    Waiting, canceling and opening again have a reason; what a job waits for may be on record already. A job that is
    authorized with nothing priced says what was agreed to, once; one that is said to be done explains each line without
    a correction, and a clock that still runs.
    """
    if needs_reason(start, end):
        if start in OPEN and explained(job, end):
            return ""
        return _WHY.get(end, "Write why the job is opened again.")
    if end is JobState.AUTHORIZED:
        return "" if _has_a_price(job) or is_priced_elsewhere(job) or _was_agreed(job) else _NO_PRICE
    return _why_it_is_done(job, end, known) if end in FINISHING else ""


def _why_it_is_done(job: Job, end: JobState, known: OnJob | None) -> str:
    """What has to be explained of a job that is said to be done: a running clock, lines without a correction."""
    if names := sorted(set(known.clocks if known else _clocks_of(job))):
        clocks = f"The clock of {' and of '.join(names)} still runs"
        return f"{clocks} on this job. Stop it first, or write here why it goes on."
    unfinished = known.unfinished if known else unfinished_lines(job)
    if not unfinished or (end is JobState.CLOSED and _was_explained(job, unfinished)):
        return ""
    numbers = [str(line.position) for line in unfinished]
    which = f"Line {numbers[0]} has" if len(numbers) == 1 else f"Lines {', '.join(numbers)} have"
    return f"{which} no correction. Write what was done on the Lines tab, or say here why nothing was done."


def _ask_about_clocks(job: Job) -> None:
    """A clock that runs on a job that is canceled: asked once, as a reason for the cancellation explains no clock."""
    if names := sorted(set(_clocks_of(job))):
        whose = f"the clock of {' and of '.join(names)}"
        said = f"T{whose[1:]} still runs on this job, and goes on until it is stopped."
        ask_once(f"running {whose}", said, field="to-clocks", tick=f"{whose} goes on")


_WHY = {
    JobState.CANCELED: "Write why the job is canceled.",
    JobState.WAITING_PARTS: "Enter which parts the job is waiting for.",
    JobState.WAITING_CUSTOMER: "Write what the customer has to decide or do.",
    JobState.WAITING_WEATHER: "Write what weather the job is waiting for.",
}


_NO_PRICE = (
    "Nothing is priced on this job. Write what the customer agreed to, and how: “by phone, 2:10 PM: find the cause”."
)


def _clocks_of(job: Job) -> Collection[str]:
    """Whose clock runs on it."""
    running = Stretch.objects.filter(line__job=job, minutes=None, corrected_by=None, voided=None)
    return list(running.values_list("person__name", flat=True))


def _has_a_price(job: Job) -> bool:
    """Whether something that counts is charged on it, and not for nothing."""
    return job.charges.filter(struck_at=None, unit_price__gt=0).exists()


def _was_agreed(job: Job) -> bool:
    """Whether an earlier move to authorized said what was agreed to."""
    moves = JobMove.objects.filter(entry__job=job, to_state=JobState.AUTHORIZED.value)
    return moves.exclude(reason="").exists()


def _was_explained(job: Job, unfinished: Sequence[JobLine]) -> bool:
    """Whether the last move to ready said why these lines have no correction; none of them is newer than that."""
    ready = (
        JobMove.objects.filter(entry__job=job, to_state=JobState.READY.value)
        .select_related("entry")
        .order_by("-entry__position")
        .first()
    )
    if ready is None or not ready.reason:
        return False
    changed_since = JobChange.objects.filter(line__in=unfinished, entry__position__gt=ready.entry.position)
    return not changed_since.exists()
