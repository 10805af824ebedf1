"""What nobody said: nothing favorable is taken for it."""

from tests.findings.bench.cases.batteries import CHARGE, LOAD, REST
from tests.findings.bench.cases.case import GOOD, NOT_JUDGED, OUT, REFUSED, Case
from tests.findings.bench.cases.mechanical import LINKS, RULE, VALVE, readings
from tests.findings.bench.cases.others import FILLS, SENDER, SERVICE
from tests.findings.bench.cases.sensors import SWEEP, TABLE, WIRES, volts

ASKED = ["Choose one"]

CASES = {
    "charge-at-rest": (
        Case({**REST, "rest": "12.8 V", "kind": ""}, REFUSED, ASKED, field="kind", why="full as a flooded battery, half as lithium"),
    ),
    "battery-load-test": (Case({**LOAD, "measured": "10.1 V", "kind": ""}, REFUSED, ASKED, field="kind"),),
    "charging-voltage": (
        Case({**CHARGE, "measured": "14.7 V", "kind": ""}, REFUSED, ASKED, field="kind", why="right for flooded, ruin for gel"),
    ),
    "compression": (
        Case({**RULE, "readings": readings(150, 95, 96, 150), "layout": ""}, OUT, ["Cylinder 2 is low", "Cylinder 3 is low", "Say how the cylinders stand"], never=["may leak between them"], why="on a V engine 2 and 3 stand on two banks"),
        Case({**RULE, "readings": readings(150, 95, 148, 150), "layout": ""}, OUT, ["Cylinder 2 is too low"], never=["Say how"], why="one alone has no low neighbor"),
        Case({**RULE, "readings": readings(150, 95, 96, 150), "fuel": ""}, REFUSED, ASKED, field="fuel", why="a diesel is never given oil"),
        Case({**RULE, "readings": [("150 psi", ""), ("95 psi", "140 psi"), ("96 psi", ""), ("150 psi", "")], "layout": "line", "rise": "10 %"}, OUT, ["neighbors and low together", "Oil raised cylinder 2", "oil in all of them"], why="oil in one tells nothing of the other"),
        Case({**RULE, "readings": [("150 psi", ""), ("95 psi", "97 psi"), ("96 psi", ""), ("150 psi", "")], "layout": "line", "rise": "10 %"}, OUT, ["neighbors and low together"], why="the gasket is not cleared"),
        Case({**RULE, "readings": [("100 psi", "130 psi"), ("150 psi", "200 psi"), ("150 psi", "150 psi"), ("150 psi", "")], "layout": "line", "rise": "10 %"}, OUT, ["tells nothing of the rings"], never=["rings or cylinder wall"], why="oil raised a sound cylinder as much"),
        Case({**RULE, "readings": [("100 psi", "140 psi"), ("150 psi", "165 psi"), ("150 psi", ""), ("150 psi", "")], "layout": "line", "rise": "10 %"}, OUT, ["rings or cylinder wall"], why="it rose far more than the sound one"),
    ),
    "chain-elongation": (
        Case({**LINKS, "measured": "24.48 in", "centers": ""}, OUT, ["Worn out", "Centers not said: worst case taken, fixed"], why="2 %: worn out on fixed centers, not on adjustable ones"),
        Case({**LINKS, "measured": "24.48 in", "centers": "adjustable"}, GOOD, [], never=["worst case"]),
    ),
    "valve-clearance": (
        Case({**VALVE, "valves": [("0.25 mm", "2.80 mm")], "kind": ""}, REFUSED, ASKED, field="kind", why="exhaust valves have limits of their own"),
    ),
    "position-sensor-wiring": (Case({**WIRES, "supply": "4.98 V", "sensor": ""}, REFUSED, ASKED, field="sensor"),),
    "position-sensor-sweep": (
        Case({**SWEEP, "samples": volts(0.5, 1.5, 2.5, 3.5, 4.5), "supply": ""}, REFUSED, ["Enter a value"], field="supply", why="4.5 V of a supply of 4.6 V is a fault"),
    ),
    "thermistor-table": (
        Case({**TABLE, "resistance": "12262 Ω", "sensor": ""}, REFUSED, ASKED, field="sensor", why="it is logged as a reading of that sensor"),
    ),
    "level-sender": (
        Case({**SENDER, "reads": "103 Ω", "sender": ""}, REFUSED, ASKED, field="sender", why="half of one kind, three fifths of another"),
    ),
    "tank-fills": (
        Case({**FILLS, "dip": "10 in", "volumes": ""}, REFUSED, ASKED, field="volumes"),
        Case({**FILLS, "dip": "10 in", "sender": ""}, NOT_JUDGED, ["11.5 gal"], why="a stick needs no sender"),
        Case({**FILLS, "reads": "103 Ω", "sender": ""}, REFUSED, ["Choose the sender"], field="sender"),
    ),
    "service-due": (
        Case({**SERVICE, "now_hours": "", "months": ""}, REFUSED, field="now_hours", why="hours of months ago make it look further off"),
    ),
}  # fmt: skip
