"""The form controls of each kind of field."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from engineering.measures import Kind, preferred_unit, to_si, units_of
from engineering.units import System
from findings.bench.fields import Bounds, Choice, Day, Field, FromRecords, Option, Quantity, Whole, Words

MOST_BUTTONS = 4
"""Up to so many choices are buttons; more are a list."""
LONGEST = 40
ZERO, ONE = Decimal(0), Decimal(1)


class UnitSelect(forms.Select):
    """Units to choose. Those that shops of either habit read carry their factor, so that the value is shown in them."""

    def __init__(self, kind: Kind, number: str) -> None:
        """Offer the units of a kind for the number with this control name."""
        super().__init__(
            attrs={"data-unit-for": f"id_{number}"}, choices=[(one.key, one.label) for one in units_of(kind)]
        )
        self.usual = {preferred_unit(kind, "us"), preferred_unit(kind, "metric")}

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        """An option with what units.js converts by."""
        option: dict[str, Any] = super().create_option(name, value, *args, **kwargs)
        key = str(value)
        if key in self.usual or kwargs.get("selected") or (args and args[1]):
            zero = to_si(ZERO, key)
            option["attrs"] |= {"data-factor": f"{to_si(ONE, key) - zero:f}", "data-offset": f"{zero:f}"}
        return option


def number_control(field: Field, *, label: str = "", required: bool | None = None) -> forms.CharField:
    """A text field for a number, with or without its unit."""
    return forms.CharField(
        label=label or field.label,
        required=field.required if required is None else required,
        max_length=LONGEST,
        error_messages={"required": "Enter a value."},
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )


def first_unit(field: Quantity | Bounds, system: System) -> str:
    """The unit that is chosen at first."""
    chosen = field.us if system == "us" else field.metric
    return chosen or (field.to if field.fixed else preferred_unit(field.kind, system))


def unit_words(field: Quantity | Bounds) -> str:
    """The unit in words, where there is none to choose."""
    if field.fixed:
        return field.fixed
    offered = units_of(field.kind)
    return offered[0].label if len(offered) == 1 else ""


def has_units(field: Quantity | Bounds) -> bool:
    """Whether there is more than one unit to choose from."""
    return not field.fixed and len(units_of(field.kind)) > 1


def unit_control(field: Quantity | Bounds, number: str, system: System) -> forms.ChoiceField:
    """The units beside a number."""
    return forms.ChoiceField(
        label=f"Unit of {field.label}",
        required=False,
        choices=[(one.key, one.label) for one in units_of(field.kind)],
        initial=first_unit(field, system),
        widget=UnitSelect(field.kind, number),
    )


def choice_control(field: Choice) -> forms.ChoiceField:
    """A few buttons, or a list."""
    options = list(field.options)
    few = len(options) <= MOST_BUTTONS
    if not few and not (field.required and field.default):
        options = [("", "Choose"), *options]
    return forms.ChoiceField(
        label=field.label,
        required=field.required,
        choices=options,
        error_messages={"required": "Choose one.", "invalid_choice": "Choose one from the list."},
        widget=forms.RadioSelect if few else forms.Select,
    )


def record_control(field: FromRecords, options: Sequence[Option]) -> forms.ChoiceField:
    """The records to choose from."""
    return forms.ChoiceField(
        label=field.label,
        required=field.required,
        choices=[("", "Choose"), *((option.key, option.label) for option in options)],
        error_messages={
            "required": "Choose one.",
            "invalid_choice": "That is no longer there. Choose one from the list.",
        },
    )


def plain_control(field: Field) -> forms.Field:
    """The control of a whole number, a date or a few words."""
    if isinstance(field, Whole):
        return forms.IntegerField(
            label=field.label,
            required=field.required,
            min_value=field.least,
            max_value=field.most,
            error_messages={
                "required": "Enter a number.",
                "invalid": "Enter a whole number, such as 4.",
                "min_value": f"At least {field.least}.",
                "max_value": f"At most {field.most}.",
            },
            widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        )
    if isinstance(field, Day):
        return forms.DateField(
            label=field.label,
            required=field.required,
            error_messages={"required": "Give the date.", "invalid": "Enter the date as year-month-day: 2026-05-31."},
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        )
    if isinstance(field, Words):
        keys = {"inputmode": "decimal"} if field.keys == "decimal" else {}
        return forms.CharField(
            label=field.label,
            required=field.required,
            max_length=field.longest,
            error_messages={"required": "Fill this in."},
            widget=forms.TextInput(attrs={"autocomplete": "off", **keys}),
        )
    raise TypeError(f"the Bench has no control for {type(field).__name__}")
