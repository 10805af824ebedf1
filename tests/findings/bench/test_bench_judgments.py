"""Every tool against cases from the trade, and one judgment wherever it is said."""

from __future__ import annotations

import importlib
import math
import pkgutil
import re
from collections.abc import Sequence
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.codes import CodeStatus
from engineering.faults import Absent, Cleared, Evidence, Seen, replay
from engineering.limits import Verdict
from findings.bench.answer import Answer
from findings.bench.catalog import all_tools
from findings.bench.fields import Inputs
from findings.bench.forms import BenchForm
from findings.bench.given import Given
from findings.bench.outcome import Band, Figure
from findings.bench.texts import as_texts, prefilled
from findings.bench.tool import Tool
from findings.faults.history import history_as_json
from findings.faults.models import Fault
from findings.readings.actions import NewLimit, add_card, add_parameter, log_reading
from findings.readings.judging import stored_judgment
from findings.readings.models import Parameter, Reading
from findings.readings.queries import DRAWN, limits_words
from tests.findings.bench import cases as bench_cases
from tests.findings.bench.cases.case import REFUSED, Case
from tests.findings.bench.world import BenchWorld
from tests.findings.story import OIL, at

pytestmark = pytest.mark.django_db

CASES: dict[str, tuple[Case, ...]] = {}
for module in pkgutil.iter_modules(bench_cases.__path__, f"{bench_cases.__name__}."):
    for of_tool, told in getattr(importlib.import_module(module.name), "CASES", {}).items():
        CASES[of_tool] = (*CASES.get(of_tool, ()), *told)

LEAST_CASES = 8
SAFETY = re.compile(r"\b(safe|safely|safety|seaworthy|no danger|harmless)\b", re.IGNORECASE)


def work(world: BenchWorld, slug: str, case: Case) -> tuple[Answer | None, BenchForm]:
    tool = all_tools()[slug]
    engine = world.cast.port
    engine.fuel, before = case.fuel or engine.fuel, engine.fuel
    example = as_texts(tool, kept_of_example(tool, case)) if case.is_slip else {}
    texts = prefilled(tool, world.context(tool))[0] | example | as_texts(tool, case.inputs) | put_on_record(world, case)
    try:
        return world.work(tool, texts)
    finally:
        engine.fuel = before


def kept_of_example(tool: Tool, case: Case) -> Inputs:
    """The tool's example, but for what the case types over."""
    return {name: value for name, value in tool.example.inputs.items() if name not in case.inputs}


def put_on_record(world: BenchWorld, case: Case) -> dict[str, str]:
    """What a case has on record, and the choice of it."""
    if case.readings:
        fuel = Parameter.objects.get(name="Fuel pressure")
        limit = NewLimit(fuel, "psi", "idle", low=Decimal(38), high=Decimal(46))
        add_card(
            by=world.cast.manager, family=world.cast.family, title="Fuel", document="Measured here", limits=[limit]
        )
        for number, (hours, value, unit, instrument) in enumerate(case.readings):
            log_reading(
                by=world.cast.tech, vessel=world.cast.vessel, engine=world.cast.port, parameter=fuel,
                value=Decimal(value), unit=unit, condition="idle", instrument=instrument,
                engine_hours=Decimal(hours), happened_at=at(200 + 4 * number),
            )  # fmt: skip
        return {"series": f"{fuel.pk}:idle"}
    if case.away is not None:
        fault = Fault.objects.get(engine=world.cast.port, code=OIL.text)
        fault.history = history_as_json(replay(_came_back(case.away, case.away_now)))
        fault.save()
        return {"fault": str(fault.pk)}
    return {}


def _came_back(gaps: Sequence[tuple[float, float]], away_now: float | None) -> list[Evidence]:
    """Seen and cleared, and seen again after each gap; a scan proves the part of it that is known."""
    hours, made = 100.0, [Seen("s0", at(0), Decimal(100), CodeStatus.ACTIVE)]
    for number, (least, seen) in enumerate([*gaps, (away_now or 0.0, math.inf)]):
        day = 10 * number
        made.append(Cleared(f"c{day}", at(day + 1), Decimal(str(hours))))
        if least:
            made.append(Absent(f"a{day}", at(day + 2), Decimal(str(round(hours + least, 1)))))
        if math.isfinite(seen):
            hours = round(hours + seen, 1)
            made.append(Seen(f"s{day + 10}", at(day + 10), Decimal(str(hours)), CodeStatus.ACTIVE))
    return made if away_now is not None else made[:-1]


def all_said(answer: Answer) -> str:
    """Everything that the result says in words."""
    figures = [f"{label} {text}" for label, text in answer.figures]
    cells = [cell for table in answer.tables for row in table.rows for cell, _ in row]
    return " ".join([answer.words, *answer.notes, *figures, *cells])


@pytest.mark.parametrize(
    ("slug", "case"),
    [
        pytest.param(slug, case, id=f"{slug}-{number}")
        for slug, cases in CASES.items()
        for number, case in enumerate(cases, 1)
    ],
)
def test_it_is_judged_as_a_careful_mechanic_would(slug, case, world):
    answer, form = work(world, slug, case)
    if case.verdict == REFUSED:
        assert answer is None, f"taken: {answer.sentence if answer else ''}"
        said = " ".join(form.errors.get(case.field, []))
        assert said, f"nothing beside {case.field}: {dict(form.errors)}"
        assert said[-1] == "."
    else:
        assert answer is not None, dict(form.errors)
        assert answer.verdict.value == case.verdict, all_said(answer)
        said = all_said(answer)
        assert_of_one_mind(answer)
    for words in case.says:
        assert words.casefold() in said.casefold(), said
    for words in case.never:
        assert words.casefold() not in said.casefold(), said
    assert not SAFETY.search(said), "the program states nothing about safety"


