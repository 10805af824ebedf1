"""What the list of service due shows."""

from __future__ import annotations

from django import forms

from engineering.service import Standing
from workorders.upkeep.queries.due import ASKED_FOR, Due
from workorders.upkeep.wording import HEADS

ALL, ASKED = "all", "asked"


class DueFilterForm(forms.Form):
    """Which services, and of whom."""

    standing = forms.ChoiceField(
        label="Show",
        required=False,
        choices=[
            (ASKED, "Overdue, due and due soon"),
            *((standing.value, words) for standing, words in HEADS.items()),
            (ALL, "All"),
        ],
    )
    q = forms.CharField(label="Boat, owner, berth, engine or service", required=False, max_length=100)
    is_filter = True

    def chosen(self) -> tuple[str, str]:
        """The choice and the words; nonsense counts as nothing."""
        self.is_valid()
        data = self.cleaned_data
        return data.get("standing") or ASKED, " ".join(str(data.get("q") or "").replace("\0", "").split())

    def shows(self, due: Due) -> bool:
        """Whether a service is shown."""
        standing, text = self.chosen()
        if standing == ASKED and due.standing not in ASKED_FOR:
            return False
        if standing not in {ASKED, ALL} and due.standing is not Standing(standing):
            return False
        one = due.followed
        words = f"{one.vessel} {one.owner} {one.berth} {one.engine} {one.plan}".lower()
        return all(word in words for word in text.lower().split())
