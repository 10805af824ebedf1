"""The form of a lay-up."""

from __future__ import annotations

from typing import ClassVar

from django import forms

from vessels.forms.fields import RecordForm
from workorders.forms.fields import DayField


class LayUpForm(RecordForm):
    """Days on which a boat is laid up."""

    from_on = DayField(label="Laid up from")
    until_on = DayField(label="Until", required=False, help_text="The last day. Leave empty where no end is known.")
    remark = forms.CharField(max_length=200, required=False, help_text="Where, for example.")

    look: ClassVar[dict[str, str]] = {"from_on": "half", "until_on": "half"}
