"""Batteries at rest, by hydrometer, under load, on charge, and the starter's circuit."""

from tests.findings.bench.cases.case import GOOD, NEAR, NOT_JUDGED, OUT, REFUSED, Case

FAQ = "battery makers' FAQ table, flooded, at 80 °F"
FREEZE = "US Army ordnance lesson OD1002: acid of 1.100 freezes at 19 °F, of 1.200 at -16 °F"
HOT = "a car maker's service manual (1997): stop charging at 52 °C (125 °F)"
MAKERS = "three vehicle makers' service manuals: 9.6 V at 20 °C, half of the rating, 75 % charged at least"
REST = {"cells": "6", "kind": "flooded", "limits": ("75 %", "")}
EVEN = {"readings": ["1.265", "1.260", "1.265", "1.260", "1.265", "1.265"], "temperature": "80 °F", "spread": "0.050"}
LOAD = {"rating": "650 A", "temperature": "20 °C", "load": "325 A", "kind": "flooded"}
CHARGE = {"cells": "6", "kind": "flooded", "temperature": "25 °C", "low": "13.8 V", "high": "14.8 V"}
CRANK = {"positive": "0.3 V", "ground": "0.1 V", "positive_limit": "0.5 V", "ground_limit": "0.2 V", "battery": "12"}
FLAT = ["1.120", "1.125", "1.120", "1.120", "1.125", "1.120"]

