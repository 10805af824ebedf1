"""What a change of a record says of days."""

from __future__ import annotations

import pytest
from django.utils import timezone

from vessels.wording import told_words


@pytest.mark.parametrize(
    ("stored", "said"),
    [
        ("2026-01-02", "Jan 2, 2026"),
        ("2026-12-31", "Dec 31, 2026"),
        ("2026-01-02 15:00:00+00:00", "Jan 2, 2026 10:00 AM"),
        ("2026-13-02", "2026-13-02"),
        ("NL-2026-01-02", "NL-2026-01-02"),
        ("2026", "2026"),
        ("", ""),
        ("Jan 2, 2026", "Jan 2, 2026"),
    ],
)
def test_a_day_in_a_change_is_told_as_people_write_it(stored: str, said: str) -> None:
    with timezone.override("America/New_York"):
        assert told_words(stored) == said
