"""Whatever a tool logs: figure, limits and verdict agree by themselves, without the words around them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils.html import escape

from commands.refusals import Refused
from engineering.limits import judge
from findings.bench.actions import log_result
from findings.bench.answer import Answer
from findings.bench.catalog import all_tools
from findings.bench.forms import BenchForm
from findings.bench.texts import prefilled, with_units_apart
from findings.bench.working import working_of
from findings.drawing.strip import range_strip
from findings.readings.models import Reading
from findings.readings.queries import reading_row
from findings.readings.working import working_from_json
from findings.reports.actions import draft_report
from findings.reports.build import draft_record
from tests.findings.bench.cases.case import REFUSED, Case
from tests.findings.bench.test_bench_judgments import CASES, work
from vessels.actions import retract

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


@pytest.mark.parametrize(
    ("slug", "inputs", "is_measured"),
    [
        ("compression", {"readings": cylinders(150, 145, 148), "limits": ("100 psi", ""), "fuel": "gasoline"}, True),
        ("leak-down", {"supply": "80 psi", "limits": ("", "25 %"), "held": [("74 psi",)]}, True),
        ("resistance-from-drop", {"drop": "2.0 V", "current": "200 A"}, True),
        ("wet-exhaust-diameter", {"dry": "2.5 in"}, False),
    ],
)
def test_what_instruments_showed_counts_as_measured(slug, inputs, is_measured, world):
    answer, form = work(world, slug, Case(inputs, ""))
    assert answer is not None, dict(form.errors)
    assert working_of(all_tools()[slug], answer).is_measured is is_measured


def test_a_result_in_words_stands_on_the_job_and_in_the_report(world, client):
    slug = "conductor-size"
    answer, form = work(world, slug, Case(all_tools()[slug].example.inputs, ""))
    assert answer is not None, dict(form.errors)
    entry = log_result(
        by=world.cast.tech, job=world.job, engine=world.cast.port, tool=all_tools()[slug], answer=answer, text="Pump."
    )
    assert (entry.kind, entry.job) == ("result", world.job)
    client.force_login(world.cast.manager)
    page = client.get(reverse("findings:job", args=[world.job.number])).content.decode()
    assert "Calculated results" in page
    assert escape(answer.sentence) in page
    draft = draft_report(by=world.cast.tech, job=world.job)
    (told,) = draft_record(draft).findings.results
    assert (told.title, told.text) == (entry.summary, entry.text)
    preview = client.get(reverse("reports:preview", args=[world.job.number])).content.decode()
    assert escape(answer.sentence) in preview
    retract(by=world.cast.manager, entry=entry, reason="Another wire.")
    assert draft_record(draft).findings.results == ()
    page = client.get(reverse("findings:job", args=[world.job.number])).content.decode()
    assert "no longer counts" in page


@pytest.mark.parametrize(
    ("slug", "inputs", "said"),
    [
        (
            "exhaust-back-pressure",
            {"measured": "30 inH2O", "limits": ("", "1.5 psi")},
            ["at most 41.52", "as typed: at most 1.5 psi"],
        ),
        (
            "exhaust-back-pressure",
            {"measured": "1 psi", "limits": ("", "1.5 psi")},
            ["Limits at most 1.5 psi, as typed"],
        ),
        (
            "valve-clearance",
            {"valves": [("0.2 mm", "")], "kind": "intake", "limits": ("0.006 in", "0.010 in"), "first": ""},
            ["0.1524 to 0.254 mm, as typed: 0.006 to 0.010 in"],
        ),
        (
            "compression",
            {"readings": cylinders(150, 148), "limits": ("690 kPa", ""), "share": ("", ""), "fuel": "gasoline"},
            ["the least compression as typed: at least 690 kPa"],
        ),
    ],
)
def test_limits_as_typed_are_told_in_what_was_typed(slug, inputs, said, world):
    answer, form = work(world, slug, Case(inputs, ""))
    assert answer is not None, dict(form.errors)
    for words in said:
        assert words in answer.limits_said
    assert answer.limits_said.endswith("as typed") or ": " in answer.limits_said


def test_a_speed_is_written_one_way_on_a_page(world):
    found = logged(world, "full-throttle", {"revs": "4600 rpm", "low": "4850 rpm", "high": "5850 rpm", "limiter": ""})
    row = reading_row(found)
    drawn = range_strip(row.strip)
    assert "4600 rpm" in row.sentence
    assert "4600" in drawn
    assert "4,600" not in drawn + row.sentence


@pytest.mark.parametrize(
    ("slug", "control", "unit"),
    [
        ("valve-clearance", "valves-gap_unit", {"us": "in", "metric": "mm"}),
        ("valve-clearance", "limits_unit", {"us": "in", "metric": "mm"}),
        ("chain-slack", "deflection_unit", {"us": "in", "metric": "mm"}),
        ("battery-load-test", "table-at_unit", {"us": "degF", "metric": "degC"}),
    ],
)
@pytest.mark.parametrize("system", ["us", "metric"])
def test_units_at_first_are_those_of_the_shop(slug, control, unit, system, world):
    tool = all_tools()[slug]
    context = world.context(tool, system)
    texts = with_units_apart(tool, prefilled(tool, context)[0], system)
    form = BenchForm(tool, context, initial=texts)
    assert (texts.get(control) or form.fields[control].initial) == unit[system]
