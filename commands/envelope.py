"""The envelope: ``@command`` under an action makes it an act that is done once, or refused with a sentence.

The client chooses the act's id and sends it with the form (``entry_id``, because an act that logs gives its id to the
entry). Sent again with the same content, by whatever chance, it is answered with what came of it the first time; two
that arrive at once are done one after the other, so that the second is a repetition. The same id with another content
is another act under a wrong name: it is refused, and nothing that somebody wrote is taken for done.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar, cast
from uuid import UUID

from django.apps import apps
from django.db import connection, models, transaction

from commands.content import digest_of, named
from commands.models import Command
from commands.refusals import Refused

P = ParamSpec("P")
T = TypeVar("T")

ID, ACTOR = "entry_id", "by"
SENT_BEFORE = "This form was already logged with other content. Open a new form and log this again."
USED_ELSEWHERE = "This form was already used for something else. Open a new form and send it again."
OUTCOME_IS_GONE = "This form was already sent, and its result no longer exists. Open a new form."

_under_way: ContextVar[frozenset[UUID]] = ContextVar("commands_under_way", default=frozenset())


def command(
    kind: str, *, worked_out: tuple[str, ...] = (), as_kept: Mapping[str, Callable[[Any], Any]] | None = None
) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Put the envelope under an action, which takes ``by`` and ``entry_id`` by name.

    ``worked_out`` names arguments that the program itself derives from the others: they are no part of what was said,
    and may come out differently when the form arrives a second time. ``as_kept`` says of an argument what is kept of
    it, where two ways to say it are one.

    Raises (from the action):
        Refused: the id stands for another act, or for this one with other content.
    """

    def under(action: Callable[P, T]) -> Callable[P, T]:
        signature, kept = inspect.signature(action), as_kept or {}
        defaults = {name: one.default for name, one in signature.parameters.items()}

        @wraps(action)
        def enveloped(*args: P.args, **kwargs: P.kwargs) -> T:
            given = _given(signature, args, kwargs)
            key = given.get(ID)
            with transaction.atomic():
                if not isinstance(key, UUID) or key in _under_way.get():
                    return action(*args, **kwargs)
                said = {
                    name: kept[name](value) if name in kept else value
                    for name, value in given.items()
                    if name != ID and name not in worked_out and not _is_default(value, defaults.get(name))
                }
                _take_turn(key)
                digest = digest_of(kind, said)
                known = Command.objects.filter(pk=key).first()
                if known is not None:
                    return cast("T", _answer(known, kind, digest, given))
                with _doing(key):
                    outcome = action(*args, **kwargs)
                actor = given.get(ACTOR)
                Command.objects.create(
                    pk=key,
                    kind=kind,
                    actor_id=actor.pk if isinstance(actor, models.Model) else None,
                    digest=digest,
                    outcome=named(outcome) if isinstance(outcome, models.Model) else "",
                )
                return outcome

        return enveloped

    return under


def outcome_of(key: UUID | None, kind: str) -> models.Model | None:
    """What came of a command, for a form that looks at what it sent before it is judged; None for an unknown one."""
    known = Command.objects.filter(pk=key, kind=kind).first() if key is not None else None
    return _record(known.outcome) if known is not None else None


def _given(signature: inspect.Signature, args: Any, kwargs: Any) -> dict[str, Any]:
    """The arguments by name, those of a ``**`` parameter among them."""
    given: dict[str, Any] = {}
    for name, value in signature.bind(*args, **kwargs).arguments.items():
        if signature.parameters[name].kind is inspect.Parameter.VAR_KEYWORD:
            given |= value
        else:
            given[name] = value
    return given


def _is_default(value: Any, default: Any) -> bool:
    """Left out or said, a default says the same: so that an argument added later leaves older digests as they are."""
    return type(value) is type(default) and value == default


def _take_turn(key: UUID) -> None:
    """Wait for another sending of the same act that is under way."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [key.int % 2**63])


@contextmanager
def _doing(key: UUID) -> Iterator[None]:
    """While an act is under way, those that it calls with its own id are part of it."""
    token = _under_way.set(_under_way.get() | {key})
    try:
        yield
    finally:
        _under_way.reset(token)


def _answer(known: Command, kind: str, digest: str, given: Mapping[str, Any]) -> Any:
    """What came of the first sending; a record that the caller holds is brought up to date and given back."""
    if known.kind != kind:
        raise Refused(USED_ELSEWHERE)
    if known.digest != digest:
        raise Refused(SENT_BEFORE)
    for held in given.values():
        if isinstance(held, models.Model) and named(held) == known.outcome:
            held.refresh_from_db()
            return held
    return _record(known.outcome)


def _record(outcome: str) -> models.Model | None:
    if not outcome:
        return None
    label, _, key = outcome.partition(":")
    model = apps.get_model(label)
    record: models.Model | None = model._default_manager.filter(pk=key).first()
    if record is None:
        raise Refused(OUTCOME_IS_GONE)
    return record
