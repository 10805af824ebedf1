"""The developers' page lists the acts as they are."""

from __future__ import annotations

import importlib

import pytest
from django.conf import settings
from django.urls import get_resolver

from commands.listing import listing, page_path, written_into


@pytest.fixture(autouse=True)
def _all_acts_are_known() -> None:
    get_resolver().url_patterns  # noqa: B018  (imports every view, and with it every action)
    importlib.import_module("staff.actions")


def test_the_page_says_what_the_code_says() -> None:
    page = page_path(settings.BASE_DIR).read_text()
    assert written_into(page) == page, "run manage.py list_acts --write"


def test_each_act_has_its_arguments() -> None:
    said = listing()
    assert "    strike_charge(by, charge, entry_id=) -> Charge" in said
    assert "vessels.actions.log\n    write_note(by, vessel, text, engine=," in said
    assert "try_it" not in said


def test_a_page_without_its_place_is_told() -> None:
    with pytest.raises(ValueError, match="where the list"):
        written_into("# For developers")
