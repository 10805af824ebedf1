"""A series whose unit or limits change on the way: what is no change of the engine is not shown as one."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from findings.readings.actions import NewLimit, add_card, add_parameter, change_card, log_reading
from findings.readings.changes import changes_between, same_limits
from findings.readings.models import Parameter, Reading, SpecCard
from findings.readings.series import series, series_page
from findings.readings.trending import readings_kept, trend_seen
from tests.cast import Cast
from tests.findings import story
from vessels.actions import retract

pytestmark = pytest.mark.django_db
DOCUMENT = "Norrland D6T manual, ed. 4, p. 112"


@pytest.fixture
def oil() -> Parameter:
    return Parameter.objects.get(name="Oil pressure")


def limits(oil: Parameter, low: int | None, high: int | None, unit: str = "psi") -> list[NewLimit]:
    ends = {name: None if value is None else Decimal(value) for name, value in (("low", low), ("high", high))}
    return [NewLimit(parameter=oil, unit=unit, **ends)]


@pytest.fixture
def card(cast: Cast, oil: Parameter) -> SpecCard:
    return add_card(by=cast.tech, family=cast.family, title="Warm", document=DOCUMENT, limits=limits(oil, 40, 65))


def measure(cast: Cast, oil: Parameter, day: int, value: str, unit: str = "psi") -> Reading:
    return log_reading(
        by=cast.tech,
        vessel=cast.vessel,
        engine=cast.port,
        parameter=oil,
        value=Decimal(value),
        unit=unit,
        engine_hours=Decimal(day * 10),
        happened_at=story.at(day),
    )


def kept_of(cast: Cast, oil: Parameter):
    return readings_kept(series(cast.vessel, cast.port.pk, oil, None), cast.port)


def page_of(client, cast: Cast, oil: Parameter) -> str:
    client.force_login(cast.tech)
    address = reverse("findings:parameter_history", args=[cast.vessel.pk, oil.pk])
    return " ".join(client.get(f"{address}?engine={cast.port.pk}").content.decode().split())


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ((40, 65, "psi"), (40, 65, "psi"), True),
        ((40, 65, "psi"), (45, 65, "psi"), False),
        ((40, None, "psi"), (40, 65, "psi"), False),
        ((None, None, "psi"), (None, None, "kPa"), True),
        ((None, 200, "degF"), (None, "93.3", "degC"), True),
        ((None, 200, "degF"), (None, "95", "degC"), False),
        ((40, 65, "psi"), (276, 448, "kPa"), True),
        ((40, 65, "psi"), (40, 65, "kPa"), False),
    ],
)
def test_limits_are_the_same_in_another_unit(one, other, same):
    def pair(ends):
        low, high = (None if end is None else Decimal(end) for end in ends[:2])
        return {"low": low, "high": high, "unit": ends[2]}

    assert same_limits(pair(one), pair(other), of="Oil pressure") is same
    assert same_limits(pair(other), pair(one), of="Oil pressure") is same


def test_limits_of_a_rise_are_the_same_without_the_zero_of_a_scale():
    in_f = {"low": None, "high": Decimal(18), "unit": "degF"}
    in_c = {"low": None, "high": Decimal(10), "unit": "degC"}
    assert same_limits(in_f, in_c, of="Coolant temperature rise")
    assert not same_limits(in_f, in_c, of="Coolant temperature")
    assert same_limits(in_f | {"high": Decimal(50)}, in_c, of="Coolant temperature")


def test_a_rise_in_another_unit_keeps_its_trend_and_its_limits(cast):
    rise = add_parameter(by=cast.tech, name="Coolant temperature rise", kind="temperature")
    add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual",
        limits=[NewLimit(parameter=rise, unit="degC", high=Decimal(10))],
    )  # fmt: skip
    older, newer = measure(cast, rise, 1, "9", "degC"), measure(cast, rise, 2, "19.8", "degF")
    assert (older.verdict, newer.verdict, newer.high) == ("near", "out", Decimal(18))
    assert changes_between(newer, older) == ["read in °F, the one before in °C"]
    kept = kept_of(cast, rise)
    assert [value for _, value in kept.pairs] == pytest.approx([19.8, 16.2])
    assert not kept.limits_changed


def test_nothing_is_said_where_nothing_changed(client, cast, oil, card):
    older, newer = measure(cast, oil, 1, "50"), measure(cast, oil, 2, "51")
    assert changes_between(newer, older) == []
    page = page_of(client, cast, oil)
    for words in ("other limits", "read in", "another card", "changed on the way"):
        assert words not in page, words


def test_a_unit_that_changed_is_said_and_is_no_change_of_limits(client, cast, oil, card):
    measure(cast, oil, 1, "50")
    newer = measure(cast, oil, 2, "345", "kPa")
    (one,) = series_page(cast.vessel).series
    assert one.changes == ["read in kPa, the one before in psi"]
    kept = kept_of(cast, oil)
    assert (kept.other_units, kept.limits_changed, kept.newest_has_limits) == (["psi"], False, True)
    page = page_of(client, cast, oil)
    assert "read in kPa, the one before in psi" in page
    assert "Some were read in psi and are turned into kPa here." in page
    assert newer.verdict == "in range"


def test_limits_that_changed_are_said_where_they_are_beside_each_other(client, cast, oil, card):
    older = measure(cast, oil, 1, "42")
    change_card(by=cast.tech, card=card, changes={"document": "Edition 5"}, limits=limits(oil, 45, 65))
    newer = measure(cast, oil, 2, "42")
    assert (older.verdict, newer.verdict) == ("near", "out")
    words = "other limits than the one before, which had 40 to 65 psi"
    assert changes_between(newer, older) == [words]
    page = page_of(client, cast, oil)
    assert words in page
    assert "The limits changed on the way" in page
    client.force_login(cast.tech)
    assert words in client.get(reverse("findings:vessel_readings", args=[cast.vessel.pk])).content.decode()


def test_the_same_limits_of_another_card(cast, oil, card):
    older = measure(cast, oil, 1, "50")
    change_card(by=cast.tech, card=card, changes={"document": "Edition 5"}, limits=limits(oil, 40, 65))
    newer = measure(cast, oil, 2, "50")
    assert changes_between(newer, older) == ["the same limits, from another card than for the one before"]
    assert not kept_of(cast, oil).limits_changed


def test_a_card_that_is_no_longer_used_leaves_the_newest_without_limits(client, cast, oil, card):
    measure(cast, oil, 1, "50")
    SpecCard.objects.update(is_active=False)
    newer = measure(cast, oil, 2, "51")
    assert newer.low is None
    assert series_page(cast.vessel).series[0].changes == ["other limits than the one before, which had 40 to 65 psi"]
    assert "The newest reading has no limits of its own" in page_of(client, cast, oil)


def test_the_first_limits_are_a_change_too(cast, oil):
    older = measure(cast, oil, 1, "50")
    add_card(by=cast.tech, family=cast.family, title="Warm", document=DOCUMENT, limits=limits(oil, 40, 65))
    newer = measure(cast, oil, 2, "50")
    assert changes_between(newer, older) == ["other limits than the one before, which had none"]


def test_what_was_taken_back_is_no_neighbor(client, cast, oil, card):
    measure(cast, oil, 1, "50")
    wrong = measure(cast, oil, 2, "345", "kPa")
    measure(cast, oil, 3, "51")
    assert page_of(client, cast, oil).count("the one before in") == 2
    retract(by=cast.manager, entry=wrong.entry, reason="Misread.")
    assert "the one before in" not in page_of(client, cast, oil)


def test_many_readings_over_two_units_and_two_cards_have_one_trend_and_say_so(cast, oil, card):
    for day in range(1, 9):
        measure(cast, oil, day, str(60 - day))
    change_card(by=cast.tech, card=card, changes={}, limits=limits(oil, 30, 65))
    for day in range(9, 14):
        measure(cast, oil, day, str(round((60 - day) * 6.894757)), "kPa")
    seen = trend_seen(series(cast.vessel, cast.port.pk, oil, None), cast.port, name="Oil pressure")
    assert seen is not None
    assert [words.partition(":")[0] for words in seen.caveats] == [
        "Some were read in psi and are turned into kPa here.",
        "The limits changed on the way",
    ]
