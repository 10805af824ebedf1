"""Where each value that was typed goes when the conditions of a sheet's columns change, field by field."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest
from django.http import QueryDict

from findings.readings.actions import NewLimit, add_card
from findings.readings.carrying import carried, put_under, without_condition
from findings.readings.layout import Layout
from findings.readings.models import Parameter
from tests.cast import Cast

if TYPE_CHECKING:
    from collections.abc import Sequence

    from findings.readings.models import SpecLimit

pytestmark = pytest.mark.django_db


class Stage:
    """A card with oil pressure under two conditions and charging voltage under none, and a sheet of both engines."""

    def __init__(self, cast: Cast) -> None:
        self.cast = cast
        self.oil, self.charging = (Parameter.objects.get(name=one) for one in ("Oil pressure", "Charging voltage"))
        limits = [
            NewLimit(self.oil, "psi", "Warm", Decimal(15), None, Decimal(45)),
            NewLimit(self.oil, "psi", "2000 rpm", Decimal(40), None, Decimal(70)),
            NewLimit(self.charging, "V", "", Decimal(13), None, Decimal(15)),
        ]
        card = add_card(by=cast.tech, family=cast.family, title="One", document="Manual", limits=limits)
        self.warm, self.fast, self.volts = (self.limit(card.limits.all(), one) for one in ("Warm", "2000 rpm", ""))
        self.line = f"line-{self.oil.pk}"

    @staticmethod
    def limit(limits: Sequence[SpecLimit], condition: str) -> str:
        (found,) = (one for one in limits if one.condition == condition)
        return f"limit-{found.pk}"

    def sheet(self, *conditions: str, beside: bool = True) -> Layout:
        return Layout(self.cast.port, beside=(self.cast.starboard,) if beside else (), conditions=conditions)

    def column(self, layout: Layout, number: int) -> str:
        return layout.columns[number].key


@pytest.fixture
def stage(cast: Cast) -> Stage:
    return Stage(cast)


def fields(values: dict[str, str]) -> QueryDict:
    return QueryDict(urlencode(values))


def test_a_value_whose_condition_gets_a_column_stands_in_it_in_its_own_unit(stage: Stage) -> None:
    before, after = stage.sheet(), stage.sheet("warm", "Key on")
    warm, starboards = stage.column(after, 0), stage.column(after, 2)
    beside = stage.column(before, 1)
    sent = {
        f"{stage.warm}-value": "3", f"{stage.warm}-minimum": "2.9", f"{stage.warm}-maximum": "3.1",
        f"{stage.warm}-unit": "bar", f"{stage.warm}-{beside}-value": "2",
    }  # fmt: skip
    moved = carried(before, after, fields(sent))
    assert {name: moved[name] for name in moved if name != f"{stage.warm}-unit"} == {
        f"{stage.line}-{warm}-value": "3", f"{stage.line}-{warm}-minimum": "2.9", f"{stage.line}-{warm}-maximum": "3.1",
        f"{stage.line}-unit": "bar", f"{stage.line}-{starboards}-value": "2",
    }  # fmt: skip


def test_a_value_whose_condition_gets_none_stands_in_the_first_column_of_its_engine(stage: Stage) -> None:
    before, after = stage.sheet(), stage.sheet("Key on", "Warm")
    first, starboards = stage.column(after, 0), stage.column(after, 2)
    beside = stage.column(before, 1)
    moved = carried(before, after, fields({f"{stage.fast}-value": "50", f"{stage.fast}-{beside}-value": "51"}))
    assert moved.dict() == {f"{stage.fast}-{first}-value": "50", f"{stage.fast}-{starboards}-value": "51"}


def test_it_goes_back_into_its_row_where_the_columns_go(stage: Stage) -> None:
    before, after = stage.sheet("Key on"), stage.sheet()
    sent = {
        f"{stage.warm}-{stage.column(before, 0)}-value": "20",
        f"{stage.warm}-{stage.column(before, 1)}-value": "21",
    }
    moved = carried(before, after, fields(sent))
    assert moved.dict() == {f"{stage.warm}-value": "20", f"{stage.warm}-{stage.column(after, 1)}-value": "21"}


def test_the_same_conditions_move_nothing(stage: Stage) -> None:
    sent = fields({f"{stage.warm}-value": "3", f"{stage.warm}-unit": "bar"})
    assert carried(stage.sheet(), stage.sheet(beside=False), sent) == sent


def test_a_row_without_a_condition_and_a_second_column_stay_where_they_are(stage: Stage) -> None:
    before, after = stage.sheet("Warm", "Key on"), stage.sheet("Key on")
    second = stage.column(before, 1)
    sent = {
        f"{stage.volts}-{stage.column(before, 0)}-value": "14", f"{stage.line}-{stage.column(before, 0)}-value": "9",
        f"{stage.warm}-{second}-value": "20",
    }  # fmt: skip
    assert carried(before, after, fields(sent)).dict() == sent


def test_a_value_of_an_engine_that_is_not_on_the_sheet_any_more_stays(stage: Stage) -> None:
    before, after = stage.sheet(), stage.sheet("Warm", beside=False)
    sent = {f"{stage.warm}-{stage.column(before, 1)}-value": "20"}
    assert carried(before, after, fields(sent)).dict() == sent


def test_what_stands_where_it_would_go_is_not_written_over(stage: Stage) -> None:
    before, after = stage.sheet(), stage.sheet("Warm")
    target = f"{stage.line}-{stage.column(after, 0)}-value"
    sent = {f"{stage.warm}-value": "3", target: "44", f"{stage.line}-unit": "psi", f"{stage.warm}-unit": "psi"}
    assert carried(before, after, fields(sent)).dict() == sent
    blank = sent | {target: "  "}
    moved = carried(before, after, fields(blank))
    assert (moved[target], f"{stage.warm}-value" in moved) == ("3", False)


def test_a_row_of_its_parameter_in_another_unit_keeps_it_out(stage: Stage) -> None:
    before, after = stage.sheet(), stage.sheet("Warm")
    column = stage.column(after, 0)
    sent = {
        f"{stage.warm}-value": "3", f"{stage.warm}-unit": "bar", f"{stage.line}-unit": "psi",
        f"{stage.line}-maximum": "50",
    }  # fmt: skip
    moved = carried(before, after, fields(sent))
    assert (moved[f"{stage.warm}-{column}-value"], moved[f"{stage.line}-unit"]) == ("3", "psi")


def test_without_a_unit_of_its_own_it_is_in_the_unit_of_its_limit(stage: Stage) -> None:
    after = stage.sheet("Warm")
    moved = carried(stage.sheet(), after, fields({f"{stage.warm}-value": "30"}))
    assert moved[f"{stage.line}-unit"] == "psi"


@pytest.mark.parametrize("empty", ["", "  "])
def test_what_is_blank_is_no_value(stage: Stage, empty: str) -> None:
    sent = fields({f"{stage.warm}-value": empty, "phase": "arrival", "line-0x-value": "3", "limit-abc-value": "3"})
    assert carried(stage.sheet(), stage.sheet("Warm"), sent) == sent
    assert without_condition(stage.sheet(), fields({f"{stage.volts}-value": empty})) == []


def test_values_under_no_condition_are_those_of_plain_columns_and_rows(stage: Stage) -> None:
    sheet = stage.sheet()
    beside = stage.column(sheet, 1)
    sent = fields({
        f"{stage.volts}-value": "14", f"{stage.volts}-{beside}-minimum": "13", f"{stage.line}-maximum": "60",
        f"{stage.warm}-value": "20", f"{stage.warm}-{beside}-value": "21", "limit-999999-value": "7",
    })  # fmt: skip
    assert without_condition(sheet, sent) == [
        f"{stage.volts}-value", f"{stage.volts}-{beside}-minimum", f"{stage.line}-maximum", "limit-999999-value",
    ]  # fmt: skip
    under = stage.sheet("Warm")
    assert without_condition(under, fields({f"{stage.volts}-{stage.column(under, 0)}-value": "14"})) == []


def test_what_had_no_condition_is_put_under_the_one_that_was_said(stage: Stage) -> None:
    before, after = stage.sheet(), stage.sheet("Key on", "Warm")
    port, starboard, beside = stage.column(after, 1), stage.column(after, 3), stage.column(before, 1)
    sent = {
        f"{stage.volts}-value": "14", f"{stage.volts}-{beside}-value": "13", f"{stage.line}-value": "44",
        f"{stage.line}-unit": "psi", f"{stage.fast}-value": "50",
    }  # fmt: skip
    moved = put_under(before, after, fields(sent), "WARM")
    volts = f"line-{stage.charging.pk}"
    assert moved.dict() == {
        f"{volts}-{port}-value": "14", f"{volts}-{starboard}-value": "13", f"{volts}-unit": "V",
        f"{stage.line}-{port}-value": "44", f"{stage.line}-unit": "psi", f"{stage.fast}-value": "50",
    }  # fmt: skip


def test_what_was_typed_is_left_as_it_was(stage: Stage) -> None:
    sent = fields({f"{stage.warm}-value": "3", f"{stage.volts}-value": "14"})
    as_it_was = sent.copy()
    carried(stage.sheet(), stage.sheet("Warm"), sent)
    put_under(stage.sheet(), stage.sheet("Warm"), sent, "Warm")
    assert sent == as_it_was
