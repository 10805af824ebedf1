"""Frozen dataclasses as plain JSON values, and read again from those: invoices, estimates, condition reports."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypeVar

from cattrs import Converter
from cattrs.errors import BaseValidationError, ForbiddenExtraKeysError

T = TypeVar("T")


class UnreadableRecord(ValueError):  # noqa: N818 - reads as a statement about the text
    """JSON values are not those of the dataclass that they were taken for."""


def dataclass_converter(*, forbid_extra_keys: bool = True) -> Converter:
    """A converter of dataclasses of plain values, decimals, days, moments, enumerations, tuples and each other.

    ``unstructure`` makes an object of each dataclass, in the order of its fields, and an array of each tuple; any other
    value stays as it is, for ``canonical_json`` or a hook of the caller. Read with :func:`structured`, which refuses
    names that are no field unless ``forbid_extra_keys`` is False.
    """
    converter = Converter(
        detailed_validation=False, forbid_extra_keys=forbid_extra_keys, unstruct_collection_overrides={tuple: list}
    )
    # Texts, numbers, yes and no as they stand; an enumeration of texts is none of them.
    converter.register_structure_hook_func(lambda kind: kind in {str, int, bool}, _as_it_is)
    converter.register_structure_hook(Decimal, lambda text, _: Decimal(text))
    converter.register_structure_hook(datetime, lambda text, _: datetime.fromisoformat(text))
    converter.register_structure_hook(date, lambda text, _: date.fromisoformat(text))
    return converter


def structured(converter: Converter, kind: type[T], values: Any) -> T:
    """The dataclass whose JSON values these are. A field that they do not have keeps its default.

    Raises:
        UnreadableRecord: a field without a default is missing, one is not known, or a value is of another kind.
    """
    try:
        return converter.structure(values, kind)
    except (
        ArithmeticError,
        AttributeError,
        BaseValidationError,
        ForbiddenExtraKeysError,
        KeyError,
        TypeError,
        ValueError,
    ) as problem:
        raise UnreadableRecord(f"These are not the values of a {kind.__name__}: {problem!r}") from problem


def _as_it_is(value: Any, _: Any) -> Any:
    return value
