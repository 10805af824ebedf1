"""How what an act takes is written as JSON, by its type, and read again: nothing is guessed from the JSON itself.

A record is ``"app.model:key"``, or ``"act:<id>"`` for what came of an act that was queued before it and whose key no
device can know; a decimal is a text; a date or a time is ISO 8601, a time with its offset; an enumeration is its
value; a tuple is a list; a dataclass is an object by its fields. A secret, a file, and whatever else has no form, is
written nowhere.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from typing import Annotated, Any, get_args, get_origin
from uuid import UUID

from django.apps import apps
from django.db import models

from commands.json_records import of_record
from commands.json_values import (
    PLAIN,
    SCALARS,
    Form,
    NoForm,
    of_enumeration,
    of_list,
    of_names,
    of_tuple,
    of_union,
)


@dataclass(frozen=True)
class Key:
    """Says of an ``int`` that it is the key of a record of a floor above: ``Annotated[int, Key("workorders.job")]``."""

    label: str


def form_of(hint: Any, mapping: Form | None = None) -> Form:
    """The form of a type; ``mapping`` is that of a ``Mapping[str, Any]``, which does not say what it holds.

    Raises:
        NoForm: the type has none.
    """
    if get_origin(hint) is not None:
        return _of_generic(get_origin(hint), get_args(hint), mapping)
    if hint in SCALARS:
        return SCALARS[hint]
    if isinstance(hint, type) and issubclass(hint, models.Model):
        return of_record(hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return of_enumeration(hint)
    if is_dataclass(hint) and isinstance(hint, type):
        return of_dataclass(hint)
    raise NoForm(getattr(hint, "__name__", str(hint)))


def _of_generic(origin: Any, args: tuple[Any, ...], mapping: Form | None) -> Form:
    if origin is Annotated and isinstance(args[1], Key):
        return of_record(apps.get_model(args[1].label), as_key=True)
    if origin in {typing.Union, types.UnionType}:
        return of_union([form_of(one, mapping) for one in args])
    if origin is tuple and Ellipsis not in args:
        return of_tuple([form_of(one, mapping) for one in args])
    if isinstance(origin, type) and issubclass(origin, Sequence):
        return of_list(form_of(args[0], mapping))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return mapping or PLAIN
    raise NoForm(getattr(origin, "__name__", str(origin)))


def of_fields(model: type[models.Model]) -> Form:
    """Values by the names of a model's fields, of which any may be left out."""
    forms = {}
    for field in [*model._meta.concrete_fields, *model._meta.many_to_many]:
        try:
            forms[field.name] = _of_field(field)
        except NoForm:
            continue
    return of_names(forms, name=f"fields of {model._meta.label_lower}")


def of_dataclass(kind: type) -> Form:
    """A dataclass as an object by its fields."""
    hints = typing.get_type_hints(kind)
    forms = {field.name: form_of(hints[field.name]) for field in fields(kind)}
    required = [one.name for one in fields(kind) if one.default is MISSING and one.default_factory is MISSING]

    def write(value: Any) -> dict[str, Any]:
        if not isinstance(value, kind):
            raise NoForm(type(value).__name__)
        return {name: form.write(getattr(value, name)) for name, form in forms.items()}

    inside = of_names(forms, required)
    return Form(inside.name, write, lambda value: kind(**inside.read(value)))


def _of_field(field: models.Field[Any, Any]) -> Form:
    kinds: list[tuple[tuple[type, ...], Any]] = [
        ((models.FileField, models.BinaryField), None),
        ((models.BooleanField,), bool),
        ((models.IntegerField,), int),
        ((models.DecimalField,), Decimal),
        ((models.DateTimeField,), datetime),
        ((models.DateField,), date),
        ((models.UUIDField,), UUID),
        ((models.CharField, models.TextField), str),
    ]
    if field.many_to_many:
        return of_list(of_record(field.related_model))  # type: ignore[arg-type]
    if field.is_relation:
        form = of_record(field.related_model)  # type: ignore[arg-type]
    else:
        hint = next((hint for found, hint in kinds if isinstance(field, found)), None)
        if hint is None:
            raise NoForm(field.name)
        form = SCALARS[hint]
    return of_union([form, SCALARS[type(None)]]) if field.null else form
