"""The form of a part that a job waits for."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from web.fields import FigureField
from workorders.forms.fields import DayField
from workorders.jobparts.forms.naming import NamedPartForm
from workorders.jobparts.models import AwaitedPart


class AwaitForm(NamedPartForm):
    """A part that is waited for. ``answers()`` goes into ``await_part``, ``changes()`` into ``change_awaited``."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    supplier = forms.CharField(label="From", max_length=80, required=False, help_text="The supplier.")
    ordered_on = DayField(label="Ordered on", required=False)
    expected_on = DayField(
        label="Expected on", required=False, help_text="Leave empty as long as nobody has named a day."
    )
    remark = forms.CharField(max_length=200, required=False, help_text="Order number, for example.")

    look: ClassVar[dict[str, str]] = {
        "number": "half", "maker": "half", "quantity": "third", "line": "two-thirds", "supplier": "half",
        "remark": "half", "ordered_on": "half", "expected_on": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, record: AwaitedPart | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if record is not None:
            self.initial["seen_version"] = record.version
            for name in (*self.changeable, "line"):
                self.initial[name] = record.line_id if name == "line" else getattr(record, name)
            self.initial["quantity"] = record.quantity_words

    changeable: ClassVar[tuple[str, ...]] = (
        "number", "maker", "description", "quantity", "supplier", "ordered_on", "expected_on", "remark",
    )  # fmt: skip

    def answers(self) -> dict[str, Any]:
        """What the adding action is called with."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen_version"}

    def changes(self) -> dict[str, Any]:
        """What the changing action gets as ``changes``."""
        return {name: self.cleaned_data[name] for name in (*self.changeable, "line")}


class PartlyForm(forms.Form):
    """How many came of what is waited for, and how many were waited for when that was typed."""

    quantity = FigureField(max_digits=6, decimal_places=2)
    seen_quantity = FigureField(max_digits=6, decimal_places=2, required=False)
