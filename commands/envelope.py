"""The envelope: ``@command`` under an action makes it an act that is done once and whole, or refused with a sentence.

The client chooses the act's id and sends it with the form (``entry_id``, because an act that logs gives its id to the
entry). Around each action the envelope opens the transaction, asks the policy, finds whether the act was done before,
takes the turn of the record that it writes to, checks that what it names belongs together, calls the action, and keeps
what was done in the journal (``commands.models.Command``). The action is left with what is peculiar to it.

Sent again with the same content, by whatever chance, an act is answered with what came of it the first time; two that
arrive at once are done one after the other, so that the second is a repetition. The same id with another content is
another act under a wrong name: it is refused, and nothing that somebody wrote is taken for done.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import wraps
from typing import Any, ParamSpec, TypeVar, cast
from uuid import UUID, uuid4

from django.apps import apps
from django.db import models, transaction

from commands import journal
from commands.content import named
from commands.hooks import ask, refuse_strangers
from commands.journal import Known
from commands.models import Command
from commands.questions import all_at_once
from commands.refusals import Refused
from commands.registry import ACTOR, COMMANDS, ID, Envelope, Given
from commands.sender import sender

P = ParamSpec("P")
T = TypeVar("T")

SENT_BEFORE = "This form was already logged with other content. Open a new form and log this again."
USED_ELSEWHERE = "This form was already used for something else. Open a new form and send it again."
OUTCOME_IS_GONE = "This form was already sent, and its result no longer exists. Open a new form."
MOST_RECORDS = 100
UNCHANGED = {"unchanged": True}
"""What the journal is told of an act after which all is as it was before."""


@dataclass
class _Act:
    """An act that is under way: the ids of those that it is part of, what is kept at its end, what its parts made."""

    keys: frozenset[UUID] = frozenset()
    is_act: bool = True
    kept: list[Command] = field(default_factory=list)
    made: list[Any] = field(default_factory=list)
    told: dict[str, Any] = field(default_factory=dict)
    left_all: bool = False


_under_way: ContextVar[_Act | None] = ContextVar("commands_under_way", default=None)


def command(
    kind: str,
    *,
    needs: Any = (),
    writes_to: str = "",
    about: tuple[str, ...] = (),
    worked_out: tuple[str, ...] = (),
    as_kept: Mapping[str, Callable[[Any], Any]] | None = None,
    secret: tuple[str, ...] = (),
    same_secret: Callable[[Given], bool] | None = None,
    again: Callable[[Given], Any] | None = None,
    parts: Mapping[str, tuple[str, ...]] | None = None,
    on_its_page: str = "",
    not_queued: tuple[str, ...] = (),
) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Put the envelope under an action, which takes ``by`` and ``entry_id`` by name.

    ``needs``: the permission, or a function of the arguments that gives it; several are all needed, none is nobody's.
    ``writes_to``: the record whose turn is taken, as a path from an argument, such as ``unit.vessel``. ``about``:
    further arguments that the journal names, such as the actor of an act on oneself. ``worked_out``: arguments that
    the program itself derives from the others; they are no part of what was said, and may come out differently when
    the form arrives a second time. ``as_kept`` says of an argument what is kept of it, where two ways to say it
    are one.
    ``secret``: arguments that no digest covers; ``same_secret`` then says whether a repetition holds the same.
    ``again`` answers a repetition where what came of the first is no record. ``parts``: arguments that are handed on
    to another act, with its kind and the names that this act says itself. ``on_its_page`` says why the act is done on
    its page alone and never from a queue; ``not_queued`` names arguments that only a page here may say.

    Raises (from the action):
        Refused: the id stands for another act, or for this one with other content; the person may not; or what is
            named does not belong together.
    """

    def under(action: Callable[P, T]) -> Callable[P, T]:
        @wraps(action)
        def enveloped(*args: P.args, **kwargs: P.kwargs) -> T:
            given = envelope.given(args, kwargs)
            with _keeping_what_was_tried(), transaction.atomic(), all_at_once():
                ask(given.get(ACTOR), envelope.needed(given))
                return cast("T", _do(envelope, given, lambda: action(*args, **kwargs)))

        envelope = Envelope(
            kind=kind,
            action=enveloped,
            signature=inspect.signature(action),
            needs=needs,
            writes_to=writes_to,
            about=about,
            worked_out=worked_out,
            as_kept=as_kept or {},
            secret=secret,
            same_secret=same_secret,
            again=again,
            parts=parts or {},
            on_its_page=on_its_page,
            not_queued=not_queued,
        )
        enveloped.envelope = envelope  # type: ignore[attr-defined]
        COMMANDS[kind] = envelope
        return enveloped

    return under


@contextmanager
def together() -> Iterator[None]:
    """Several acts in one transaction, all or none; what was done is kept at the end of all."""
    outer = _under_way.get()
    with _keeping_what_was_tried(), transaction.atomic(), _as(outer or _Act(is_act=False)) as act:
        yield
        if outer is None:
            journal.write(act.kept)


@contextmanager
def _keeping_what_was_tried() -> Iterator[None]:
    """Once the outermost act is undone, have a refusal keep what it says has to be known."""
    try:
        yield
    except Refused as refusal:
        if _under_way.get() is None and refusal.once_undone is not None:
            once_undone, refusal.once_undone = refusal.once_undone, None
            once_undone()
        raise


