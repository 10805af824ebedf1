"""The Bench as a person uses it: published figures typed into each tool, and what it then says.

What the functions below work out is held against their sources in the other files here. These rows hold the way from
what is typed to what is read: units, decimal commas, rounding, verdict. Each row has figures that are not the tool's own
example. Where no source prints one, the row says "common practice, no source", "from memory" or "computed".
"""

from __future__ import annotations

from datetime import date
from typing import Any, NamedTuple, cast

import pytest

from findings.bench.answer import work_out
from findings.bench.catalog import all_tools
from findings.bench.context import ToolContext
from findings.bench.forms import BenchForm
from findings.bench.texts import as_texts, prefilled

CATALOG = "A marine catalog's bilge pump: 10 A, 21 ft there and back, 12 V"
MANUALS = "Three vehicle makers' service manuals, 2003 to 2009"
DIODE = "Laser-diode controller manual, Appendix A, Table A.1"
HOBBY = "Divided by 1056: 5280 ft x 12 / 60; a web calculator's 66.67 mph and 25 % are wrong"
RUN = {"current": "10 A", "run": "21 ft", "system": "12 V", "gauge": "AWG", "insulation": "105", "where": "outside"}
RUN |= {"bundled": "2"}
FOUR = [("150 psi",), ("145 psi",), ("148 psi",), ("112 psi",)]
NIST = ["5 h", "40 h", "43 h", "175 h", "389 h", "712 h", "747 h", "795 h", "1299 h", "1478 h"]


class Printed(NamedTuple):
    """What is typed into a tool, words and figures that it then has, its verdict, and where they are printed."""

    slug: str
    typed: dict[str, Any]
    says: list[str]
    source: str
    verdict: str = "no limits"
    system: str = "us"


