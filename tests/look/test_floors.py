"""What no import shows: a floor that asks a table of a floor above it in SQL of its own."""

from __future__ import annotations

import re

import pytest
from django.apps import apps

from shopfloor.database import ROOT
from tests.house import FLOORS


def tables_above(floor: str) -> set[str]:
    """The tables of the apps that stand above a floor."""
    above = set(FLOORS[: FLOORS.index(floor)])
    return {
        model._meta.db_table
        for model in apps.get_models(include_auto_created=True)
        if model._meta.app_config.name.partition(".")[0] in above
    }


@pytest.mark.parametrize("floor", FLOORS[FLOORS.index("shopfloor") + 1 :])
def test_no_floor_names_a_table_of_a_floor_above(floor: str) -> None:
    named = []
    words = re.compile(r"\b(" + "|".join(sorted(tables_above(floor))) + r")\b") if tables_above(floor) else None
    for path in sorted((ROOT / floor).rglob("*.py")):
        for found in words.findall(path.read_text()) if words else ():
            named.append(f"{path.relative_to(ROOT)}: {found}")
    assert named == []


def test_the_tables_of_a_floor_are_found() -> None:
    assert {"workorders_job", "faults_scan", "reports_issuedreport"} <= tables_above("vessels")
    assert "vessels_vessel" not in tables_above("vessels")
