"""What was declined is kept as deferred work: taken up in a job, dropped with a reason, or open again."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence

from billing.authorizations.answers import Answer, Chosen, Offer, Piece
from billing.authorizations.models import Authorization, DeferredStep, DeferredWork
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.log.belonging import of_a_boat
from workorders.actions.checking import refuse_unsound
from workorders.models import Job, JobLine

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
            _step(known, DeferredWork.TAKEN_UP, by, job=made.job, line=piece.concern, reason=f"Agreed to on {version}")
        elif chosen.is_chosen_otherwise(piece):
            _step(known, DeferredWork.DROPPED, by, reason=f"Another option was chosen on {version}")
        else:
            _step(known, DeferredWork.DROPPED, by, reason=f"Declined again on {version}")
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
    if stored.alternatives:
        others = stored.authorization.deferred.filter(alternatives=stored.alternatives, state=DeferredWork.OPEN)
        for other in others.exclude(pk=stored.pk):
            _step(other, DeferredWork.DROPPED, by, reason=f"“{stored}” was taken up instead")
    return stored


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
