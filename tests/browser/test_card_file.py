"""Limits from a CSV, by hand: looked at, corrected, saved, at the size of a tablet and of a phone."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse

from findings.readings.actions import NewLimit, add_card
from findings.readings.card_file import NEEDED
from findings.readings.models import Parameter, SpecCard
from findings.readings.parameters import seed_parameters
from tests.browser.driving import PHONE, TABLET, Tablets, problems

if TYPE_CHECKING:
    from tests.cast import Cast

pytestmark = pytest.mark.browser


@pytest.fixture
def card(cast: Cast) -> SpecCard:
    seed_parameters()
    oil = Parameter.objects.get(name="Oil pressure")
    limits = [NewLimit(oil, "psi", "warm", Decimal(40), None, Decimal(70)), NewLimit(oil, "psi", "cold", Decimal(50))]
    return add_card(by=cast.tech, family=cast.family, title="Warm", document="Invented manual", limits=limits)


def test_a_file_is_looked_at_corrected_and_saved(tablets: Tablets, cast: Cast, card: SpecCard, tmp_path: Path) -> None:
    file = tmp_path / "limits.csv"
    rows = ["Oil pressure,warm,44,,70,psi,,,12", "Oil presure,hot,44,,70,psi,,,", "Coolant temperature,,,,190,°F,,,"]
    file.write_text("\n".join([",".join(NEEDED), *rows]), encoding="utf-8")
    page = tablets.hand_out(cast.tech)
    page.goto(reverse("findings:card", args=[card.pk]))
    page.get_by_role("link", name="Limits of this card from a CSV").click()
    assert problems(page, TABLET, PHONE) == []
    page.set_input_files("#id_file", file)
    page.get_by_role("button", name="Show what it would change").click()
    page.get_by_text("Nothing can be saved until every row can be taken").wait_for()
    assert problems(page, TABLET, PHONE) == []
    assert page.get_by_role("button", name="Save").count() == 0
    text = page.locator("#id_text")
    text.fill(text.input_value().replace("presure", "pressure"))
    page.get_by_role("button", name="Show what it would change").click()
    page.get_by_role("button", name="Save 3 changes").wait_for()
    assert problems(page, TABLET, PHONE) == []
    page.get_by_role("button", name="Save 3 changes").click()
    page.get_by_text("The limits of the file are saved.").wait_for()
    assert problems(page, TABLET, PHONE) == []
    assert card.limits.filter(ended_at=None).count() == 4
    assert card.limits.get(ended_at=None, condition="warm").low == 44