CASES = {
    "charge-at-rest": (
        Case({**REST, "rest": "12.65 V"}, GOOD, ["about 100 % charged"], why=FAQ),
        Case({**REST, "rest": "12.45 V"}, NEAR, ["about 75 % charged"], never=["less than"], why=f"{FAQ}: exactly 75 %"),
        Case({**REST, "rest": "12.24 V"}, OUT, ["about 50 % charged, less than the 75 % wanted"], why=FAQ),
        Case({**REST, "rest": "11.5 V"}, OUT, ["one dead cell"], why="about 2 V below a full one"),
        Case({**REST, "rest": "6.3 V"}, REFUSED, ["fits a battery of 6 V"], field="cells"),
        Case({**REST, "rest": "12.65 V", "cells": "12"}, REFUSED, ["fits a battery of 12 V"], field="cells", why="a 12 V battery"),
        Case({**REST, "rest": "25.3 V"}, REFUSED, ["fits a battery of 24 V"], field="cells"),
        Case({**REST, "rest": "25.3 V", "cells": "12"}, GOOD, ["about 100 %"], why=f"twice of {FAQ}"),
        Case({**REST, "rest": "8 V"}, NOT_JUDGED, ["far below any charge", "Do not charge it fast"], never=["0 % charged"]),
        Case({**REST, "rest": "12.9 V"}, NOT_JUDGED, ["surface charge"], why="far above the table's top"),
        Case({**REST, "rest": "12.65 V", "kind": "lithium"}, NOT_JUDGED, ["lithium", "monitor"], never=["%"], why="the voltage of lithium hardly moves"),
        Case({**REST, "rest": "12.65 V", "kind": "gel"}, NOT_JUDGED, ["table is for flooded", "gel"], never=["%"]),
        Case({**REST, "rest": "12.55 V", "kind": "agm"}, NOT_JUDGED, ["table is for flooded"]),
        Case({**REST, "rest": "12.06 V", "temperature": "-15 °C"}, OUT, ["Do not charge", "frozen"], why=FREEZE),
        Case({**REST, "rest": "12.65 V", "temperature": "-15 °C"}, NEAR, ["12.47 V", "about 78 %"], never=["frozen"], why=FREEZE),
        Case({**REST, "rest": "12.65 V", "temperature": "58 °C"}, NOT_JUDGED, ["Do not charge it now", "hotter", "let it cool"], why=HOT),
        Case({**REST, "rest": "12.65 V", "kind": "lithium", "temperature": "-5 °C"}, NOT_JUDGED, ["below freezing"]),
        Case({**REST, "rest": "14.4 V"}, REFUSED, ["Stop charging it"], field="rest", why="on charge, not at rest"),
        Case({**REST, "rest": "120 V"}, REFUSED, ["Voltage at rest", "more than can be"], field="rest"),
        Case({**REST, "rest": "12.65 V", "temperature": "212 °F"}, REFUSED, ["75 °C"], field="temperature"),
    ),
    "hydrometer": (
        Case(EVEN, GOOD, ["0.005 SG below the best"], why=FAQ),
        Case({**EVEN, "readings": ["1.265", "1.265", "1.080", "1.265", "1.265", "1.265"]}, OUT, ["Cell 3", "about 0 % charged", "too far apart"], never=["83 %"], why="one dead cell is no average"),
        Case({**EVEN, "readings": ["1.265", "1.265", "1.215", "1.265", "1.265", "1.265"]}, NEAR, ["Cell 3", "0.05 SG"], why="the limit is an allowed value"),
        Case({**EVEN, "readings": ["1.265", "1.265", "1.214", "1.265", "1.265", "1.265"]}, OUT, ["Cell 3"]),
        Case({**EVEN, "readings": FLAT}, NOT_JUDGED, ["The whole battery is low", "charge it in full"], never=["within the"], why="cells are compared after charging: a car maker's manual (2002)"),
        Case({**EVEN, "readings": FLAT, "temperature": "0 °F"}, NOT_JUDGED, ["Do not charge", "frozen"], why=FREEZE),
        Case({**EVEN, "temperature": "58 °C"}, GOOD, ["Do not charge it now"], why=HOT),
        Case({**EVEN, "readings": ["1265"]}, REFUSED, [], field="readings-0-gravity"),
        Case({**EVEN, "readings": ["0.9", "1.2"]}, REFUSED, ["1.000 to 1.400"], field="readings-0-gravity"),
        Case({**EVEN, "readings": ["1.265"]}, REFUSED, ["at least 2"], field="readings-1-gravity"),
    ),
    "battery-load-test": (
        Case({**LOAD, "measured": "10.1 V"}, GOOD, ["It holds up"], why=MAKERS),
        Case({**LOAD, "measured": "9.6 V"}, NEAR, ["It holds up: 9.6 V"], why=f"{MAKERS}; the limit passes"),
        Case({**LOAD, "measured": "9.594 V"}, OUT, ["It does not hold up: 9.594 V", "9.6 V needed"], why=MAKERS),
        Case({**LOAD, "measured": "9.2 V"}, OUT, ["before you condemn it"], why=MAKERS),
        Case({**LOAD, "measured": "12.6 V", "rest": "12.65 V"}, NOT_JUDGED, ["hardly any load"], never=["holds up"], why="the voltage did not sag"),
        Case({**LOAD, "measured": "12.4 V", "load": ""}, NOT_JUDGED, ["hardly any load"], never=["holds up"]),
        Case({**LOAD, "measured": "10.1 V", "load": ""}, NOT_JUDGED, ["load that was drawn is not known"], never=["holds up"]),
        Case({**LOAD, "measured": "10.1 V", "load": "100 A"}, NOT_JUDGED, ["not near 325 A"], never=["holds up"]),
        Case({**LOAD, "measured": "10.1 V", "rest": "12.45 V"}, GOOD, ["It holds up"], why=f"{MAKERS}: exactly 75 % is enough"),
        Case({**LOAD, "measured": "9.0 V", "rest": "12.2 V"}, NOT_JUDGED, ["Charge it first"], never=["does not hold up"], why=MAKERS),
        Case({**LOAD, "measured": "10.1 V", "kind": "lithium"}, NOT_JUDGED, ["lithium"], never=["holds up"]),
        Case({**LOAD, "measured": "10.1 V", "kind": "gel"}, NOT_JUDGED, ["gel"], never=["holds up"]),
        Case({**LOAD, "measured": "10.1 V", "temperature": "55 °C"}, GOOD, ["Do not charge it now"], why=HOT),
        Case({**LOAD, "measured": "8.6 V", "temperature": "-18 °C", "rest": "12.65 V"}, GOOD, ["8.5 V needed"], why=MAKERS),
        Case({**LOAD, "measured": "9.6 V", "temperature": "68 °C"}, REFUSED, ["°F or °C"], field="temperature"),
        Case({**LOAD, "measured": "24 V"}, REFUSED, ["too much for a battery of 12 V"], field="measured"),
        Case({**LOAD, "measured": "10.1 V", "rating": "65000 A"}, REFUSED, ["beyond anything"], field="rating"),
        Case({**LOAD, "measured": "10.1 V", "rest": "25 V"}, REFUSED, ["not what a 12 V battery has at rest"], field="rest"),
    ),
    "charging-voltage": (
        Case({**CHARGE, "measured": "14.2 V"}, GOOD, ["Within 13.8 to 14.8 V"]),
        Case({**CHARGE, "measured": "14.804 V"}, OUT, ["14.804 V at the battery. Too high"]),
        Case({**CHARGE, "measured": "14.8 V"}, NEAR, ["Within"], why="the limit is an allowed value"),
        Case({**CHARGE, "measured": "12.6 V"}, OUT, ["Too low"], why="not charging at all"),
        Case({**CHARGE, "measured": "13.5 V", "temperature": "35 °C", "change": "-3"}, OUT, ["13.62 to 14.62 V"], why="a battery primer: 2.27 V a cell at 35 °C"),
        Case({**CHARGE, "measured": "14.2 V", "temperature": "58 °C"}, NOT_JUDGED, ["Do not charge it now"], never=["Within", "Too"], why=HOT),
        Case({**CHARGE, "measured": "14.2 V", "kind": "gel"}, NOT_JUDGED, ["window filled in is for flooded"], never=["Within"]),
        Case({**CHARGE, "measured": "14.2 V", "kind": "lithium"}, NOT_JUDGED, ["lithium"], never=["Within"]),
        Case({**CHARGE, "measured": "14.2 V", "kind": "lithium", "low": "14.0 V", "high": "14.4 V", "temperature": "-5 °C"}, NOT_JUDGED, ["below freezing"]),
        Case({**CHARGE, "measured": "14.2 V", "kind": "lithium", "low": "14.0 V", "high": "14.4 V", "temperature": "35 °C"}, GOOD, ["Within 14 to 14.4 V"], why="the maker's window; lithium is not moved by temperature"),
        Case({**CHARGE, "measured": "28.4 V"}, REFUSED, ["no charging voltage of a 12 V battery"], field="measured"),
        Case({**CHARGE, "measured": "28.4 V", "cells": "12"}, REFUSED, ["not one of a battery with 12 cells"], field="low"),
        Case({**CHARGE, "measured": "28.4 V", "cells": "12", "low": "27.6 V", "high": "29.6 V"}, GOOD, ["Within"]),
        Case({**CHARGE, "measured": "14.2 V", "temperature": "95 °C"}, REFUSED, ["let this one cool"], field="temperature"),
        Case({**CHARGE, "measured": "14.2 V", "change": "4"}, REFUSED, ["falls"], field="change"),
    ),
    "cranking-drops": (
        Case(CRANK, GOOD, ["Every drop is within its limit"], why="US Army TM 5-3805-254-14P-2: 0.5 V on the positive side"),
        Case({**CRANK, "positive": "0.5 V"}, NEAR, ["within"]),
        Case({**CRANK, "positive": "0.502 V"}, OUT, ["Positive side: 0.502 V, 0.002 V more than the 0.5 V"]),
        Case({**CRANK, "ground": "0.35 V"}, OUT, ["Ground side: 0.35 V", "the one to clean"]),
        Case({**CRANK, "positive": "11.9 V", "ground": "0 V"}, OUT, ["open", "Find the break"], never=["the one to clean"], why="the whole battery lies across the break"),
        Case({**CRANK, "positive": "0 V"}, NOT_JUDGED, ["no drop at all on the positive side", "both probes"], never=["within its limit"], why="current flows through both sides or none"),
        Case({**CRANK, "positive": "0 V", "ground": "0.35 V"}, OUT, ["Ground side: 0.35 V"], why="what is out is out"),
        Case({**CRANK, "current": "5 A"}, NOT_JUDGED, ["no starter cranks with 5 A"], never=["within its limit"], why="at 150 A the same joints drop thirty times as much"),
        Case({**CRANK, "positive_limit": "12 V"}, REFUSED, ["too little to crank with"], field="positive_limit"),
        Case({**CRANK, "positive": "6 V", "ground": "6 V"}, OUT, ["together 12 V", "open"], never=["the one to clean"], why="nothing is left for the starter"),
        Case({**CRANK, "positive": "0.8 V", "ground": "0.6 V"}, OUT, ["Ground side: 0.6 V", "the positive side too high as well"], why="both are named"),
        Case({**CRANK, "connection": "0.9 V", "connection_limit": "0.1 V"}, REFUSED, ["more than the whole side"], field="connection", why="a part drops no more than the whole"),
        Case({**CRANK, "positive": "0 V", "ground": "0 V"}, NOT_JUDGED, ["nothing flowed"], never=["within its limit"]),
        Case({**CRANK, "positive": "15 V"}, REFUSED, ["more than a battery of 12 V gives"], field="positive"),
        Case({**CRANK, "positive": "7 V", "ground": "7 V"}, REFUSED, ["together"], field="ground"),
        Case({**CRANK, "positive": "20 V", "ground": "0.1 V", "battery": "24"}, OUT, ["open"]),
        Case({**CRANK, "positive": "-0.3 V"}, REFUSED, ["probes are swapped"], field="positive"),
        Case({**CRANK, "connection": "0.3 V", "where": "ground strap", "connection_limit": "0.1 V"}, OUT, ["Ground strap: 0.3 V"], why="a starter training text: 0.1 V"),
        Case({**CRANK, "ground": "0.35 V", "current": "200 A"}, OUT, ["1.75 mΩ"], why="0.35 V at 200 A"),
    ),
}  # fmt: skip
