"""What is said beside a value of the cards that judge it or do not, case by case. Without a database."""

from __future__ import annotations

from decimal import Decimal

import pytest

from findings.readings.choosing import differing_on, left_out_of, limit_for, remark_on
from findings.readings.models import Parameter, SpecCard, SpecLimit
from vessels.models import Engine, EngineFamily

OIL, BOOST = Parameter(pk=1, name="Oil pressure"), Parameter(pk=2, name="Boost pressure")
FAMILY = EngineFamily(pk=3, maker="Norrland", name="D6T")
ENGINE = Engine(pk=4, family=FAMILY, model="D6T-370", year=2012, serial="NL-5")


def limit(
    title: str,
    low: int | None = 15,
    high: int | None = 45,
    *,
    condition: str = "warm",
    of: Parameter = OIL,
    nominal: int | None = None,
    near: int = 10,
    **scope: object,
) -> SpecLimit:
    card = SpecCard(pk=sum(map(ord, title)), family=FAMILY, title=title, **scope)
    low_end, middle, high_end = (None if one is None else Decimal(one) for one in (low, nominal, high))
    return SpecLimit(
        card=card, parameter=of, unit="psi", condition=condition, low=low_end, nominal=middle, high=high_end,
        near_percent=Decimal(near),
    )  # fmt: skip


def said(limits: list[SpecLimit], condition: str = "warm", *, by: SpecLimit | None = None) -> str:
    return remark_on(by, ENGINE, limits, OIL, condition)


A, B, C, D, E = (limit(title, low) for title, low in (("A", 15), ("B", 25), ("C", 30), ("D", 31), ("E", 32)))
SAME_ENDS = limit("F", near=5)
OTHER_NOMINAL = limit("G", nominal=20)


@pytest.mark.parametrize(
    ("by", "limits", "words"),
    [
        (A, [A], ""),
        (A, [A, limit("Same")], ""),
        (A, [A, B], "“B” has 25 to 45 psi for the same."),
        (B, [A, B], "“A” has 15 to 45 psi for the same."),
        (A, [A, B, C, D], "“B” has 25 to 45 psi, “C” has 30 to 45 psi, “D” has 31 to 45 psi for the same."),
        (
            A,
            [A, B, C, D, E],
            "“B” has 25 to 45 psi, “C” has 30 to 45 psi, “D” has 31 to 45 psi, and 1 more for the same.",
        ),
        # the same two ends: without the rest nobody would see what differs
        (A, [A, SAME_ENDS], "“F” has 15 to 45 psi, near within 5 % of the band for the same."),
        (A, [A, OTHER_NOMINAL], "“G” has 15 to 45 psi, nominal 20 psi, near within 10 % of the band for the same."),
        (A, [A, limit("One end", None)], "“One end” has at most 45 psi for the same."),
        # another condition, another parameter and a card for other engines are not the same
        (A, [A, limit("Cold", 25, condition="cold")], ""),
        (A, [A, limit("Any", 25, condition="")], ""),
        (A, [A, limit("Boost", 25, of=BOOST)], ""),
        (A, [A, limit("Smaller", 25, engine_models="D6T-270")], ""),
        (A, [A, limit("Loud", 25, condition="WARM")], "“Loud” has 25 to 45 psi for the same."),
    ],
)
def test_beside_a_value_that_one_card_judges_the_others_that_differ_are_named(
    by: SpecLimit, limits: list[SpecLimit], words: str
) -> None:
    assert said(limits, by=by) == words
    assert differing_on(by, ENGINE, limits, OIL, "warm") == words


