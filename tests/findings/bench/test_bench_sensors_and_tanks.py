"""The Bench's sensor and tank tools: what they answer, what they refuse, and what they log."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from types import SimpleNamespace

import pytest
from django.urls import reverse

from engineering.limits import Verdict
from findings.bench.answer import Answer, work_out
from findings.bench.catalog import all_tools
from findings.bench.context import ToolContext
from findings.bench.forms import BenchForm
from findings.bench.texts import Texts, as_texts
from findings.readings.models import Reading
from vessels.models import LogEntry


def _texts(slug: str, changes: Mapping[str, str]) -> Texts:
    """The example's inputs with some of them changed, under the names of the form's controls."""
    tool = all_tools()[slug]
    return as_texts(tool, tool.example.inputs) | dict(changes)


def _work(slug: str, changes: Mapping[str, str]) -> tuple[Answer | None, BenchForm]:
    """The answer without any record: these tools know nothing but what is typed."""
    tool = all_tools()[slug]
    at = ToolContext(SimpleNamespace(vessel=None), None, "us", date(2026, 6, 1))
    form = BenchForm(tool, at, _texts(slug, changes))
    return work_out(tool, form, at), form


def _words(answer: Answer) -> str:
    figures = [f"{label} {text}" for label, text in [*([answer.main] if answer.main else []), *answer.figures]]
    rows = [" ".join(cell for cell, _ in row) for table in answer.tables for row in table.rows]
    return " | ".join([answer.sentence, *figures, *answer.notes, *rows])


@pytest.mark.parametrize(
    ("slug", "changes", "says"),
    [
        ("thermistor-beta", {"resistance": "1 Ω"}, "Look for a short or an open circuit"),
        ("thermistor-beta", {"resistance": "0 Ω"}, "0 Ω: the sensor or its wiring is shorted"),
        ("thermistor-beta", {"resistance": "", "temperature": "50 °C"}, "should have 3563.1 Ω"),
        ("thermistor-beta", {"temperature": "45 °C"}, "it reads 9 °F high"),
        ("thermistor-table", {"entries-4-celsius": "40 °C", "entries-4-ohm": "5331 Ω",
                              "entries-5-celsius": "50 °C", "entries-5-ohm": "3542 Ω"}, "misread or misprinted"),
        ("thermistor-table", {"resistance": "40 kΩ", "temperature": "", "tolerance": ""}, "Outside of it nothing is"),
        ("thermistor-points", {"resistance": "1000 Ω"}, "where the equation is a guess"),
        ("sensor-divider", {"signal": "", "known": "1 kΩ"}, "gives 2.5 V"),
        ("ratiometric-transducer", {"signal": "0.1 V"}, "0.1 V stands for no value"),
        ("ratiometric-transducer", {"signal": "0.4 V"}, "A little below the range"),
        ("ratiometric-transducer", {"known": "60"}, "10 % of the range below the true value"),
        ("ratiometric-transducer", {"signal": "", "known": "50"}, "At 50 psi the transducer should give 2.4 V"),
        ("current-loop", {"current": "3.6 mA"}, "A failure signal"),
        ("current-loop", {"current": "3.7 mA"}, "Some call it under-range"),
        ("current-loop", {"current": "0 mA"}, "the loop is open"),
        ("position-sensor-wiring", {"ground": "", "drop": ""}, "Supply good: 4.98 V, 4.75 to 5.25 V is wanted."),
        ("position-sensor-wiring", {"drop": "0.1 V"}, "Supply and ground are as they should be."),
        ("position-sensor-wiring", {"supply": "0 V"}, "Fix supply and ground under current first."),
        ("position-sensor-sweep", {"samples-2-first": "0 V"}, "Reading 3, 0 V: at ground"),
        ("position-sensor-sweep", {f"samples-{row}-second": volts for row, volts in
                                   enumerate(("0.25 V", "0.75 V", "1.25 V", "1.75 V", "2.25 V"))}, "its tracks agree"),
        ("position-sensor-sweep", {f"samples-{row}-second": volts for row, volts in
                                   enumerate(("0.25 V", "0.75 V", "1.55 V", "1.75 V", "2.25 V"))}, "at reading 3"),
        ("level-sender", {"reads": "320 Ω"}, "open winding, wire or ground"),
        ("level-sender", {"sender": "eu", "reads": "0 Ω"}, "A wire shorted to ground reads the same"),
        ("level-sender", {"reads": "", "level": "50 %"}, "At 50 % it should have 103 Ω."),
        ("level-sender", {"level": "40 %"}, "10 % of its travel above the true level"),
        ("tank-cylinder", {"dip": "", "reads": "103 Ω"}, "It holds 376 gal now, 50 %"),
        ("tank-cylinder", {"reads": "103 Ω"}, "13 % of the tank more than the stick"),
        ("tank-cylinder", {"dip": "", "reads": "320 Ω"}, "The sender tells no level."),
        ("tank-cylinder", {"lines": "height", "step": "12 in"}, "12 in 147 gal 19.6 %"),
        ("tank-fills", {"volumes": "whole"}, "It holds 6 gal now"),
        ("tank-wedge", {"bottom_width": "21 in"}, "Capacity 30 gal"),
    ],
)  # fmt: skip
def test_what_the_tools_say(slug, changes, says):
    answer, form = _work(slug, changes)
    assert answer is not None, form.errors
    assert says in _words(answer)


@pytest.mark.parametrize(
    ("slug", "changes", "says"),
    [
        ("thermistor-beta", {"resistance": ""}, "Enter the resistance, the true temperature, or both."),
        ("thermistor-beta", {"resistance": "-5 Ω"}, "The resistance must be more than 0."),
        ("thermistor-beta", {"beta": "3.977"}, "no thermistor's beta value"),
        ("thermistor-beta", {"tolerance": "5 %"}, "To judge the sensor write its resistance and the true temperature."),
        ("thermistor-beta", {"temperature": "25 °C", "tolerance": "100 %"}, "below 100 %"),
        ("thermistor-beta", {"resistance": "", "temperature": "500 °C"}, "No engine's thermistor works at 500 °C"),
        ("thermistor-points", {"points-2-ohm": "12000 Ω"}, "The resistance does not fall from 25 to 50 °C"),
        ("thermistor-table", {"entries-1-celsius": "0 °C"}, "The table has 0 °C twice."),
        ("thermistor-coefficients", {"b": "-2.3"}, "These coefficients describe no thermistor"),
        ("sensor-divider", {"signal": "5 V"}, "the circuit is open"),
        ("sensor-divider", {"signal": ""}, "Enter the signal voltage, or a resistance to expect."),
        ("ratiometric-transducer", {"high": "0"}, "The range has no width"),
        ("ratiometric-transducer", {"low_share": "95 %"}, "The signal must rise over the range."),
        ("ratiometric-transducer", {"unit": "degF"}, "Oil pressure is not measured in °F."),
        ("ratiometric-transducer", {"signal": ""}, "Enter the signal, the true value, or both."),
        ("current-loop", {"known": "20"}, "The value is outside of the transducer's range."),
        ("position-sensor-wiring", {"supply": "", "ground": "", "drop": ""}, "Enter at least one measurement."),
        ("position-sensor-wiring", {"supply_low": "6 V"}, "The lower end of the supply is above its upper end."),
        ("position-sensor-sweep", {"samples-1-second": "1 V"}, "Enter the second track at every place, or at none."),
        ("level-sender", {"sender": "own"}, "Enter the sender's curve, or choose another sender."),
        ("level-sender", {"sender": "none"}, "Choose a sender."),
        ("level-sender", {"reads": ""}, "Write what the sender reads, the true level, or both."),
        ("tank-cylinder", {"dip": "60 in"}, "The tank is 48 in high inside."),
        ("tank-cylinder", {"sender": "none", "reads": "100 Ω"}, "Choose the sender that this was read from."),
        ("tank-cylinder", {"lines": "height", "step": "0.1 in"}, "That makes more than 200 lines."),
        ("tank-cylinder", {"highest": "60 in"}, "The float cannot be above the top of the tank."),
        ("tank-box", {"dip": "11 in"}, "The tank is 10 in high inside."),
        ("tank-wedge", {"bottom_width": "30 in"}, "The bottom is wider than the top."),
        ("tank-fills", {"fills-2-level": "6 in"}, "Each filling must reach higher than the one before it."),
    ],
)  # fmt: skip
def test_what_the_tools_refuse(slug, changes, says):
    answer, form = _work(slug, changes)
    assert answer is None
    assert any(says in str(sentence) for sentences in form.errors.values() for sentence in sentences), form.errors


def _log(client, job, slug, **changes):
    sent = {**_texts(slug, changes), "log-phase": "arrival"}
    answer = client.post(reverse("findings:bench_tool", args=[job.number, slug]), sent)
    assert answer.status_code == 302, answer.context["log_form"].errors


def test_a_sensor_is_logged_with_its_verdict(tech, job):
    _log(tech, job, "thermistor-beta", temperature="45 °C", tolerance="5 %")
    reading = Reading.objects.get()
    assert reading.parameter.name == "Coolant sensor resistance"
    assert reading.condition == "at 113 °F"
    assert reading.verdict == Verdict.OUT.value


def test_a_transducers_value_is_logged_as_what_it_measures(tech, job):
    _log(tech, job, "ratiometric-transducer")
    reading = Reading.objects.get()
    assert (reading.parameter.name, reading.value, reading.unit) == ("Oil pressure", 50, "psi")
    assert reading.worked_from["inputs"]


def test_a_dead_loop_is_logged_as_a_note(tech, job):
    _log(tech, job, "current-loop", current="0 mA")
    assert not Reading.objects.exists()
    assert "the loop is open" in LogEntry.objects.latest("position").text


def test_a_tanks_contents_are_logged(tech, job):
    _log(tech, job, "tank-cylinder", tank="port fuel")
    reading = Reading.objects.get()
    assert (reading.parameter.name, reading.condition) == ("Tank contents", "port fuel, by stick")


@pytest.mark.parametrize(
    ("slug", "changes", "control"),
    [
        ("thermistor-table", {"entries-2-celsius": "", "entries-2-ohm": "", "entries-3-ohm": "20 kΩ"},
         "entries-3-celsius"),
        ("thermistor-points", {"points-2-ohm": "12000 Ω"}, "points-2-celsius"),
        ("tank-fills", {"fills-2-level": "6 in"}, "fills-2-level"),
        ("tank-box", {"sender": "own", "curve-0-level": "0 %", "curve-0-ohm": "10 Ω", "curve-1-level": "50 %",
                      "curve-1-ohm": "5 Ω", "curve-2-level": "100 %", "curve-2-ohm": "90 Ω"}, "curve-1-level"),
        ("position-sensor-sweep", {"samples-1-first": "-1 V"}, "samples-1-first"),
    ],
)  # fmt: skip
def test_a_slip_is_told_by_its_own_row(slug, changes, control):
    answer, form = _work(slug, changes)
    assert answer is None
    assert list(form.errors) == [control]
