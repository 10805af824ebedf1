"""Slip, gear ratio, wide-open throttle, pitch, power and fuel burn."""

from tests.findings.bench.cases.case import GOOD, NEAR, NOT_JUDGED, OUT, REFUSED, Case

HOBBY = "hobby reference, “Propeller performance”"
SLIP = {"revs": "5000 rpm", "pitch": "21 in", "ratio": "1.5", "usual": ("10 %", "20 %")}
RATED = {"low": "4850 rpm", "high": "5850 rpm", "limiter": ""}
PITCH = {
    "revs": "6300 rpm",
    "pitch": "21 in",
    "low": "5900 rpm",
    "high": "6100 rpm",
    "limiter": "",
    "target": "",
    "step": "1 in",
    "least": "150 rpm",
    "most": "200 rpm",
}
DATA_SHEET = {"rated": "370 hp", "run": "part", "bsfc": "0.36 lb/hp·h", "density": "7.1 lb/gal", "tolerance": "10 %"}
PLANNING = {**DATA_SHEET, "bsfc": "0.40 lb/hp·h"}

CASES = {
    "propeller-slip": (
        Case({"revs": "6000 rpm", "speed": "68 mph", "pitch": "25 in", "ratio": "1.86", "usual": ("10 %", "20 %")}, NEAR, ["11 %"], why=HOBBY),
        Case({**SLIP, "speed": "56 mph"}, GOOD, ["15.5 %", "as is usual"], why="66.288 mph in theory"),
        Case({**SLIP, "speed": "50 mph"}, OUT, ["24.6 %", "More slip", "slipping hub"], why="computed; a web page's 25.00 % is wrong"),
        Case({**SLIP, "speed": "64 mph"}, OUT, ["Less slip"]),
        Case({**SLIP, "speed": "70 mph"}, OUT, ["went faster than the propeller"], never=["as is usual"]),
        Case({**SLIP, "speed": "36 mph"}, OUT, ["45.7 %", "seldom slip alone"], why="45 % is a wrong unit more often than a propeller"),
        Case({**SLIP, "speed": "36 mph", "usual": ("", "")}, NOT_JUDGED, ["seldom slip alone", "Not judged"]),
        Case({**SLIP, "speed": "36 mph", "usual": ("30 %", "55 %")}, NOT_JUDGED, ["check the figures first"]),
        Case({**SLIP, "speed": "5 mph"}, REFUSED, ["no boat under way has"], field="speed"),
        Case({**SLIP, "speed": "0 mph"}, REFUSED, ["100 %"], field="speed", why="tied to the dock"),
        Case({**SLIP, "speed": "120 mph"}, REFUSED, ["no boat under way has"], field="speed"),
        Case({**SLIP, "speed": "50 mph", "ratio": "-1.5"}, REFUSED, ["Gear ratio", "less than 0"], field="ratio"),
        Case({**SLIP, "speed": "50 mph", "usual": ("20 %", "10 %")}, REFUSED, ["Swap"], field="usual_high"),
    ),
    "gear-ratio": (
        Case({"way": "speeds", "turns": "5400 rpm", "propeller": "2700 rpm"}, NOT_JUDGED, ["2 turns"], why="a boat owners' forum: 5400 rpm at 2:1"),
        Case({"way": "teeth", "driving": "13", "driven": "24"}, NOT_JUDGED, ["1.846 turns"], why="24 / 13"),
        Case({"way": "teeth", "driving": "14", "driven": "28"}, NOT_JUDGED, ["2 turns"]),
        Case({"way": "speeds", "turns": "3000 rpm", "propeller": "3000 rpm"}, NOT_JUDGED, ["1 turns"], why="direct drive"),
        Case({"way": "teeth", "driving": "1", "driven": "999"}, REFUSED, ["no ratio of a boat's gear"], field="driven"),
        Case({"way": "speeds", "turns": "3000 rpm", "propeller": "30000 rpm"}, REFUSED, ["no ratio of a boat's gear"], field="propeller"),
        Case({"way": "teeth", "driving": "13", "driven": ""}, REFUSED, ["both gears"], field="driven"),
        Case({"way": "speeds", "turns": "0 rpm", "propeller": "2700 rpm"}, REFUSED, ["more than 0"], field="turns"),
        Case({"way": "teeth", "driving": "0", "driven": "28"}, REFUSED, ["At least 1"], field="driving"),
    ),
    "full-throttle": (
        Case({**RATED, "revs": "5300 rpm"}, GOOD, ["lets the engine reach its rated range"]),
        Case({**RATED, "revs": "4600 rpm"}, OUT, ["250 rpm short", "Before changing pitch"], why="a propeller shop's advice, its example"),
        Case({**RATED, "revs": "6100 rpm"}, OUT, ["250 rpm over", "slip first"]),
        Case({**RATED, "revs": "4850 rpm"}, NEAR, ["reach its rated range"]),
        Case({**RATED, "revs": "4849 rpm"}, OUT, ["1 rpm short"]),
        Case({**RATED, "revs": "5800 rpm", "limiter": "5800 rpm"}, OUT, ["limiter held the engine"], why="what the propeller would allow is not known"),
        Case({**RATED, "revs": "0 rpm"}, REFUSED, ["more than 0"], field="revs"),
        Case({**RATED, "revs": "53000 rpm"}, REFUSED, ["more than can be"], field="revs"),
        Case({"low": "5850 rpm", "high": "4850 rpm", "limiter": "", "revs": "5300 rpm"}, REFUSED, ["Swap"], field="low"),
    ),
    "propeller-pitch": (
        Case(PITCH, NOT_JUDGED, ["try 23 in of pitch"], never=["22 in", "24 in of"], why="a marine parts dealer's guide: 2 in take 300 to 400 rpm"),
        Case({**PITCH, "revs": "6000 rpm"}, NOT_JUDGED, ["leave it"]),
        Case({**PITCH, "revs": "5600 rpm", "step": "2 in", "low": "5800 rpm", "high": "5900 rpm"}, NOT_JUDGED, ["No pitch in steps of 2 in"], never=["try 19", "try 21"], why="19 in makes 5900 to 6000, above the range"),
        Case({**PITCH, "revs": "4600 rpm", "low": "4850 rpm", "high": "5850 rpm"}, NOT_JUDGED, ["17 in"], why="750 rpm to the middle of the range: 3.75 to 5 in"),
        Case({**PITCH, "revs": "3000 rpm"}, REFUSED, ["change of pitch cannot be the whole answer"], field="revs", why="3000 rpm are no question of pitch"),
        Case({**PITCH, "limiter": "6300 rpm"}, REFUSED, ["limiter held the engine"], field="revs"),
        Case({**PITCH, "target": "7000 rpm"}, REFUSED, ["outside the rated range"], field="target"),
        Case({**PITCH, "pitch": "2100 in"}, REFUSED, ["Pitch", "more than can be"], field="pitch"),
        Case({**PITCH, "step": "30 in"}, REFUSED, ["cannot be larger"], field="step"),
        Case({**PITCH, "least": "200 rpm", "most": "150 rpm"}, REFUSED, ["Swap"], field="least"),
    ),
    "power-and-torque": (
        Case({"revs": "6200 rpm", "power": "300 hp", "torque": ""}, NOT_JUDGED, ["254 ft·lbf"], why="a tuner's page of formulas"),
        Case({"revs": "3500 rpm", "power": "300 hp", "torque": ""}, NOT_JUDGED, ["450 ft·lbf"], why="5252.113 · hp / rpm"),
        Case({"revs": "5252 rpm", "torque": "100 ft·lbf", "power": ""}, NOT_JUDGED, ["100 hp"], why="by definition"),
        Case({"revs": "1000 rpm", "torque": "0 ft·lbf", "power": ""}, NOT_JUDGED, ["0 hp"]),
        Case({"revs": "3500 rpm", "power": "300 hp", "torque": "450 ft·lbf"}, REFUSED, ["leave the other empty"], field="torque"),
        Case({"revs": "3500 rpm", "power": "", "torque": ""}, REFUSED, ["torque or the power"], field="torque"),
        Case({"revs": "0 rpm", "power": "300 hp", "torque": ""}, REFUSED, ["more than 0"], field="revs"),
        Case({"revs": "3500 rpm", "power": "30000 hp", "torque": ""}, REFUSED, ["Power", "beyond anything"], field="power"),
        Case({"revs": "3500 rpm", "torque": "18000 ft·lbf", "power": ""}, REFUSED, ["beyond anything on a boat"], field="torque"),
        Case({"revs": "350000 rpm", "power": "300 hp", "torque": ""}, REFUSED, [], field="revs"),
    ),
    "fuel-burn": (
        Case({"power": "200 hp", "rated": "", "bsfc": "0.50 lb/hp·h", "density": "6.1 lb/gal", "measured": ""}, NOT_JUDGED, ["16.4 gal/h"], why="a general reference article"),
        Case({"power": "200 hp", "rated": "", "bsfc": "0.40 lb/hp·h", "density": "7.2 lb/gal", "measured": ""}, NOT_JUDGED, ["11.1 gal/h"], why="the same article"),
        Case({**DATA_SHEET, "power": "200 hp", "measured": "10.1 gal/h"}, GOOD, ["fuel burn fits the power"], why="0.36 · 200 / 7.1 = 10.14"),
        Case({**DATA_SHEET, "power": "200 hp", "measured": "13 gal/h"}, OUT, ["fuel burn is higher"]),
        Case({**DATA_SHEET, "power": "200 hp", "measured": "8 gal/h"}, OUT, ["fuel burn is lower"]),
        Case({**PLANNING, "power": "200 hp", "measured": "16 gal/h"}, NOT_JUDGED, ["planning figure"], never=["fuel burn is higher"], why="a planning figure judges no engine"),
        Case({**DATA_SHEET, "power": "", "measured": "10 gal/h"}, REFUSED, ["At part throttle"], field="power", why="cruise is not rated power"),
        Case({**DATA_SHEET, "power": "370 hp", "measured": "10 gal/h"}, REFUSED, ["wide-open throttle only"], field="power", why="cruise is not rated power"),
        Case({**DATA_SHEET, "run": "full", "power": "", "measured": "18.8 gal/h"}, GOOD, ["370 hp"], why="0.36 · 370 / 7.1 = 18.76"),
        Case({**DATA_SHEET, "power": "500 hp", "measured": "10 gal/h"}, REFUSED, ["more than the engine's rated power"], field="power"),
        Case({**DATA_SHEET, "power": "200 hp", "measured": "-3 gal/h"}, REFUSED, ["Measured burn", "less than 0"], field="measured"),
        Case({**DATA_SHEET, "power": "200 hp", "bsfc": "5 lb/hp·h", "measured": ""}, REFUSED, ["more than can be"], field="bsfc"),
        Case({**DATA_SHEET, "power": "200 hp", "density": "71 lb/gal", "measured": ""}, REFUSED, ["more than can be"], field="density"),
    ),
}  # fmt: skip
