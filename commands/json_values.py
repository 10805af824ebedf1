"""How values are written as JSON and read again: texts, figures, times, choices, and lists and objects of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from enum import Enum
from typing import Any
from uuid import UUID


class NoForm(Exception):  # noqa: N818  (not an error of the program)
    """This type, or this value, is never written as JSON."""


class TypeMismatch(Exception):  # noqa: N818  (the same)
    """A JSON value is not of the type. ``path`` leads to it from the argument; ``wanted`` is the type in words."""

    def __init__(self, wanted: str, value: object, path: str = "") -> None:
        super().__init__(wanted)
        self.wanted, self.value, self.path = wanted, value, path


@dataclass(frozen=True)
class Form:
    """One type: its name in the list of acts, and both ways. ``write`` raises ``NoForm``, ``read`` ``TypeMismatch``."""

    name: str
    write: Callable[[Any], Any]
    read: Callable[[Any], Any]


def at(path: str, read: Callable[[Any], Any], value: Any) -> Any:
    """What a value inside is read as; a misfit says where it stands."""
    try:
        return read(value)
    except TypeMismatch as misfit:
        raise TypeMismatch(misfit.wanted, misfit.value, path + misfit.path) from misfit


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
        TypeMismatch: it is no object, has a name that is not known, lacks one, or a value does not fit.
    """
    if not isinstance(value, dict):
        raise TypeMismatch("an object", value)
    for one in value:
        if one not in forms:
            raise TypeMismatch("left out: there is no such field", value[one], f".{one}")
    for one in required:
        if one not in value:
            raise TypeMismatch("given: it is missing", None, f".{one}")
    return {one: at(f".{one}", forms[one].read, said) for one, said in value.items()}


def frozen(value: Any) -> Any:
    """The value with every list in it as a tuple."""
    if isinstance(value, list | tuple):
        return tuple(frozen(one) for one in value)
    if isinstance(value, dict):
        return {name: frozen(one) for name, one in value.items()}
    return value


def _scalar(name: str, kinds: tuple[type, ...], read: Callable[[Any], Any], write: Callable[[Any], Any]) -> Form:
    def checked(value: Any) -> Any:
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            raise NoForm(type(value).__name__)
        return write(value)

    return Form(name, checked, read)


def _of_type(kind: type, words: str) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if type(value) is not kind:
            raise TypeMismatch(words, value)
        return value

    return read


def _parsed(words: str, parse: Callable[[str], Any]) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        try:
            if isinstance(value, str):
                return parse(value)
        except (ValueError, InvalidOperation, OverflowError):
            pass
        raise TypeMismatch(words, value)

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


def of_enumeration(kind: type[Enum]) -> Form:
    """One of a few, by its value."""
    values = {one.value: one for one in kind}

    def read(value: Any) -> Enum:
        if not isinstance(value, str | int) or value not in values:
            raise TypeMismatch("one of " + ", ".join(map(str, values)), value)
        return values[value]

    def write(value: Any) -> Any:
        if not isinstance(value, kind):
            raise NoForm(type(value).__name__)
        return value.value

    return Form(" | ".join(f'"{value}"' for value in values), write, read)


def of_list(inside: Form) -> Form:
    """A list of one kind of thing, read as a tuple."""

    def write(value: Any) -> list[Any]:
        if isinstance(value, str) or not isinstance(value, Sequence):
            raise NoForm(type(value).__name__)
        return [inside.write(one) for one in value]

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise TypeMismatch("a list", value)
        return tuple(at(f"[{place}]", inside.read, one) for place, one in enumerate(value))

    return Form(f"[{inside.name}, …]", write, read)


def of_tuple(inside: Sequence[Form]) -> Form:
    """A list of so many things, each of its own kind."""

    def write(value: Any) -> list[Any]:
        if not isinstance(value, list | tuple) or len(value) != len(inside):
            raise NoForm(type(value).__name__)
        return [form.write(one) for form, one in zip(inside, value, strict=True)]

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or len(value) != len(inside):
            raise TypeMismatch(f"a list of {len(inside)}", value)
        return tuple(at(f"[{place}]", inside[place].read, one) for place, one in enumerate(value))

    return Form("[" + ", ".join(form.name for form in inside) + "]", write, read)


def of_union(inside: Sequence[Form]) -> Form:
    """The first of several forms that fits."""

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
            except TypeMismatch as misfit:
                wanted.append(misfit.wanted)
                deepest = misfit if misfit.path else deepest
        raise deepest or TypeMismatch(" or ".join(wanted), value)

    return Form(" or ".join(dict.fromkeys(form.name for form in inside)), write, read)
