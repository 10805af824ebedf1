"""Whatever a tool logs: figure, limits and verdict agree by themselves, without the words around them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from commands.refusals import Refused
from engineering.limits import judge
from findings.bench.actions import log_result
from findings.bench.answer import Answer
from findings.bench.catalog import all_tools
from findings.readings.models import Reading
from findings.readings.queries import reading_row
from findings.readings.working import working_from_json
from tests.findings.bench.cases.case import REFUSED, Case
from tests.findings.bench.test_bench_judgments import CASES, work

pytestmark = pytest.mark.django_db


def assert_the_verdict_follows(answer: Answer) -> None:
    """Where a figure is logged beside limits, judging the one by the other gives the verdict that is logged."""
    if answer.measure is None or answer.compared is None:
        return
    limits, verdict = answer.compared.limits, answer.compared.judgment.verdict
    if limits.low is None and limits.high is None:
        return
    by_itself = judge(answer.measure.value, limits, unit=answer.measure.unit)
    assert (verdict, answer.compared.judgment.sentence) == (by_itself.verdict, by_itself.sentence)


@pytest.mark.parametrize("slug", CASES)
def test_the_verdict_follows_from_figure_and_limits(slug, world):
    told = []
    for number, case in enumerate(CASES[slug], 1):
        if case.verdict == REFUSED or case.readings or case.away is not None:
            continue
        answer, form = work(world, slug, case)
        assert answer is not None, dict(form.errors)
        try:
            assert_the_verdict_follows(answer)
        except AssertionError as problem:
            told.append(f"{slug} {number}: {answer.sentence} {problem}")
    assert told == []


def logged(world, slug, inputs):
    """The reading that a tool's answer is kept as."""
    answer, form = work(world, slug, Case(inputs, ""))
    assert answer is not None, dict(form.errors)
    entry = log_result(by=world.cast.tech, job=world.job, engine=world.cast.port, tool=all_tools()[slug], answer=answer)
    return Reading.objects.get(pk=entry.pk)


def cylinders(*psi):
    return [(f"{one} psi", "") for one in psi]


def test_the_cylinder_that_broke_a_limit_is_logged_with_that_limit(world):
    found = logged(
        world,
        "compression",
        {
            "readings": cylinders(410, 420, 415, 412, 418, 520),
            "limits": ("400 psi", "480 psi"),
            "share": ("", ""),
            "fuel": "diesel",
            "layout": "",
            "condition": "warm",
        },
    )
    assert (found.value, found.low, found.high, found.verdict) == (Decimal(520), None, Decimal(480), "out")
    assert found.condition == "cylinder 6, highest of 6, warm"
    row = reading_row(found)
    assert row.band == "at most 480 psi"
    assert row.sentence.startswith("520 psi, 40 psi above the limit")


def test_one_far_above_its_neighbors_is_logged_beside_what_they_allow(world):
    found = logged(
        world,
        "compression",
        {
            "readings": cylinders(150, 150, 148, 210),
            "limits": ("100 psi", ""),
            "share": ("75 %", ""),
            "fuel": "gasoline",
            "layout": "line",
            "rise": "10 %",
        },
    )
    assert (found.value, found.low, found.high, found.verdict) == (Decimal(210), None, Decimal(200), "out")
    assert found.condition == "cylinder 4, highest of 4"


def test_a_verdict_of_another_reason_stands_beside_no_limits(world):
    found = logged(
        world, "leak-down", {"supply": "80 psi", "limits": ("", "25 %"), "held": [("74 psi",)], "heard": "coolant"}
    )
    assert (found.low, found.high, found.verdict) == (None, None, "out")
    assert reading_row(found).sentence.startswith("7.5 %, out by “Leak-down”")


def test_why_a_load_test_is_not_judged_stays_beside_it(world):
    found = logged(
        world,
        "battery-load-test",
        {"rating": "800 A", "temperature": "20 °C", "load": "200 A", "kind": "flooded", "measured": "9.7 V"},
    )
    why = "not judged: the load was not near 400 A, half the rating"
    assert why in reading_row(found).sentence
    assert "no limits" not in reading_row(found).sentence
    before = {name: text for name, text in found.worked_from.items() if name != "not_judged"}
    assert working_from_json(before).not_judged == working_from_json(found.worked_from).not_judged != ""


@pytest.mark.parametrize("kind", ["lithium", "gel"])
def test_a_table_of_another_kind_is_no_basis_of_a_record(kind, world):
    answer, form = work(world, "charge-at-rest", Case({"rest": "12.8 V", "cells": "6", "kind": kind}, ""))
    assert answer is not None, dict(form.errors)
    with pytest.raises(Refused, match="no result to log"):
        log_result(
            by=world.cast.tech,
            job=world.job,
            engine=world.cast.port,
            tool=all_tools()["charge-at-rest"],
            answer=answer,
        )
