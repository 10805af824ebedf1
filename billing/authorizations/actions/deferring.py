"""What was declined is kept as deferred work: taken up in a job, dropped with a reason, or open again."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterable, Sequence
from uuid import UUID

from billing.authorizations.answers import Answer, Chosen, Offer, Piece
from billing.authorizations.models import Authorization, DeferredStep, DeferredWork
from billing.estimates.models import Estimate, EstimateLine
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.log.belonging import of_a_boat
from workorders.actions.checking import refuse_unsound
from workorders.models import Job, JobLine

MOST_NAMED = 160
"""Characters of the lines that a step names."""

AGREED, OTHERWISE, AGAIN = "Agreed to on", "Another option was chosen on", "Declined again on"
"""How the reasons begin that an answer gives to what was open from an earlier one."""

of_a_boat(
    DeferredWork,
    vessel=lambda work: work.vessel_id,
    refused=lambda _: Refused("This deferred work is of another boat."),
)


def defer(made: Authorization, answer: Answer, offer: Offer, chosen: Chosen, by: Person) -> None:
    """Keep what was declined; what this answer takes, or declines once more, is no longer open from an earlier one."""
    pieces = {one.key: one for one in chosen.pieces}
    for known in DeferredWork.objects.filter(job=made.job, state=DeferredWork.OPEN):
        piece = pieces.get(known.key)
        if piece is None:
            continue
        version = f"version {answer.revision} of the estimate"
        if piece.is_taken:
            _step(known, DeferredWork.TAKEN_UP, by, job=made.job, line=piece.concern, reason=f"{AGREED} {version}")
        elif chosen.is_chosen_otherwise(piece):
            _step(known, DeferredWork.DROPPED, by, reason=f"{OTHERWISE} {version}")
        else:
            _step(known, DeferredWork.DROPPED, by, reason=f"{AGAIN} {version}")
    said = {one.key: one for one in answer.declined}
    for pieces_of_it in _together(chosen):
        first = pieces_of_it[0]
        told = [said[one.key] for one in pieces_of_it if one.key in said]
        work = DeferredWork(
            vessel=made.job.vessel,
            engine=first.engine,
            job=made.job,
            authorization=made,
            key=first.key,
            revision=answer.revision,
            what=_what(pieces_of_it),
            alternatives=first.alternatives,
            amount=first.adds if first.is_option else offer.adds_of({one.key for one in pieces_of_it}),
            declined_by=made.who,
            declined_at=made.said_at,
            why="; ".join(dict.fromkeys(one.why.strip() for one in told if one.why.strip()))[:200],
            is_safety=any(one.is_safety for one in told),
        )
        refuse_unsound(work, ["what", "amount"])
        work.save()


def _together(chosen: Chosen) -> Iterable[Sequence[Piece]]:
    """What was declined, one by one; a concern of which every line was declined stands as one."""
    declined = chosen.declined
    whole: dict[int, list[Piece]] = {}
    for one in declined:
        if one.concern is not None and not one.is_option:
            whole.setdefault(one.concern.pk, []).append(one)
    for concern, pieces in list(whole.items()):
        of_it = [one for one in chosen.pieces if not one.is_option and one.concern and one.concern.pk == concern]
        if len(of_it) != len(pieces):
            del whole[concern]
    for one in declined:
        group = whole.get(one.concern.pk) if one.concern is not None and not one.is_option else None
        if group is None:
            yield [one]
        elif one is group[0]:
            yield group


def _what(pieces: Sequence[Piece]) -> str:
    first = pieces[0]
    if len(pieces) == 1 or first.concern is None:
        return first.words
    said = " ".join(first.concern.concern.split())
    return said if len(said) <= 160 else f"{said[:159]}…"


def _step(
    work: DeferredWork, state: str, by: Person, *, job: Job | None = None, line: JobLine | None = None, reason: str = ""
) -> DeferredStep:
    step = DeferredStep(work=work, state=state, job=job, line=line, reason=reason.strip(), by=by)
    refuse_unsound(step, ["reason"])
    step.save()
    before, work.state = work.state, state
    work.save(update_fields=["state"])
    tell(deferred=[before, state])
    return step


def drop_all_of(authorization: Authorization, by: Person, reason: str) -> None:
    """What an answer deferred that does not stand any more."""
    for work in authorization.deferred.filter(state=DeferredWork.OPEN):
        _step(work, DeferredWork.DROPPED, by, reason=f"The answer was withdrawn: {reason}")


def undo_steps_of(authorization: Authorization, by: Person, reason: str) -> None:
    """What an answer that does not stand any more made of earlier deferred work: open again, or on the job, charged."""
    job = authorization.job
    later = job.authorizations.filter(pk__gt=authorization.pk).order_by("pk").first()
    origins = job.charges.filter(struck_at=None).values_list("origin", flat=True)
    charged = {one for one in origins if one is not None}
    version = f"version {authorization.revision} of the estimate"
    moved = DeferredWork.objects.select_for_update(of=("self",)).filter(job=job).exclude(state=DeferredWork.OPEN)
    for work in moved.exclude(authorization=authorization).select_related("authorization", "job").order_by("pk"):
        last = work.steps.order_by("pk").last()
        if (
            last is None
            or last.reason not in {f"{begins} {version}" for begins in (AGREED, OTHERWISE, AGAIN)}
            or last.at < authorization.noted_at
            or (later is not None and last.at >= later.noted_at)
        ):
            continue
        covered = _lines_of(work)
        on_job = [one for one in covered if one.key in charged]
        if work.authorization.withdrawn_at is not None:
            _step(work, DeferredWork.DROPPED, by, reason=f"The answer that declined it was withdrawn: {reason}"[:240])
        elif covered and len(on_job) == len(covered):
            said = f"It is charged on job {job.number}. The answer after which it was charged was withdrawn"
            line = next((one.job_line for one in covered if one.job_line is not None), None)
            _step(work, DeferredWork.TAKEN_UP, by, job=job, line=line, reason=said)
        elif on_job:
            _step(work, DeferredWork.OPEN, by, reason=_some_of_it(job, on_job))
        elif other := _other_that_is_charged(work, charged):
            said = f"“{other}” is charged on job {job.number} instead"
            _step(work, DeferredWork.DROPPED, by, reason=said)
        elif not _said_again(work, by):
            _step(work, DeferredWork.OPEN, by, reason=f"A later answer was withdrawn: {reason}")


def _said_again(work: DeferredWork, by: Person) -> bool:
    """Have it as the last answer says that stands and came after it was declined; whether there is one."""
    after = work.job.authorizations.filter(withdrawn_at=None, pk__gt=work.authorization_id, pieces__key=work.key)
    answer = after.order_by("pk").last()
    if answer is None:
        return False
    pieces = list(answer.pieces.all())
    taken = [one for one in pieces if one.is_taken]
    version = f"version {answer.revision} of the estimate"
    if any(one.key == work.key for one in taken):
        _step(work, DeferredWork.TAKEN_UP, by, job=work.job, reason=f"{AGREED} {version}")
    elif work.alternatives and any(one.alternatives == work.alternatives for one in taken):
        _step(work, DeferredWork.DROPPED, by, reason=f"{OTHERWISE} {version}")
    else:
        _step(work, DeferredWork.DROPPED, by, reason=f"{AGAIN} {version}")
    return True


def _other_that_is_charged(work: DeferredWork, charged: Collection[UUID]) -> str:
    """The option of the same choice that is on the job; empty where none is."""
    if not work.alternatives:
        return ""
    lines = EstimateLine.objects.filter(estimate__job=work.job_id, key__in=charged)
    found = lines.filter(option__alternatives=work.alternatives).exclude(option__key=work.key).select_related("option")
    line = found.order_by("pk").last()
    return str(line.option) if line is not None else ""


def _some_of_it(job: Job, lines: Sequence[EstimateLine]) -> str:
    some = ", ".join(f"“{one.description}”" for one in lines)
    said = some if len(some) <= MOST_NAMED else f"{some[: MOST_NAMED - 1]}…"
    return f"Job {job.number} has some of it charged: {said}. The rest is open"


@command("take_up_deferred", needs=Permission.OPEN_JOBS, writes_to="line.job.vessel")
def take_up_deferred(
    *, by: Person, deferred: DeferredWork, line: JobLine, entry_id: uuid.UUID | None = None
) -> DeferredWork:
    """Note that deferred work is a line of a job now. Of options that exclude each other the others are dropped.

    Raises:
        Refused: it was taken up or dropped in the meantime, or is of another boat.
    """
    stored = _stored(deferred)
    if stored.state != DeferredWork.OPEN:
        raise Refused(f"“{stored}” {_stands(stored)} already.")
    _step(stored, DeferredWork.TAKEN_UP, by, job=line.job, line=line)
    _drop_the_others(stored, by)
    return stored


def _drop_the_others(taken_up: DeferredWork, by: Person) -> None:
    """Of options that exclude each other one is enough."""
    if taken_up.alternatives:
        others = taken_up.authorization.deferred.filter(alternatives=taken_up.alternatives, state=DeferredWork.OPEN)
        for other in others.exclude(pk=taken_up.pk):
            _step(other, DeferredWork.DROPPED, by, reason=f"“{taken_up}” was taken up instead")


def note_what_was_charged(by: Person, estimate: Estimate, keys: Collection[UUID]) -> None:
    """What was declined and is charged all the same is taken up; where that is some of it, it stays open and says so.

    ``keys`` are those of lines, and of options that were charged whole.
    """
    job = estimate.job
    before = set(job.charges.filter(struck_at=None).exclude(origin=None).values_list("origin", flat=True))
    of_this_job = DeferredWork.objects.select_for_update(of=("self",)).filter(job=job, state=DeferredWork.OPEN)
    for work in of_this_job.select_related("authorization"):
        covered = _lines_of(work)
        now = [one for one in covered if one.key in keys]
        if not now and work.key not in keys:
            continue
        reason = f"Charged from version {estimate.revision} of the estimate, though it was declined"
        if (work.key in keys and not covered) or all(one.key in before or one.key in keys for one in covered):
            line = next((one.job_line for one in covered if one.job_line is not None), None)
            _step(work, DeferredWork.TAKEN_UP, by, job=job, line=line, reason=reason)
            _drop_the_others(work, by)
        else:
            _step(work, DeferredWork.OPEN, by, reason=_some_of_it(job, now))


def _lines_of(work: DeferredWork) -> list[EstimateLine]:
    """The lines that deferred work is about: all of an option, or of a concern that was declined whole."""
    every = EstimateLine.objects.filter(estimate__job=work.job_id, estimate__revision=work.revision)
    every = every.select_related("job_line", "option")
    declined = {piece.key for piece in work.authorization.pieces.all() if not piece.is_taken}
    of_option = [one for one in every if one.option is not None and one.option.key == work.key]
    if of_option:
        return of_option
    own = [one for one in every if one.option_id is None and one.percent is None]
    first = next((one for one in own if one.key == work.key), None)
    if first is None:
        return []
    of_concern = [one for one in own if one.job_line_id is not None and one.job_line_id == first.job_line_id]
    return of_concern if of_concern and all(one.key in declined for one in of_concern) else [first]


@command("drop_deferred", needs=Permission.SET_PRICES, writes_to="deferred.vessel")
def drop_deferred(
    *, by: Person, deferred: DeferredWork, reason: str, entry_id: uuid.UUID | None = None
) -> DeferredWork:
    """Offer deferred work no longer.

    Raises:
        Refused: nobody said why, or it is not open.
    """
    stored = _stored(deferred)
    _refuse_silence(reason, "Write why it is no longer offered.")
    if stored.state != DeferredWork.OPEN:
        raise Refused(f"“{stored}” {_stands(stored)} already.")
    _step(stored, DeferredWork.DROPPED, by, reason=reason)
    return stored


@command("reopen_deferred", needs=Permission.SET_PRICES, writes_to="deferred.vessel")
def reopen_deferred(
    *, by: Person, deferred: DeferredWork, reason: str, entry_id: uuid.UUID | None = None
) -> DeferredWork:
    """Offer it again: it was dropped by mistake, or taken up and not done.

    Raises:
        Refused: nobody said why, or it is open.
    """
    stored = _stored(deferred)
    _refuse_silence(reason, "Write why it is offered again.")
    if stored.state == DeferredWork.OPEN:
        raise Refused(f"“{stored}” is open already.")
    _step(stored, DeferredWork.OPEN, by, reason=reason)
    return stored


def _stored(deferred: DeferredWork) -> DeferredWork:
    return (
        DeferredWork.objects.select_for_update(of=("self",))
        .select_related("vessel", "authorization")
        .get(pk=deferred.pk)
    )


def _stands(work: DeferredWork) -> str:
    last = work.steps.select_related("job").last()
    if last is not None and last.job is not None:
        return f"was taken up on job {last.job.number}"
    return "was dropped"


def _refuse_silence(reason: str, sentence: str) -> None:
    if not reason.strip():
        raise Refused(sentence, fields={"reason": sentence})
