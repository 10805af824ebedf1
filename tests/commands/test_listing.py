"""The developers' page lists the acts as they are."""

from __future__ import annotations

import pytest
from django.conf import settings

from commands.listing import listing, page_path, written_into


def test_the_page_says_what_the_code_says() -> None:
    page = page_path(settings.BASE_DIR).read_text()
    assert written_into(page) == page, "run manage.py list_acts --write"


def test_each_act_has_its_arguments() -> None:
    said = listing()
    assert "    strike_charge(by, charge, entry_id=) -> Charge" in said
    assert "vessels.actions.log\n    write_note(by, vessel, text, engine=," in said
    assert "try_it" not in said
    assert '    strike_charge(by, charge, entry_id=) -> Charge\n        {"charge": workorders.charge}\n' in said
    assert "-> StoredLog\n        cannot be queued: it carries a file\n" in said


def test_a_page_without_its_place_is_told() -> None:
    with pytest.raises(ValueError, match="where the list"):
        written_into("# For developers")
