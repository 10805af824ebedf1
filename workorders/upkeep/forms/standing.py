"""What the list of service due shows."""

from __future__ import annotations

from django import forms
from django.db.models import QuerySet

from engineering.service import Standing
from workorders.upkeep.models import Judgment
from workorders.upkeep.queries.due import ASKED_FOR
from workorders.upkeep.queries.kept import of_standing
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

    def kept(self) -> dict[str, str]:
        """The same for the address of a page."""
        standing, text = self.chosen()
        said = {"standing": standing if standing != ASKED else "", "q": text}
        return {name: value for name, value in said.items() if value}

    def shown_of(self, found: QuerySet[Judgment]) -> QuerySet[Judgment]:
        """Those of the judgments that are shown."""
        standing, text = self.chosen()
        if standing != ALL:
            found = of_standing(found, *(ASKED_FOR if standing == ASKED else [Standing(standing)]))
        for word in text.lower().split():
            found = found.filter(words__contains=word)
        return found