PRINTED = [
    Printed("cranking-drops", {"positive": "0.5 V", "positive_limit": "0.5 V", "ground": "0.19 V", "ground_limit": "0.2 V"}, ["Every drop is within its limit"], "TM 5-3805-254-14P-2: at most 0.5 V in the insulated side", "near"),
    Printed("cranking-drops", {"positive": "0.51 V", "positive_limit": "0.5 V", "ground": "0.1 V", "ground_limit": "0.2 V"}, ["Positive side: 0.51 V"], "TM 5-3805-254-14P-2", "out"),
    Printed("resistance-from-drop", {"drop": "2000 mV", "current": "200 A", "limits": ("", "5 mΩ")}, ["10 mΩ, more than the 5 mΩ"], "Starter voltage-drop training text: 200 A through 0.01 Ω are 2.0 V", "out"),
    Printed("voltage-drop", {**RUN, "allowed": "10 %", "size": "16"}, ["within the 1.2 V"], f"{CATALOG}: 16 AWG within 10 %", "in range"),
    Printed("voltage-drop", {**RUN, "allowed": "10 %", "size": "18"}, ["more than the 1.2 V"], f"{CATALOG}: 1,881 cmil are wanted, and 18 AWG has 1,624", "out"),
    Printed("voltage-drop", {**RUN, "current": "60 A", "allowed": "10 %", "size": "10", "run": "4 ft"}, ["the most that it carries, 60 A"], "33 CFR 183.425, Table 5: 10 AWG, 105 °C, outside engine spaces", "in range"),
    Printed("conductor-size", {**RUN, "allowed": "10 %"}, ["Take 16 AWG", "1881 cmil"], f"{CATALOG}: CM = 1881.25, 16 AWG"),
    Printed("conductor-size", {**RUN, "allowed": "3 %"}, ["Take 12 AWG", "6271 cmil"], f"{CATALOG}: CM = 6270.83, 12 AWG"),
    Printed("charge-at-rest", {"rest": "12,24 V", "cells": "6", "kind": "flooded", "temperature": "80 °F"}, ["about 50 % charged"], "Battery makers' FAQ table: 12.24 V are 50 % (common practice)"),
    Printed("charge-at-rest", {"rest": "24.90 V", "cells": "12", "kind": "flooded", "temperature": "80 °F"}, ["about 75 % charged"], "The same table, doubled: 12.45 V are 75 %"),
    Printed("battery-load-test", {"rating": "800 A", "kind": "flooded", "measured": "8.5 V", "temperature": "-18 °C", "load": "400 A"}, ["It holds up", "400 A", "8.5 V"], f"{MANUALS}: 8.5 V at -18 °C, half of 800 A", "near"),
    Printed("battery-load-test", {"rating": "800 A", "kind": "flooded", "measured": "9.3 V", "temperature": "10 °C", "load": "400 A"}, ["It does not hold up", "9.4 V needed"], f"{MANUALS}: 9.4 V at 10 °C", "out"),
    Printed("charging-voltage", {"measured": "14.2 V", "cells": "6", "kind": "flooded", "temperature": "25 °C", "low": "13.8 V", "high": "14.8 V", "reference": "25 °C", "change": "-3"}, ["Within 13.8 to 14.8 V"], "13.8 to 14.8 V at 25 °C: from memory", "in range"),
    Printed("hydrometer", {"readings": ["1.250"] * 6, "temperature": "100 °F", "spread": "0.050", "correction": "0.004", "reference": "80 °F"}, ["1.258 SG"], "A vehicle maker's service manual (2002): 1.250 at 100 °F is 1.258", "in range"),
    Printed("position-sensor-wiring", {"sensor": "throttle", "drop": "0.2 V", "supply_low": "4.75 V", "supply_high": "5.25 V", "ground_limit": "1 Ω", "drop_limit": "0.2 V"}, ["good"], "Automotive engine performance textbook, caption 12.6: more than 0.2 V is a bad ground", "near"),
    Printed("position-sensor-sweep", {"sensor": "throttle", "supply": "5 V", "samples": [("0.5 V", ""), ("2.0 V", ""), ("3.5 V", ""), ("4.5 V", "")], "fault_low": "4 %", "fault_high": "96 %", "backward": "2 %", "apart": "5 %"}, ["nothing wrong in 4 readings"], "A published throttle sensor specification: 0.5 V closed, 4.5 V wide open; the rest common practice, no source", "in range"),
    Printed("thermistor-table", {"sensor": "Coolant", "entries": [("0 °C", "32128 Ω"), ("10 °C", "19549 Ω"), ("20 °C", "12262 Ω"), ("30 °C", "7908 Ω")], "temperature": "50 °F"}, ["19549 Ω"], f"{DIODE}: 19549 Ω at 10 °C"),
    Printed("thermistor-points", {"sensor": "Coolant", "points": (("0 °C", "32128 Ω"), ("25 °C", "9814 Ω"), ("50 °C", "3542 Ω")), "resistance": "7908 Ω"}, ["stands for 86 °F"], f"{DIODE}: 7908 Ω at 30 °C, which was not given"),
    Printed("thermistor-beta", {"sensor": "Coolant", "reference": "10 kΩ", "reference_temperature": "25 °C", "beta": "3977", "resistance": "1070.3 Ω"}, ["stands for 185 °F"], "10 kΩ, B25/85 = 3977 K: 1070.3 Ω at 85 °C, computed by two libraries"),
    Printed("thermistor-coefficients", {"sensor": "Coolant", "a": "1.129148", "b": "2.34125", "c": "0.876741", "resistance": "32.65 kΩ"}, ["stands for 32 °F"], "Coefficients of an analog temperature module's data sheet; 32,650 Ω at 0 °C: from memory"),
    Printed("ratiometric-transducer", {"measures": "Oil pressure", "unit": "psi", "low": "0", "high": "100", "low_share": "10 %", "high_share": "90 %", "margin": "5 %", "supply": "5 V", "signal": "1,5 V"}, ["stands for 25 psi"], "0.5 to 4.5 V of 5 V for 0 to 100 psi, a common data sheet line"),
    Printed("current-loop", {"unit": "bar", "low": "0", "high": "10", "current": "8 mA"}, ["stands for 2.5 bar"], "4 to 20 mA over 0 to 10 bar: an automation article"),
    Printed("current-loop", {"unit": "bar", "low": "0", "high": "10", "current": "3.6 mA"}, ["stands for no value"], "NAMUR NE 43, as four articles give it: 3.6 mA and less is a failure", "out"),
    Printed("sensor-divider", {"supply": "5 V", "pull_up": "1 kΩ", "signal": "2.5 V"}, ["1000 Ω"], "The voltage divider rule: half of the supply is the pull-up itself"),
    Printed("level-sender", {"tank": "fuel", "sender": "eu", "reads": "95 Ω"}, ["50 %"], "Sender makers' help pages: 10 Ω empty, 180 Ω full, in a straight line"),
    Printed("tank-cylinder", {"diameter": "0,5 m", "length": "1,2 m", "dip": "12,5 cm", "sender": "us", "lines": "4"}, ["46.06 L", "235.6 L"], "Computed by the formula and by quadrature: 46.0639 of 235.6194 L", system="metric"),
    Printed("tank-box", {"length": "11 in", "width": "7 in", "height": "30 in", "dip": "15 in", "sender": "us", "lines": "4"}, ["5 gal", "10 gal"], "NIST Handbook 44, Appendix C: a US gallon is 231 cubic inches, here 11 x 7 x 3"),
    Printed("tank-wedge", {"length": "11 in", "top_width": "14 in", "v_height": "30 in", "dip": "15 in", "sender": "us", "lines": "8"}, ["2.5 gal", "10 gal"], "Half the height of a sharp V is a quarter of it: similar triangles; 231 cubic inches a gallon"),
    Printed("tank-fills", {"volumes": "added", "fills": [("10 cm", "20 L"), ("20 cm", "30 L")], "dip": "15 cm", "sender": "us", "lines": "4"}, ["35 L", "50 L"], "Straight between measured points: common practice, no source", system="metric"),
    Printed("propeller-slip", {"revs": "5000 rpm", "speed": "50 mph", "pitch": "21 in", "ratio": "1.5"}, ["66.29 mph", "24.6 %"], HOBBY),
    Printed("gear-ratio", {"way": "speeds", "turns": "5400 rpm", "propeller": "2700 rpm"}, ["2 turns"], "A boat owners' forum: 5400 rpm at 2:1 are 2700 rpm"),
    Printed("fuel-burn", {"power": "400 hp", "bsfc": "0.50 lb/hp·h", "density": "6.1 lb/gal"}, ["32.8 gal/h"], "A calculator's reference: 32.787 gal/h of gasoline"),
    Printed("fuel-burn", {"power": "200 hp", "bsfc": "0.40 lb/hp·h", "density": "7.2 lb/gal"}, ["11.1 gal/h"], "General reference article on fuel burn: 11.1 gal/h of diesel"),
    Printed("full-throttle", {"revs": "5900 rpm", "low": "4850 rpm", "high": "5850 rpm"}, ["50 rpm"], "Engine makers' rule that the rated range is reached and not passed: common practice, no source", "out"),
    Printed("propeller-pitch", {"revs": "5600 rpm", "pitch": "23 in", "low": "5700 rpm", "high": "6100 rpm", "step": "1 in", "least": "150 rpm", "most": "200 rpm"}, ["21 in", "5900 rpm"], "A marine parts dealer's guide: 2 in of pitch are about 300 to 400 rpm"),
    Printed("power-and-torque", {"revs": "3500 rpm", "power": "300 hp"}, ["450 ft·lbf"], "5252.113 x hp / rpm: 450.181 lbf·ft"),
    Printed("compression", {"readings": FOUR, "fuel": "gasoline", "layout": "line", "share": ("70 %", ""), "rise": "10 %"}, ["asks for 105 psi"], "A car maker's service manual (2006): highest 150 psi, lowest allowed 105 psi"),
    Printed("compression", {"readings": FOUR, "fuel": "gasoline", "layout": "line", "share": ("75 %", ""), "rise": "10 %"}, ["Cylinder 4", "112.5 psi"], "Three other makers' manuals (1992, 1997, 2012): 75 %", "out"),
    Printed("chain-slack", {"deflection": "0.810 in", "limits": ("", "0.810 in")}, ["within its limit"], "TM 9-2815-237-34, 2-15: must not exceed 0.810 in", "near"),
    Printed("chain-elongation", {"measured": "24.36 in", "links": "24", "pitch": "1 in", "teeth": "40", "centers": "adjustable"}, ["1.5 % longer"], "Roller-chain makers' guides, which cite ANSI B29.1: up to 3 %", "in range"),
    Printed("chain-elongation", {"measured": "24.6 in", "links": "24", "pitch": "1 in", "teeth": "80", "centers": "adjustable"}, ["Worn out"], "The same guides: 200 / 80 teeth = 2.5 %", "out"),
    Printed("exhaust-back-pressure", {"measured": "2.5 inHg", "limits": ("", "2.5 inHg")}, ["100 %"], "Gerr (2009), chapter 7: naturally aspirated, at most 2.5 inHg", "near"),
    Printed("exhaust-back-pressure", {"measured": "12 psi", "limits": ("1 psi", "11 psi")}, ["above its limit"], "An engine maker's repower guide (2006): at most 11 psi through the transom", "out"),
    Printed("wet-exhaust-diameter", {"dry": "4 in"}, ["5.6 in"], "Gerr (2009), chapter 7: 40 percent greater"),
    Printed("leak-down", {"supply": "80 psi", "held": [("60 psi",), ("76 psi",)], "limits": ("", "25 %")}, ["25 %"], "FAA AC 43.13-1B, chapter 8, 8-14: 60 of 80 psi", "near"),
    Printed("leak-down", {"supply": "80 psi", "held": [("59 psi",), ("76 psi",)], "limits": ("", "25 %")}, ["Cylinder 1"], "FAA AC 43.13-1B, chapter 8, 8-14: below 60 of 80 psi", "out"),
    Printed("torque-with-adapter", {"torque": "100 ft·lbf", "wrench": "18 in", "adapter": "3 in", "angle": "0"}, ["85.71 ft·lbf"], "T x L / (L + E) = 85.714: common practice, no source"),
    Printed("valve-clearance", {"valves": [("0,45 mm", "2,80 mm")], "kind": "intake", "limits": ("0.20 mm", "0.30 mm"), "first": "2.50 mm", "last": "3.30 mm", "step": "0.05 mm"}, ["3 mm"], "Engine repair manual (2003), its example: 0.45 mm measured, shim 2.80, new shim 3.00", "out"),
    Printed("code-meaning", {"code": "01 33", "form": "bytes", "system": "any"}, ["P0133"], "SAE J2012 class of example; python-OBD (open source) agrees"),
    Printed("failures-over-hours", {"events": NIST, "observed": "1500 h"}, ["-1.33", "37.23"], "NIST/SEMATECH e-Handbook 8.2.3.4, figures from memory"),
    Printed("before-and-after", {"first_events": "3", "first_hours": "1000 h", "second_events": "0", "second_hours": "1000 h", "confidence": "95 %"}, ["0.062 to 0.88"], "Garwood (1936): 3 events, 95 %: 0.6187 to 8.7673"),
    Printed("mean-time-between", {"events": "0", "hours": "1000 h", "confidence": "95 %"}, ["334 h"], "NIST/SEMATECH e-Handbook 8.4.5.1: without failures 0.3338 of the time"),
    Printed("service-due", {"what": "oil", "last_on": "2026-03-01", "last_hours": "400 h", "every": "100 h", "months": "12", "now_on": "2026-08-01", "now_hours": "410 h"}, ["Mar 1, 2027"], "Computed with Python's datetime and python-dateutil"),
    Printed("typed-trend", {"unit": "psi", "readings": [("1 h", "9"), ("2 h", "15"), ("3 h", "19"), ("4 h", "20"), ("10 h", "45"), ("12 h", "55"), ("18 h", "78")]}, ["400 psi"], "Sen (1968): slope 4"),
    Printed("units", {"value": "100 hp", "unit": "hp"}, ["74.57"], "NIST SP 811, Appendix B.8: 745.6999 W"),
    Printed("units", {"value": "2.5 inHg"}, ["8.46597 kPa"], "NIST SP 811, Appendix B.8: 3.386389 kPa each"),
]  # fmt: skip

FROM_RECORDS = {"reading-trend", "fault-coming-back"}
"""They take nothing that is typed; what they work out is held to its sources in test_trend.py and test_recurrence.py."""


@pytest.mark.parametrize("one", PRINTED, ids=lambda one: one.slug)
def test_a_tool_says_what_is_printed(one: Printed) -> None:
    tool = all_tools()[one.slug]
    at = ToolContext(cast(Any, None), None, cast(Any, one.system), date(2026, 6, 1))
    form = BenchForm(tool, at, prefilled(tool, at)[0] | as_texts(tool, one.typed))
    answer = work_out(tool, form, at)
    assert answer is not None, dict(form.errors)
    figures = [f"{label} {text}" for label, text in answer.figures]
    cells = [cell for table in answer.tables for row in table.rows for cell, _ in row]
    said = " ".join([answer.words, *answer.notes, *(answer.main or ()), *figures, *cells])
    for words in one.says:
        assert words in said, said
    assert answer.verdict.value == one.verdict, said


def test_every_tool_that_is_typed_into_has_a_row() -> None:
    assert {one.slug for one in PRINTED} == set(all_tools()) - FROM_RECORDS
