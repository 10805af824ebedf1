"""The Bench's propulsion, mechanical and service tools: what they answer, what they refuse and where, what they log."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.urls import reverse

from engineering.limits import Verdict
from engineering.units import System
from findings.bench.answer import Answer, work_out
from findings.bench.catalog import all_tools
from findings.bench.context import ToolContext
from findings.bench.forms import BenchForm
from findings.bench.texts import as_texts, prefilled
from findings.bench.tool import Inputs
from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter, Reading
from tests.findings.bench.world import BenchWorld, make_bench_world

SIX = [("150 psi",), ("149 psi",), ("90 psi",), ("91 psi",), ("148 psi",), ("150 psi",)]
COMPRESSION = {"fuel": "gasoline", "layout": "line", "share": ("70 %", ""), "limits": ("100 psi", ""), "rise": "10 %"}


def _work(slug: str, inputs: Inputs, system: System = "us") -> tuple[Answer | None, BenchForm]:
    """The answer without any record, to what is typed."""
    tool = all_tools()[slug]
    at = ToolContext(SimpleNamespace(vessel=None), None, system, date(2026, 6, 1))
    form = BenchForm(tool, at, as_texts(tool, inputs))
    return work_out(tool, form, at), form


def _like_example(slug: str, changes: Inputs) -> tuple[Answer | None, BenchForm]:
    return _work(slug, {**all_tools()[slug].example.inputs, **changes})


def _words(answer: Answer | None) -> str:
    assert answer is not None
    figures = [f"{label} {text}" for label, text in [*([answer.main] if answer.main else []), *answer.figures]]
    rows = [" ".join(cell for cell, _ in row) for table in answer.tables for row in table.rows]
    return " | ".join([answer.sentence, *figures, *answer.notes, *rows])


@pytest.mark.parametrize(
    ("slug", "changes", "says"),
    [
        ("propeller-slip", {"speed": "60 mph", "usual": ("", "")}, "slips"),
        ("propeller-slip", {"usual": ("15 %", "20 %")}, "Less slip than is usual"),
        ("propeller-slip", {"usual": ("", "5 %")}, "More slip than is usual"),
        ("full-throttle", {"revs": "5000 rpm"}, "lets the engine reach its rated range"),
        ("full-throttle", {"revs": "6000 rpm"}, "It is 150 rpm over."),
        ("full-throttle", {"revs": "6000 rpm", "limiter": "6000 rpm"}, "is not known; it may be higher."),
        ("propeller-pitch", {"revs": "6000 rpm"}, "with this pitch: leave it"),
        ("propeller-pitch", {"revs": "5400 rpm"}, "try 17 in or 18 in of pitch"),
        ("gear-ratio", {"way": "teeth", "driving": "13", "driven": "24"}, "Gear ratio 1.846"),
        ("power-and-torque", {"power": "", "torque": "254 ft·lbf"}, "is 300 hp"),
        (
            "fuel-burn",
            {"measured": "16.4 gal/h", "tolerance": "10 %", "bsfc": "0.51 lb/hp·h"},
            "fuel burn fits the power",
        ),
        ("fuel-burn", {"measured": "20 gal/h", "tolerance": "10 %", "bsfc": "0.51 lb/hp·h"}, "fuel burn is higher"),
        (
            "fuel-burn",
            {"measured": "10 gal/h", "tolerance": "10 %", "bsfc": "0.51 lb/hp·h"},
            "probably does not make it",
        ),
        ("leak-down", {"held": [("74 psi",), ("50 psi",)], "heard": "exhaust"}, "at the exhaust: exhaust valve"),
        ("leak-down", {"bore": "4 in"}, "an orifice of 0.04 in"),
        ("leak-down", {"limits": ("", "")}, "Cylinder 2 leaks most: 25 %."),
        ("exhaust-back-pressure", {"limits": ("2 psi", "11 psi")}, "water may come back up the exhaust"),
        ("exhaust-back-pressure", {"measured": "1.6 psi"}, "can restrict the engine"),
        ("exhaust-back-pressure", {"limits": ("", "")}, "no limit to compare with"),
        ("chain-slack", {"deflection": "11 mm", "limits": ("", "11 mm")}, "Slack within its limit"),
        ("chain-slack", {"deflection": "11.5 mm", "limits": ("", "11 mm")}, "fit a new set"),
        ("chain-elongation", {"measured": "24.5 in"}, "Wear within its limit"),
        ("chain-elongation", {"measured": "24.36 in", "centers": "fixed"}, "Worn out"),
        ("chain-elongation", {"measured": "23.9 in"}, "0.42 % shorter than new"),
        ("chain-elongation", {"teeth": "", "limits": ("", "1 %")}, "Worn out at 24.24 in"),
        ("valve-clearance", {"valves": [("0 mm", "2.80 mm")]}, "no gap at all and may not close"),
        ("valve-clearance", {"valves": [("0.9 mm", "3.30 mm")]}, "no shim of the series brings it into range"),
        ("valve-clearance", {"valves": [("0.25 mm",), ("0.29 mm",)]}, "Closest to a limit 0.29 mm"),
        ("torque-with-adapter", {"angle": "90"}, "Set the wrench to 40 ft·lbf"),
        ("torque-with-adapter", {"angle": "180"}, "Set the wrench to 60 ft·lbf"),
        ("service-due", {"now_hours": "400 h"}, "by the hours given the use is 0 h a week"),
        ("service-due", {"weekly": "0 h"}, "Due on Mar 1, 2027 by the calendar"),
        ("service-due", {"weekly": "7 h"}, "Due about Sep 9, 2026 by hours"),
        ("service-due", {"now_hours": "512 h"}, "Overdue: it was due at 500 h, 12 h ago"),
        ("service-due", {"last_on": "2026-01-31", "months": "1"}, "Feb 28, 2026 | 2 Mar 31, 2026"),
        ("service-due", {"every": "", "now_hours": "", "last_hours": ""}, "Due on Mar 1, 2027 by the calendar."),
    ],
)
def test_what_the_tools_say(slug, changes, says):
    answer, form = _like_example(slug, changes)
    assert answer is not None, form.errors
    assert says in _words(answer)


@pytest.mark.parametrize(
    ("slug", "changes", "control", "says"),
    [
        ("propeller-slip", {"revs": "0"}, "revs", "must be more than 0"),
        ("propeller-slip", {"usual": ("10 %", "120 %")}, "usual_high", "less than 100 %"),
        ("full-throttle", {"low": "6000", "high": "5000"}, "low", "Swap them"),
        ("propeller-pitch", {"target": "7000"}, "target", "outside the rated range"),
        ("propeller-pitch", {"limiter": "6300"}, "revs", "limiter held the engine"),
        ("propeller-pitch", {"least": "300"}, "least", "Swap them"),
        ("gear-ratio", {"propeller": ""}, "propeller", "Enter both speeds"),
        ("gear-ratio", {"way": "teeth", "driving": "13"}, "driven", "Count the teeth"),
        ("power-and-torque", {"torque": "100"}, "torque", "leave the other empty"),
        ("power-and-torque", {"power": ""}, "torque", "leave the other empty"),
        ("fuel-burn", {"measured": "16", "tolerance": ""}, "tolerance", "by how much"),
        ("compression", {"share": ("", "")}, "share_low", "Give the manual's least compression"),
        ("compression", {"readings": [("150",), ("",), ("140",)]}, "readings-1-dry", "Cylinder 2 has no reading"),
        (
            "compression",
            {"readings": [("150",), ("140",), ("-3",)]},
            "readings-2-dry",
            "Cylinder 3, dry cannot be less",
        ),
        ("compression", {"readings": [("150", "160"), ("140", "")], "rise": ""}, "rise", "for the rise to be clear"),
        ("leak-down", {"held": [("74",), ("90",)]}, "held-1-pressure", "cannot hold more than is supplied"),
        ("exhaust-back-pressure", {"measured": "-1"}, "measured", "cannot be less than 0"),
        ("chain-elongation", {"teeth": ""}, "limits_high", "Enter the manual's limit"),
        ("chain-elongation", {"links": "12"}, "measured", "count the links again"),
        ("valve-clearance", {"limits": ("0.2 mm", "")}, "limits_high", "Enter both limits"),
        ("valve-clearance", {"valves": [("0.2",), ("-0.1",)]}, "valves-1-gap", "cannot be less than 0"),
        ("valve-clearance", {"last": ""}, "last", "leave all three empty"),
        ("torque-with-adapter", {"angle": "190"}, "angle", "from 0° (straight ahead)"),
        ("torque-with-adapter", {"adapter": "12 in", "angle": "180"}, "adapter", "no torque arrives"),
        ("service-due", {"now_hours": "399"}, "now_hours", "if it was replaced, log that first"),
        ("service-due", {"now_hours": "9000"}, "now_hours", "more than the clock has"),
        ("service-due", {"every": "", "months": ""}, "every", "in hours, in months, or both"),
        ("service-due", {"now_on": "2026-02-01"}, "last_on", "lies after today"),
        ("service-due", {"last_hours": ""}, "last_hours", "hours at the last service"),
        ("service-due", {"weekly": "200"}, "weekly", "168"),
    ],
)
def test_what_is_refused_stands_beside_its_field(slug, changes, control, says):
    answer, form = _like_example(slug, changes)
    assert answer is None
    assert says in " ".join(str(text) for text in form.errors[control]), form.errors


@pytest.mark.parametrize(
    ("layout", "named"),
    [
        ("line", "Cylinders 3 and 4 are neighbors and low together"),
        ("odd-even", "Cylinder 3 is low: repeat with a spoonful of oil"),
        ("halves", "Cylinder 3 is low: repeat with a spoonful of oil"),
    ],
)
def test_neighbors_depend_on_how_the_cylinders_stand(layout, named):
    answer, _ = _work("compression", {**COMPRESSION, "readings": SIX, "layout": layout})
    assert named in _words(answer)
    assert answer is not None
    assert answer.verdict is Verdict.OUT
    assert answer.sentence == "Cylinders 3 and 4 are too low: at least 105 psi was asked for."


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize(("lowest", "verdict"), [("105 psi", Verdict.NEAR), ("104.9 psi", Verdict.OUT)])
def test_a_cylinder_on_the_limit_passes(lowest, verdict, system):
    # 70 % of 150 psi: the worked example of a car maker's service manual (2006)
    answer, _ = _work("compression", {**COMPRESSION, "readings": [("150 psi",), (lowest,)]}, system)
    assert answer is not None
    assert answer.verdict is verdict


def test_readings_with_oil_tell_rings_from_valves():
    readings = [("150 psi", ""), ("90 psi", "140 psi"), ("148 psi", ""), ("90 psi", "92 psi")]
    answer, _ = _work("compression", {**COMPRESSION, "readings": readings})
    assert "Cylinder 2 is low and clearly higher with oil: rings" in _words(answer)
    assert "Cylinder 4 is low and oil changes little: a valve" in _words(answer)
    assert "2 90 psi 140 psi low" in _words(answer)


def test_too_much_compression_is_out_as_well():
    answer, _ = _work(
        "compression", {**COMPRESSION, "readings": [("150 psi",), ("200 psi",)], "limits": ("", "190 psi")}
    )
    assert answer is not None
    assert answer.sentence == "Cylinder 2 is higher than the manual allows: 200 psi, at most 190 psi."
    assert answer.verdict is Verdict.OUT


@pytest.fixture
def world(db: None) -> BenchWorld:
    return make_bench_world()


def _prefilled(world: BenchWorld, slug: str) -> tuple[Mapping[str, str], Mapping[str, str]]:
    tool = all_tools()[slug]
    return prefilled(tool, world.context(tool))


def test_what_is_on_the_engines_record_is_filled_in(world):
    texts, notes = _prefilled(world, "propeller-pitch")
    assert (texts["low"], texts["high"]) == ("3200 rpm", "3600 rpm")
    assert notes["low"] == "on the engine's record"
    assert _prefilled(world, "propeller-slip")[0]["ratio"] == "1.5"
    fuel, notes = _prefilled(world, "fuel-burn")
    assert fuel["rated"] == "370 hp"
    assert "power" not in fuel
    assert fuel["bsfc"] in {"0.5 lb/hp·h", "0.4 lb/hp·h"}
    assert "common practice" in notes["bsfc"]
    hours, notes = _prefilled(world, "service-due")
    assert "now_hours" not in hours, "old hours would make the service look further off"
    assert notes["now_hours"] == "Last logged: 460 h, over all meters. Read it now."


def test_limits_come_from_the_spec_card(world):
    compression = Parameter.objects.get(name="Compression")
    add_card(
        by=world.cast.manager,
        family=world.cast.family,
        title="Cranking",
        document="Invented manual, table 4",
        limits=[NewLimit(compression, "psi", low=Decimal(140), high=Decimal(190))],
    )
    texts, notes = _prefilled(world, "compression")
    texts["fuel"] = "gasoline"
    assert (texts["limits_low"], texts["limits_high"], texts["limits_unit"]) == ("140", "190", "psi")
    assert notes["limits"] == "Cranking: Invented manual, table 4"
    tool = all_tools()["compression"]
    answer, _ = world.work(tool, {**texts, **as_texts(tool, {"readings": [("150 psi",), ("139 psi",)]})})
    assert answer is not None
    assert answer.verdict is Verdict.OUT
    assert answer.band_from == "the least compression of Cranking: Invented manual, table 4"
    by_share, _ = world.work(
        tool, {**texts, **as_texts(tool, {"readings": [("190 psi",), ("160 psi",)]}), "share_low": "90"}
    )
    assert by_share is not None
    assert by_share.band_from == "the share of the highest cylinder as typed"


def test_a_compression_set_is_logged_with_every_cylinder(world, client):
    client.force_login(world.cast.tech)
    tool = all_tools()["compression"]
    sent: dict[str, Any] = {
        **_prefilled(world, "compression")[0],
        **as_texts(tool, {**COMPRESSION, "readings": SIX, "fuel": "gasoline"}),
    }
    page = reverse("findings:bench_tool", args=[world.job.number, tool.slug])
    entry = "7c9b9a51-2a44-4f0c-9e0e-3b1a4a0f6a01"
    answer = client.post(page, {**sent, "log-entry_id": entry, "log-phase": "arrival"})
    assert answer.status_code == 302, answer.context["form"].errors
    reading = Reading.objects.get(pk=entry)
    assert (reading.parameter.name, reading.value, reading.unit, reading.verdict) == (
        "Compression", Decimal(90), "psi", "out",
    )  # fmt: skip
    assert reading.condition == "lowest of 6"
    assert reading.low == Decimal(105)
    kept = {one["label"]: one["value"] for one in reading.worked_from["inputs"]}
    assert [kept[f"Cylinder {number}, dry"] for number in range(1, 7)] == ["150", "149", "90", "91", "148", "150"]


def test_a_chain_shorter_than_new_is_judged_by_nothing():
    answer, _ = _like_example("chain-elongation", {"measured": "23.9 in"})
    assert answer is not None
    assert answer.verdict is Verdict.NO_LIMITS
    worn, _ = _like_example("chain-elongation", {"measured": "24.5 in"})
    assert worn is not None
    assert worn.verdict is not Verdict.NO_LIMITS
