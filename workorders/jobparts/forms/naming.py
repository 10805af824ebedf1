"""What the forms of fitted and of awaited parts share: which part, how many, for which line."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from parts.models import Part
from vessels.forms.fields import EntryForm
from web.fields import FigureField
from workorders.forms.charges import LineField
from workorders.models import Job


class NamedPartForm(EntryForm):
    """A part of the catalog, or one by what is typed."""

    part = forms.ModelChoiceField(
        queryset=Part.objects.all(), required=False, widget=forms.HiddenInput, label="Catalog part"
    )
    number = forms.CharField(label="Part number", max_length=40, required=False)
    description = forms.CharField(max_length=160, required=False)
    maker = forms.CharField(max_length=60, required=False)
    quantity = FigureField(
        max_digits=9,
        decimal_places=2,
        initial=Decimal(1),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    line = LineField()
    asked_sometimes = frozenset({"number", "description"})

    def __init__(self, *args: Any, job: Job, part: Part | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lines = self.fields["line"]
        assert isinstance(lines, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        offered = list(job.lines.order_by("position"))
        lines.queryset = job.lines.order_by("position")
        if len(offered) == 1:
            self.initial.setdefault("line", offered[0].pk)
        self.fields["quantity"].error_messages["required"] = "Enter how many."
        self.chosen = part
        if part is not None:
            self.initial["part"] = part.pk
            for name in ("number", "description", "maker"):
                self.fields[name].widget = forms.HiddenInput()
