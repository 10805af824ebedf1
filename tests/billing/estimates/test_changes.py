"""What a version says of taxes and of its last day against the one before, as somebody who compares both would say."""

from __future__ import annotations

from typing import Any

import pytest

from billing.estimates.changes import changes_between


def record(taxes: list[tuple[str, str]] = (), valid_until: str | None = "2026-12-20") -> dict[str, Any]:  # type: ignore[assignment]
    """A version of nothing but taxes, each with name and percentage, and a certificate."""
    return {
        "currency": "USD", "parts": [], "options": [], "discount": "0", "deposit": None, "contingency": None,
        "taxes": [{"words": f"{plain} said", "plain": plain, "certificate": mark} for plain, mark in taxes],
        "valid_until": valid_until, "customer": {}, "total": "10.00",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ([("State, 6 %", "")], [("State, 6 %", "")], []),
        ([("State, 6 %", "")], [("State, 6.5 %", "")], ["State: 6 % before, 6.5 % now."]),
        ([("State, 6 %", "")], [("State, 0 %", "")], ["State: 6 % before, 0 % now."]),
        ([], [("State, 6 %", "")], ["New: State, 6 %."]),
        ([], [("State, 6 %", "CF-1")], ["New: State, 6 %; exempt by certificate CF-1."]),
        ([("State, 6 %", "")], [], ["No longer: State, 6 %."]),
        ([("State, 6 %", "")], [("County, 6 %", "")], ["New: County, 6 %.", "No longer: State, 6 %."]),
        ([("State, 6 %", "")], [("State, 6 %", "CF-1")], ["State, 6 %: exempt now, by certificate CF-1."]),
        ([("State, 6 %", "CF-1")], [("State, 6 %", "")], ["State, 6 %: charged now."]),
        ([("State, 6 %", "CF-1")], [("State, 6 %", "CF-2")], ["State, 6 %: certificate CF-1 before, CF-2 now."]),
        (
            [("State, 6 %", "")],
            [("State, 7 %", "CF-1")],
            ["State: 6 % before, 7 % now.", "State, 7 %: exempt now, by certificate CF-1."],
        ),
        ([("Levy, boats, 1 %", "")], [("Levy, boats, 2 %", "")], ["Levy, boats: 1 % before, 2 % now."]),
        # two of one name: which became which nobody knows
        (
            [("State, 6 %", ""), ("State, 1 %", "")],
            [("State, 7 %", ""), ("State, 1 %", "")],
            ["New: State, 7 %.", "No longer: State, 6 %."],
        ),
        (
            [("State, 6 %", ""), ("County, 1 %", "")],
            [("County, 1.25 %", ""), ("State, 6 %", "")],
            ["County: 1 % before, 1.25 % now."],
        ),
    ],
)
def test_a_tax_whose_rate_changed_is_the_same_tax(before: Any, after: Any, said: list[str]) -> None:
    told = changes_between(record(before), record(after))
    assert told == [*(said or ["No price changed."]), "The total stays $10.00."]


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("2026-12-20", "2027-01-03", "Valid until Jan 3, 2027 now, until Dec 20, 2026 before."),
        ("2027-01-03", "2026-12-20", "Valid until Dec 20, 2026 now, until Jan 3, 2027 before."),
        (None, "2026-12-20", "Valid until Dec 20, 2026; before no day was said."),
        ("2026-12-20", None, "No day is said until which it is valid; before it was Dec 20, 2026."),
        (None, None, "No price changed."),
        ("2026-12-20", "2026-12-20", "No price changed."),
    ],
)
def test_the_last_day_is_told_with_the_one_before(before: str | None, after: str | None, said: str) -> None:
    told = changes_between(record(valid_until=before), record(valid_until=after))
    assert told[0] == said


def test_a_record_of_older_form_is_compared_by_the_words_of_its_taxes() -> None:
    older = record()
    older["taxes"] = [{"words": "State, 6 %", "certificate": ""}]
    assert changes_between(older, record([("State, 6.25 %", "")]))[0] == "State: 6 % before, 6.25 % now."
