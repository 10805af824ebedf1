"""Acts that a device queued while it had no connection, as JSON, and doing them when they arrive.

A queued act is an object with ``id`` (a UUID that the device chose), ``act`` (its kind), ``actor`` (who wrote it),
``at`` (when, by the device, with the offset), ``device`` (what it calls itself; may be left out) and ``arguments``.
It is done by the same action as its form is, under the same envelope: sent again it is answered as the first time.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import models

from commands.arguments import taken_by
from commands.content import named
from commands.json_values import SCALARS, TypeMismatch, read_names
from commands.questions import nobody_to_ask
from commands.refusals import Refused
from commands.registry import ACTOR, ID, Envelope, all_acts
from commands.sender import sent_from

FORMS = {"id": SCALARS[UUID], "act": SCALARS[str], "actor": SCALARS[str], "at": SCALARS[datetime],
         "device": SCALARS[str]}  # fmt: skip
WRITTEN_BY_ANOTHER = "This was written by somebody else. Only who wrote it can send it."
MOST = 1_000_000


def queued(
    kind: str, *, by: models.Model, at: datetime, entry_id: UUID, device: str = "", **given: Any
) -> dict[str, Any]:
    """An act as a device queues it.

    Raises:
        CannotBeQueued: it carries a secret, a file, or what only its page can make.
    """
    taken = taken_by(_known(kind))
    return {
        "id": str(entry_id),
        "act": kind,
        "actor": named(by),
        "at": SCALARS[datetime].write(at),
        "device": device,
        "arguments": taken.to_json(taken.of(given)),
    }


def replay(said: str | bytes | Mapping[str, Any], *, by: AbstractBaseUser) -> Any:
    """Do a queued act for ``by``, who has logged in to send it; what the action gives back.

    What it says of no time of its own happened when it was written, not when it arrived. The journal keeps both.

    Raises:
        NotYet: a record that it names may still come: keep it, and send it again after what makes that.
        CannotBeQueued: this act is never done this way.
        Refused: it does not fit, was written by somebody else, or the action refuses it; sent again it would be
            refused again, so a person has to look at it.
    """
    told = _object(said)
    arguments = told.pop("arguments", None)
    try:
        head = read_names(told, FORMS, ["id", "act", "actor", "at"])
    except TypeMismatch as misfit:
        where = f"“{misfit.path.lstrip('.')}”" if misfit.path else "it"
        raise Refused(f"This is no queued act: {where} has to be {misfit.wanted}.") from misfit
    if head["actor"] != named(by):
        raise Refused(WRITTEN_BY_ANOTHER)
    envelope = _known(head["act"])
    with nobody_to_ask(), sent_from(head.get("device", ""), lambda: head["at"]):
        given = taken_by(envelope).from_json(arguments).given()
        return envelope.action(**_in_its_time(envelope, given, head["at"]), **{ACTOR: by, ID: head["id"]})


def _in_its_time(envelope: Envelope, given: dict[str, Any], at: datetime) -> dict[str, Any]:
    """A finding happened when it was written; what corrects another one keeps the time of that, or says its own."""
    may_say = "happened_at" in taken_by(envelope).forms
    if not may_say or given.get("happened_at") is not None or given.get("amends") is not None:
        return given
    return {**given, "happened_at": at}


def _object(said: str | bytes | Mapping[str, Any]) -> dict[str, Any]:
    if isinstance(said, Mapping):
        return dict(said)
    if len(said) > MOST:
        raise Refused(f"This is no queued act: it is longer than {MOST:,} signs.")
    try:
        told = json.loads(said)
    except (ValueError, RecursionError) as problem:
        raise Refused("This is no queued act: it is not JSON.") from problem
    if not isinstance(told, dict):
        raise Refused("This is no queued act: it is no object.")
    return told


def _known(kind: str) -> Envelope:
    envelope = all_acts().get(kind)
    if envelope is None:
        raise Refused(f"There is no act “{kind[:60]}”.")
    return envelope
