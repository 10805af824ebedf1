"""Form fields for figures as people write them."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import ngettext_lazy

from commands.refusals import one_limit
from engineering.measures import MeasureProblem, parse_number
from engineering.plurals import counted

_CURRENCY = re.compile(r"^\s*(?:[A-Z]{3}\b|[$€£¥₹₩₺₽₱])\s*|\s*(?:\b[A-Z]{3}|[$€£¥₹₩₺₽₱])\s*$")


EARLIEST_YEAR, LATEST_YEAR = 1900, 2999


class FigureField(forms.DecimalField):
    """A decimal number with a point or a comma, and a sentence when it is neither."""

    widget = forms.TextInput

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.max_digits and self.decimal_places is not None:
            whole = self.max_digits - self.decimal_places
            self.error_messages["max_digits"] = (
                f"At most {counted(whole, 'digit')} before the decimal point and {self.decimal_places} after it."
            )
        self.error_messages["max_decimal_places"] = ngettext_lazy(
            "At most %(max)s digit after the decimal point.", "At most %(max)s digits after the decimal point.", "max"
        )
        self.error_messages["max_whole_digits"] = ngettext_lazy(
            "At most %(max)s digit before the decimal point.", "At most %(max)s digits before the decimal point.", "max"
        )

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        """The number that was written."""
        if value in self.empty_values:
            return None
        if isinstance(value, Decimal):
            return value
        try:
            return parse_number(str(value))
        except MeasureProblem as problem:
            raise ValidationError(str(problem), code="invalid") from problem

    def run_validators(self, value: Decimal | None) -> None:
        """Refuse what is out of bounds: with the bound alone, not also with how many digits that has."""
        try:
            super().run_validators(value)
        except ValidationError as error:
            raise ValidationError(one_limit(error.error_list)) from error

    def prepare_value(self, value: Any) -> Any:
        """Without zeros that say nothing; money keeps its cents."""
        if isinstance(value, Decimal) and self.decimal_places != 2:
            return f"{value.normalize():f}"
        return value

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Nothing beyond what the look adds: a number control would refuse a comma."""
        return {}


class MoneyField(FigureField):
    """An amount, with or without the sign or the letters of a currency beside it: "$5", "5.00 USD"."""

    def prepare_value(self, value: Any) -> Any:
        """With its cents: 140.00."""
        if isinstance(value, Decimal) and value.is_finite() and value == round(value, 2):
            return f"{value:.2f}"
        return value

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        """The amount that was written; which currency it is in is the shop's to say."""
        return super().to_python(_CURRENCY.sub("", str(value)) if isinstance(value, str) else value)


class MomentField(forms.DateTimeField):
    """A moment in time that a calendar of every zone holds."""

    def to_python(self, value: Any) -> datetime | None:
        """The moment; the years at the edges of the calendar, which no boat has seen, are a slip of the finger."""
        sentence = f"Enter a date from {EARLIEST_YEAR} to {LATEST_YEAR}."
        try:
            moment = super().to_python(value)
        except (OverflowError, ValueError) as problem:
            raise ValidationError(sentence) from problem
        if moment is not None and not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
            raise ValidationError(sentence)
        return moment