def assert_of_one_mind(answer: Answer) -> None:
    """The value shown, the limits shown and the verdict agree: no value inside its limits is out of them, nor the other
    way around, unless the tool itself judged by more than two limits and says so."""
    if answer.compared is None or answer.measure is None:
        assert answer.strip is None
        return
    limits, judgment = answer.compared.limits, answer.compared.judgment
    value = answer.measure.value
    assert answer.main is not None
    assert re.sub(r"[^0-9.-].*", "", answer.main[1]) in {str(value), format(value.normalize(), "f")}
    is_inside = not (
        (limits.low is not None and value < limits.low) or (limits.high is not None and value > limits.high)
    )
    if judgment.verdict is Verdict.OUT and " by “" not in judgment.sentence:
        assert not is_inside, judgment.sentence
    if judgment.verdict in (Verdict.IN_RANGE, Verdict.NEAR):
        assert is_inside, judgment.sentence
    if answer.strip is not None:
        assert answer.strip.value == float(value)
        assert answer.strip.verdict is DRAWN[answer.verdict]


def test_every_tool_has_its_cases():
    few = {slug: len(CASES.get(slug, ())) for slug in all_tools() if len(CASES.get(slug, ())) < LEAST_CASES}
    assert few == {}


def test_no_case_is_of_a_tool_that_is_gone():
    assert set(CASES) <= set(all_tools())


def _add_limit(world, name, *conditions, low="9.0"):
    parameter = add_parameter(by=world.cast.manager, name=name, kind="voltage")
    add_card(
        by=world.cast.manager,
        family=world.cast.family,
        title="Battery",
        document="Invented manual, page 2",
        limits=[NewLimit(parameter, "V", one, low=Decimal(low)) for one in conditions],
    )


def test_what_a_tool_does_not_judge_no_card_judges(world):
    _add_limit(world, "Battery voltage under load", "")
    case = Case({"rating": "650 A", "temperature": "20 °C", "load": "", "kind": "flooded", "measured": "10.1 V"}, "")
    answer, form = work(world, "battery-load-test", case)
    assert answer is not None, form.errors
    assert (answer.verdict, answer.strip, answer.band) == (Verdict.NO_LIMITS, None, "")
    assert "10.1 V, not judged: the load that was drawn is not known" in answer.judged


@pytest.mark.parametrize(
    ("conditions", "filled"), [((), ""), (("",), "12.9 V"), (("idle",), "12.9 V"), (("idle", "cruise"), "")]
)
def test_a_limit_under_one_of_several_conditions_is_not_guessed(conditions, filled, world):
    if conditions:
        _add_limit(world, "Charging voltage", *conditions, low="12.9")
    tool = all_tools()["charging-voltage"]
    texts, notes = prefilled(tool, world.context(tool))
    assert texts["low"] == (filled or "13.8 V")
    assert ("idle" in notes["low"]) is (conditions == ("idle",))


@pytest.mark.parametrize("value", ["60.00004", "60.00006", "29.99996", "29.99994", "45"])
def test_a_reading_is_judged_as_it_is_kept(value, world):
    reading = log_reading(
        by=world.cast.tech,
        vessel=world.cast.vessel,
        engine=world.cast.port,
        parameter=Parameter.objects.get(name="Oil pressure"),
        value=Decimal(value),
        unit="psi",
        job=world.job,
    )
    kept = Reading.objects.get(pk=reading.pk)
    assert stored_judgment(kept).verdict.value == kept.verdict
    assert stored_judgment(kept).sentence.startswith(f"{kept.value.normalize():f} psi")


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("as typed", "Limits at most 2 V, as typed"), ("Warm: a manual", "Limits at most 2 V, from Warm: a manual"),
        ("", "Limits at most 2 V"),
    ],
)  # fmt: skip
def test_limits_say_where_they_are_from_in_english(source, words):
    assert limits_words("at most 2 V", source) == words


@given(value=st.floats(13.7, 14.9), decimals=st.integers(0, 3))
@settings(max_examples=200, deadline=None)
def test_a_value_worked_out_is_shown_with_the_figures_that_its_verdict_needs(value, decimals):
    found = Given({}).judge(Figure("Volts", value, "V", decimals=decimals), Band(13.8, 14.8, "V"))
    shown = Decimal(found.shown.removesuffix(" V"))
    assert shown == found.measure.value
    assert found.is_out == (shown < Decimal("13.8") or shown > Decimal("14.8"))
    assert found.is_out == (found.verdict is Verdict.OUT)
    assert abs(shown - Decimal(repr(value))) <= Decimal(5).scaleb(-decimals - 1)


@pytest.mark.parametrize(
    ("typed", "shown", "verdict"),
    [
        ("14.804 V", "14.804 V", Verdict.OUT), ("14.8 V", "14.8 V", Verdict.NEAR),
        ("14804 mV", "14804 mV", Verdict.OUT),
        ("13.796 V", "13.796 V", Verdict.OUT), ("14,25 V", "14.25 V", Verdict.IN_RANGE),
    ],
)  # fmt: skip
def test_a_value_that_was_typed_is_judged_shown_and_kept_as_typed(typed, shown, verdict, world):
    case = Case(
        {"measured": typed, "cells": "6", "kind": "flooded", "low": "13.8 V", "high": "14.8 V", "temperature": ""}, ""
    )
    answer, form = work(world, "charging-voltage", case)
    assert answer is not None, form.errors
    assert answer.main is not None
    assert answer.main[1] == shown
    assert answer.sentence.startswith(f"{shown} at the battery")
    assert (answer.verdict, answer.judged.startswith(shown)) == (verdict, True)
    assert ("too high" in answer.sentence.casefold()) == (verdict is Verdict.OUT and "13" not in shown)
