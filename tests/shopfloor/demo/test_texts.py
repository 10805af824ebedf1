"""What the demo's people write: true on whatever day it is filled, and of what it stands at. Nothing is played here."""

from __future__ import annotations

import io
import re

import pytest

from shopfloor.demo import reports
from shopfloor.demo.shop import CARDS
from shopfloor.demo.visits import Visit, all_visits
from shopfloor.management.commands.serve import _Said

NOT_ON_ANY_DAY = re.compile(
    r"\b(?:(?:last|next|this) (?:week|month|year|season|spring|summer|fall|winter)|yesterday|today|spring|summer|autumn"
    r"|winter(?:ize)?|next run)\b",
    re.IGNORECASE,
)


def texts(visit: Visit) -> list[str]:
    return [visit.concern, visit.cause, visit.correction, visit.work, visit.condition, visit.reason]


def test_no_text_leans_on_the_day_or_season_it_is_filled_in():
    of_visits = [text for visit in all_visits() for text in texts(visit)]
    written = [*of_visits, *reports.SURVEY.values(), *reports.PILOTS.values()]
    assert [text for text in written if NOT_ON_ANY_DAY.search(text)] == []


@pytest.mark.parametrize(
    ("concern", "is_of_one"),
    [
        ("Both engines due for 500-hour service.", False),
        ("Yearly service, both engines.", False),
        ("Service, all three engines.", False),
        ("Check both engines for codes; we want to sell her.", False),
        ("Port engine hot again above 2800.", True),
        ("Overheat warning after an hour at 3000. Only port.", True),
    ],
)
def test_a_concern_about_several_engines_stands_at_none_of_them(concern, is_of_one):
    assert Visit("x", 1, "port", "pim", concern).is_of_one_engine is is_of_one


def test_a_quiet_visit_names_the_engine_that_was_scanned():
    quiet = [visit for visit in all_visits() if visit.cause == "Routine." and "Done as agreed" in visit.correction]
    assert len(quiet) > 20
    for visit in quiet:
        assert visit.motor == "single" or f"of the {visit.motor} engine" in visit.correction


def test_full_throttle_is_not_held_at_half_load():
    conditions = {row[1] for rows in CARDS.values() for row in rows if row[0] == "Wide-open-throttle speed"}
    assert conditions == {"two people, half fuel"}


def test_how_far_the_filling_has_come_is_told_at_once_and_the_logins_at_the_end():
    told: list[str] = []
    said = _Said(told.append)
    print("3 of 24 boats, 10 of 110 jobs", file=said)
    assert told == ["3 of 24 boats, 10 of 110 jobs"]
    print("login: owner otto word", file=said)
    assert (told[1:], said.logins) == ([], ["login: owner otto word"])
    assert isinstance(said, io.StringIO)