@pytest.mark.parametrize(
    ("limits", "condition", "words"),
    [
        ([A, B], "warm", "“A” has 15 to 45 psi, “B” has 25 to 45 psi: they differ, so neither judges it."),
        ([A, B], " WARM ", "“A” has 15 to 45 psi, “B” has 25 to 45 psi: they differ, so neither judges it."),
        (
            [A, SAME_ENDS],
            "warm",
            "“A” has 15 to 45 psi, near within 10 % of the band, “F” has 15 to 45 psi, near within 5 % of the band: "
            "they differ, so neither judges it.",
        ),
        (
            [A, B, C, D],
            "warm",
            "“A” has 15 to 45 psi, “B” has 25 to 45 psi, “C” has 30 to 45 psi, and 1 more: they differ, so none judges "
            "it.",
        ),
        # what is for no condition in particular is asked where none is for this one
        (
            [limit("A", condition=""), limit("B", 25, condition=""), limit("C", condition="cold")],
            "warm",
            "“A” has 15 to 45 psi, “B” has 25 to 45 psi: they differ, so neither judges it.",
        ),
    ],
)
def test_where_cards_differ_none_judges(limits: list[SpecLimit], condition: str, words: str) -> None:
    assert said(limits, condition) == words
    assert differing_on(None, ENGINE, limits, OIL, condition) == words


def under(*conditions: str) -> list[SpecLimit]:
    return [limit(f"Card {index}", condition=one) for index, one in enumerate(conditions)]


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (under("cold"), "Limits of it are only for “cold”."),
        (under("cold", "idle", "cold"), "Limits of it are only for “cold”, “idle”."),
        (under("a", "b", "c"), "Limits of it are only for “a”, “b”, “c”."),
        (under("a", "b", "c", "d", "e"), "Limits of it are only for “a”, “b”, “c” and 2 more."),
    ],
)
def test_limits_under_other_conditions_are_named(limits: list[SpecLimit], words: str) -> None:
    assert said(limits) == words
    assert differing_on(None, ENGINE, limits, OIL, "warm") == "", "none of them differ"


LEFT_OUT = "“Smaller” is for model D6T-270; this engine’s model is D6T-370."


def test_a_card_for_other_engines_says_so_and_one_for_this_engine_silences_it() -> None:
    smaller = limit("Smaller", engine_models="D6T-270")
    assert said([smaller]) == left_out_of([smaller], ENGINE, OIL) == LEFT_OUT
    assert left_out_of([smaller, A], ENGINE, OIL) == ""
    assert left_out_of([], ENGINE, OIL) == left_out_of([smaller], ENGINE, BOOST) == ""
    twice = limit("Smaller", condition="cold", engine_models="D6T-270")
    assert said([smaller, twice]) == LEFT_OUT, "a card is named once, however many limits it has"


def test_of_many_cards_for_others_three_are_named() -> None:
    cards = [limit(f"Card {number}", year_from=2020 + number) for number in range(5)]
    first = "“Card 0” is for years from 2020; this engine is of 2012. “Card 1” is for years from 2021;"
    assert said(cards[:3]).count("is for years from") == 3
    assert not said(cards[:3]).endswith("either.")
    assert said(cards).startswith(first)
    assert "Card 3" not in said(cards)
    assert said(cards[:4]).endswith("1 more is not for it either.")
    assert said(cards).endswith("2 more are not for it either.")


def test_without_any_limit_it_says_what_is_missing() -> None:
    assert said([limit("Boost", of=BOOST)]) == "No spec card of Norrland D6T has limits of it."
    nothing = remark_on(None, Engine(pk=5), [], OIL, "warm")
    assert nothing == "The family of this engine is not entered, so no spec card is known for it."


def test_what_is_of_the_boat_has_no_card_and_nothing_to_say() -> None:
    assert limit_for(None, OIL, "warm") == (None, "")
    assert limit_for(None, OIL, "warm", chosen=A) == (A, "")


@pytest.mark.parametrize(("length", "is_cut"), [(500, False), (501, True)])
def test_what_is_too_long_to_keep_is_cut_with_a_sign(length: int, is_cut: bool) -> None:
    frame = len("Limits of it are only for “”.")
    words = said(under("x" * (length - frame)))
    assert len(words) == 500
    assert words.endswith("…") is is_cut
