"""How what an act takes is written as JSON, by its type, and read again: nothing is guessed from the JSON itself.

A record is ``"app.model:key"``, or ``"act:<id>"`` for what came of an act that was queued before it and whose key no
device can know; a decimal is a text; a date or a time is ISO 8601, a time with its offset; an enumeration is its
value; a tuple is a list; a dataclass is an object by its fields. A secret, a file, and whatever else has no form, is
written nowhere.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from enum import Enum
from typing import Annotated, Any, get_args, get_origin
from uuid import UUID

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models

from commands.content import named
from commands.models import Command
from commands.refusals import NotYet, Refused

ACT = "act"


class NoForm(Exception):  # noqa: N818  (not an error of the program)
    """This type, or this value, is never written as JSON."""


class Misfit(Exception):  # noqa: N818  (the same)
    """A JSON value is not of the type. ``path`` leads to it from the argument; ``wanted`` is the type in words."""

    def __init__(self, wanted: str, value: object, path: str = "") -> None:
        super().__init__(wanted)
        self.wanted, self.value, self.path = wanted, value, path


@dataclass(frozen=True)
class Key:
    """Says of an ``int`` that it is the key of a record of a floor above: ``Annotated[int, Key("workorders.job")]``."""

    label: str


@dataclass(frozen=True)
class Form:
    """One type: its name in the list of acts, and both ways. ``write`` raises ``NoForm``, ``read`` ``Misfit``."""

    name: str
    write: Callable[[Any], Any]
    read: Callable[[Any], Any]


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
        return _record(hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _enumeration(hint)
    if is_dataclass(hint) and isinstance(hint, type):
        return of_dataclass(hint)
    raise NoForm(getattr(hint, "__name__", str(hint)))


def _of_generic(origin: Any, args: tuple[Any, ...], mapping: Form | None) -> Form:
    if origin is Annotated and isinstance(args[1], Key):
        return _record(apps.get_model(args[1].label), as_key=True)
    if origin in {typing.Union, types.UnionType}:
        return _union([form_of(one, mapping) for one in args])
    if origin is tuple and Ellipsis not in args:
        return _tuple([form_of(one, mapping) for one in args])
    if isinstance(origin, type) and issubclass(origin, Sequence):
        return _list(form_of(args[0], mapping))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return mapping or PLAIN
    raise NoForm(getattr(origin, "__name__", str(origin)))


def of_names(forms: Mapping[str, Form], required: Sequence[str] = (), name: str = "") -> Form:
    """An object with these names at most."""

    def write(value: Any) -> dict[str, Any]:
        if not isinstance(value, Mapping) or (strange := value.keys() - forms.keys()):
            raise NoForm(", ".join(sorted(strange)) if isinstance(value, Mapping) else type(value).__name__)
        return {one: forms[one].write(said) for one, said in value.items()}

    def read(value: Any) -> dict[str, Any]:
        return read_names(value, forms, required)

    return Form(name or "{" + ", ".join(f'"{one}": {form.name}' for one, form in forms.items()) + "}", write, read)


def read_names(value: Any, forms: Mapping[str, Form], required: Sequence[str]) -> dict[str, Any]:
    """An object's values by name.

    Raises:
        Misfit: it is no object, has a name that is not known, lacks one, or a value does not fit.
    """
    if not isinstance(value, dict):
        raise Misfit("an object", value)
    for one in value:
        if one not in forms:
            raise Misfit("left out: there is no such field", value[one], f".{one}")
    for one in required:
        if one not in value:
            raise Misfit("given: it is missing", None, f".{one}")
    return {one: _at(f".{one}", forms[one].read, said) for one, said in value.items()}


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


def frozen(value: Any) -> Any:
    """The value with every list in it as a tuple."""
    if isinstance(value, list | tuple):
        return tuple(frozen(one) for one in value)
    if isinstance(value, dict):
        return {name: frozen(one) for name, one in value.items()}
    return value


def _at(path: str, read: Callable[[Any], Any], value: Any) -> Any:
    try:
        return read(value)
    except Misfit as misfit:
        raise Misfit(misfit.wanted, misfit.value, path + misfit.path) from misfit


def _scalar(name: str, kinds: tuple[type, ...], read: Callable[[Any], Any], write: Callable[[Any], Any]) -> Form:
    def checked(value: Any) -> Any:
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            raise NoForm(type(value).__name__)
        return write(value)

    return Form(name, checked, read)


def _of_type(kind: type, words: str) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if type(value) is not kind:
            raise Misfit(words, value)
        return value

    return read


def _parsed(words: str, parse: Callable[[str], Any]) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        try:
            if isinstance(value, str):
                return parse(value)
        except (ValueError, InvalidOperation, OverflowError):
            pass
        raise Misfit(words, value)

    return read


def _decimal(text: str) -> Decimal:
    number = Decimal(text)
    if not number.is_finite():
        raise ValueError(text)
    return number


def _moment(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(text)
    return moment


def _day(value: Any) -> str:
    if isinstance(value, datetime):
        raise NoForm("datetime")
    return str(value.isoformat())


SCALARS: dict[Any, Form] = {
    str: _scalar("text", (str,), _of_type(str, "a text"), str),
    bool: _scalar("yes or no", (bool,), _of_type(bool, "true or false"), bool),
    int: _scalar("whole number", (int,), _of_type(int, "a whole number"), int),
    Decimal: _scalar("decimal", (Decimal,), _parsed('a decimal number, as a text such as "12.5"', _decimal), str),
    date: _scalar("date", (date,), _parsed('a date such as "2026-03-14"', date.fromisoformat), _day),
    datetime: _scalar(
        "time",
        (datetime,),
        _parsed('a time with its offset such as "2026-03-14T09:30:00-04:00"', _moment),
        lambda value: value.isoformat(),
    ),
    UUID: _scalar("UUID", (UUID,), _parsed("a UUID", UUID), str),
    type(None): _scalar("null", (type(None),), _of_type(type(None), "null"), lambda value: value),
}


def _plain(value: Any) -> Any:
    if isinstance(value, dict) and all(isinstance(name, str) for name in value):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if value is None or type(value) in {str, int, bool}:
        return value
    raise NoForm(type(value).__name__)


PLAIN = Form("object", _plain, frozen)


def _enumeration(kind: type[Enum]) -> Form:
    values = {one.value: one for one in kind}

    def read(value: Any) -> Enum:
        if not isinstance(value, str | int) or value not in values:
            raise Misfit("one of " + ", ".join(map(str, values)), value)
        return values[value]

    def write(value: Any) -> Any:
        if not isinstance(value, kind):
            raise NoForm(type(value).__name__)
        return value.value

    return Form(" | ".join(f'"{value}"' for value in values), write, read)


def _list(inside: Form) -> Form:
    def write(value: Any) -> list[Any]:
        if isinstance(value, str) or not isinstance(value, Sequence):
            raise NoForm(type(value).__name__)
        return [inside.write(one) for one in value]

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise Misfit("a list", value)
        return tuple(_at(f"[{place}]", inside.read, one) for place, one in enumerate(value))

    return Form(f"[{inside.name}, …]", write, read)


def _tuple(inside: Sequence[Form]) -> Form:
    def write(value: Any) -> list[Any]:
        if not isinstance(value, list | tuple) or len(value) != len(inside):
            raise NoForm(type(value).__name__)
        return [form.write(one) for form, one in zip(inside, value, strict=True)]

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or len(value) != len(inside):
            raise Misfit(f"a list of {len(inside)}", value)
        return tuple(_at(f"[{place}]", inside[place].read, one) for place, one in enumerate(value))

    return Form("[" + ", ".join(form.name for form in inside) + "]", write, read)


def _union(inside: Sequence[Form]) -> Form:
    def write(value: Any) -> Any:
        for form in inside:
            try:
                return form.write(value)
            except NoForm:
                continue
        raise NoForm(type(value).__name__)

    def read(value: Any) -> Any:
        wanted, deepest = [], None
        for form in inside:
            try:
                return form.read(value)
            except Misfit as misfit:
                wanted.append(misfit.wanted)
                deepest = misfit if misfit.path else deepest
        raise deepest or Misfit(" or ".join(wanted), value)

    return Form(" or ".join(dict.fromkeys(form.name for form in inside)), write, read)


def _record(model: type[models.Model], *, as_key: bool = False) -> Form:
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
            raise Misfit(f'a record such as "{label}:1"', value)
        found = _made_by(model, key, value) if prefix == ACT else _stored(model, key, value)
        return found.pk if as_key else found

    return Form(label, write, read)


def _stored(model: type[models.Model], key: str, value: str) -> models.Model:
    """A record by its key. Keys that a device may choose are those of acts that may still be on their way."""
    try:
        found = model._default_manager.filter(pk=key).first()
    except (ValueError, ValidationError, OverflowError) as error:
        raise Misfit(f'a record such as "{model._meta.label_lower}:1"', value) from error
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
        raise Misfit('what came of an act, such as "act:<its id>"', value) from error
    if act is None:
        raise NotYet(f"{value} is not done yet. Keep this, and send it again after that.")
    label, _, made = act.outcome.partition(":")
    if label != model._meta.label_lower:
        raise Refused(f"Of {value} came no {model._meta.verbose_name}: it was “{act.kind}”.")
    return _stored(model, made, act.outcome)


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
        return _list(_record(field.related_model))  # type: ignore[arg-type]
    if field.is_relation:
        form = _record(field.related_model)  # type: ignore[arg-type]
    else:
        hint = next((hint for found, hint in kinds if isinstance(field, found)), None)
        if hint is None:
            raise NoForm(field.name)
        form = SCALARS[hint]
    return _union([form, SCALARS[type(None)]]) if field.null else form
