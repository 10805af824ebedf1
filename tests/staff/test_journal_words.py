"""The journal's words: every act has some, and what changed reads as people write it."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo

import pytest
from django.urls import get_resolver
from django.utils import timezone

from commands.registry import COMMANDS
from staff.journal_words import ACTS, act_words, changes_words, records_told, value_words


def test_every_registered_act_has_words_and_no_other():
    assert get_resolver().url_patterns  # every view, and with it every action, is loaded
    registered = {name for name in COMMANDS if not name.startswith("test")}
    assert registered - set(ACTS) == set()
    assert set(ACTS) - registered == set()


def test_no_two_acts_read_the_same_and_none_reads_like_code():
    assert len(set(ACTS.values())) == len(ACTS)
    for name, said in ACTS.items():
        assert re.fullmatch(r"[A-Z][A-Za-z ]+", said), name
        assert len(said.split()) >= 2, name


def test_an_act_of_an_older_version_goes_by_its_name():
    assert act_words("weigh_anchor") == "Weigh anchor"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("2026-11-18 14:05:09.123456+00:00", "Nov 18, 2026, 9:05 AM"),
        ("2026-11-18T14:05:09Z", "Nov 18, 2026, 9:05 AM"),
        ("2026-11-18T14:05:09+01:00", "Nov 18, 2026, 8:05 AM"),
        ("2026-11-18", "Nov 18, 2026"),
        ("2026-13-45", "2026-13-45"),
        ("2026", "2026"),
        ("12.5", "12.5"),
        ("True", "yes"),
        ("False", "no"),
        ("technician", "technician"),
        (None, "nothing"),
        ("", "nothing"),
    ],
)
def test_values_read_as_people_write_them(value, said):
    with timezone.override(ZoneInfo("America/New_York")):
        assert value_words(value) == said


def test_what_changed():
    with timezone.override(ZoneInfo("America/New_York")):
        told = {"reviewed_at": [None, "2026-11-18 14:05:09+00:00"], "role": ["technician", "manager"], "email": []}
        assert changes_words(told) == "reviewed: nothing → Nov 18, 2026, 9:05 AM; role: technician → manager; email"
    assert changes_words({"limits": [["Oil pressure", None, "40"]]}) == "limits: Oil pressure 40"


def test_money_has_both_of_its_decimals() -> None:
    assert changes_words({"unit_price": [None, "94.2"], "labor_rate": ["120", "1138.5"]}) == (
        "unit price: nothing → 94.20; labor rate: 120.00 → 1,138.50"
    )


def test_a_record_that_was_chosen_goes_by_its_name_and_a_review_by_who_did_it() -> None:
    told = {"technician": [None, "staff.person:7"], "reviewed_by": []}
    assert records_told(told) == {"staff.person:7"}
    assert changes_words(told, {"staff.person:7": "Person Tomas Reef"}) == "technician: nothing → Person Tomas Reef"
    assert changes_words({"reviewed_by": [None, "staff.person:7"]}, {"staff.person:7": "Person Ada"}) == (
        "reviewed by: nothing → Person Ada"
    )
    assert records_told({"hin": [], "price": ["1.00", "2.00"], "at": ["2026-01-02 10:00:00+00:00", None]}) == set()