def tell(**told: Any) -> None:
    """Tell the journal what changed: names of fields, and figures or choices before and after, as texts; no secrets."""
    act = _under_way.get()
    if act is not None:
        act.told.update(told)


def tell_unchanged() -> None:
    """Tell the journal that a record is left as it was; what else the act tells of counts for more."""
    act = _under_way.get()
    if act is not None:
        act.left_all = True


def outcome_of(key: UUID | None, kind: str) -> models.Model | None:
    """What came of a command, for a form that looks at what it sent before it is judged; None for an unknown one."""
    known = Command.objects.filter(pk=key, kind=kind).first() if key is not None else None
    return _record(known.outcome) if known is not None else None


def was_done(key: UUID | None, kind: str) -> bool:
    """Whether an act was done under this id, for a page whose record the act took away."""
    return key is not None and Command.objects.filter(pk=key, kind=kind).exists()


def _do(envelope: Envelope, given: Given, action: Callable[[], Any]) -> Any:
    """Do an act, or answer a repetition."""
    outer, key = _under_way.get(), given.get(ID)
    if outer is not None and ((key is None and outer.is_act) or key in outer.keys):
        _prepare(envelope, given)
        outcome = action()  # a part of the act that is under way
        outer.made.append(outcome)
        return outcome
    digest = envelope.digest(given)
    if isinstance(key, UUID):
        known = journal.known(key)
        if known is not None:
            return _answer(known, envelope, digest, given)
    else:
        key = uuid4()
    held = _prepare(envelope, given)
    keys = outer.keys if outer else frozenset()
    with _as(_Act(keys | {key}, kept=outer.kept if outer else [])) as act:
        outcome = action()
        actor = given.get(ACTOR)
        said_by = sender()
        act.kept.append(
            Command(
                pk=key,
                kind=envelope.kind,
                actor_id=actor.pk if isinstance(actor, models.Model) else None,
                device=said_by.device,
                at=said_by.at,
                digest=digest,
                outcome=named(outcome) if isinstance(outcome, models.Model) and outcome.pk is not None else "",
                records=_records(envelope, given, held, [outcome, *act.made]),
                told=dict(UNCHANGED) if act.left_all and not _differs(act.told) else act.told,
                chain=_chain(held, actor),
            )
        )
        if outer is None:
            journal.write(act.kept)
        else:
            outer.made += [outcome, *act.made]
    return outcome


def _differs(told: Mapping[str, Any]) -> bool:
    """Whether anything that an act tells differs before and after."""
    return any(not isinstance(one, list) or len(one) != 2 or one[0] != one[1] for one in told.values())


def _chain(held: models.Model | None, actor: Any) -> str:
    """The chain of an act: of the record whose turn it holds, or of the person; "machine" where nobody is logged in."""
    holder = held if held is not None else actor
    return named(holder) if isinstance(holder, models.Model) else "machine"


def _prepare(envelope: Envelope, given: Given) -> models.Model | None:
    """Take the turn of what is written to, and look whether what is named belongs to it."""
    held = next(reversed(envelope.way(given)), None)
    if held is not None:
        journal.take_turn(held)
        refuse_strangers(held, given)
    return held


def _records(envelope: Envelope, given: Given, held: models.Model | None, made: list[Any]) -> list[str]:
    """What an act was about, by table and key: what came of it, its arguments that are records, what its parts made."""
    found: list[Any] = [held, made[0], *envelope.way(given)]
    for name, value in given.items():
        if name != ACTOR or name in envelope.about:
            found += value if isinstance(value, list | tuple) else [value]
    found += made[1:]
    names = (named(one) for one in found if isinstance(one, models.Model) and one.pk is not None)
    return list(dict.fromkeys(names))[:MOST_RECORDS]


@contextmanager
def _as(act: _Act) -> Iterator[_Act]:
    """While an act is under way, those that it calls with its own id, or without any, are part of it."""
    token = _under_way.set(act)
    try:
        yield act
    finally:
        _under_way.reset(token)


def _answer(known: Known, envelope: Envelope, digest: str, given: Given) -> Any:
    """What came of the first sending; a record that the caller holds is brought up to date and given back."""
    if known.kind != envelope.kind:
        raise Refused(USED_ELSEWHERE)
    if known.digest != digest:
        raise Refused(SENT_BEFORE)
    answer = envelope.again(given) if envelope.again else _held(known, given) or _record(known.outcome)
    if envelope.same_secret is not None and not envelope.same_secret({**given, "outcome": answer}):
        raise Refused(SENT_BEFORE)
    return answer


def _held(known: Known, given: Given) -> models.Model | None:
    for held in given.values():
        if isinstance(held, models.Model) and named(held) == known.outcome:
            held.refresh_from_db()
            return held
    return None


def _record(outcome: str) -> models.Model | None:
    if not outcome:
        return None
    label, _, key = outcome.partition(":")
    model = apps.get_model(label)
    record: models.Model | None = model._default_manager.filter(pk=key).first()
    if record is None:
        raise Refused(OUTCOME_IS_GONE)
    return record
