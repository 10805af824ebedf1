"""How a record is written as JSON and found again: by its table and key, or by the act that will have made it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models

from commands.content import named
from commands.json_values import Form, NoForm, TypeMismatch
from commands.models import Command
from commands.refusals import NotYet, Refused

ACT = "act"


def of_record(model: type[models.Model], *, as_key: bool = False) -> Form:
    """A record of this table, or its key alone."""
    label = model._meta.label_lower

    def write(value: Any) -> str:
        if as_key and type(value) is int:
            return f"{label}:{value}"
        if not isinstance(value, model) or value.pk is None:
            raise NoForm(type(value).__name__)
        return named(value)

    def read(value: Any) -> Any:
        prefix, _, key = value.partition(":") if isinstance(value, str) else ("", "", "")
        if prefix not in {label, ACT} or not key:
            raise TypeMismatch(f'a record such as "{label}:1"', value)
        found = _made_by(model, key, value) if prefix == ACT else _stored(model, key, value)
        return found.pk if as_key else found

    return Form(label, write, read)


def _stored(model: type[models.Model], key: str, value: str) -> models.Model:
    """A record by its key. Keys that a device may choose are those of acts that may still be on their way."""
    try:
        found = model._default_manager.filter(pk=key).first()
    except (ValueError, ValidationError, OverflowError) as error:
        raise TypeMismatch(f'a record such as "{model._meta.label_lower}:1"', value) from error
    if found is not None:
        return found
    if isinstance(_key_field(model), models.UUIDField):
        raise NotYet(f"{value} is not on record yet. Keep this, and send it again after what makes it.")
    raise Refused(f"{value} is not on record. It was removed, or it never was here.")


def _key_field(model: type[models.Model]) -> models.Field[Any, Any]:
    field: Any = model._meta.pk
    while field.remote_field is not None:
        field = field.target_field
    return field  # type: ignore[no-any-return]


def _made_by(model: type[models.Model], key: str, value: str) -> models.Model:
    """What came of an act."""
    try:
        act = Command.objects.filter(pk=UUID(key)).first()
    except ValueError as error:
        raise TypeMismatch('what came of an act, such as "act:<its id>"', value) from error
    if act is None:
        raise NotYet(f"{value} is not done yet. Keep this, and send it again after that.")
    label, _, made = act.outcome.partition(":")
    if label != model._meta.label_lower:
        raise Refused(f"Of {value} came no {model._meta.verbose_name}: it was “{act.kind}”.")
    return _stored(model, made, act.outcome)
