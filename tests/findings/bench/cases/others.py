"""Tanks, codes, units and service."""

from tests.findings.bench.cases.case import NOT_JUDGED, OUT, REFUSED, Case

SENDERS = "sender makers' help pages: 240 Ω empty, 33 Ω full, ±10 Ω"
GALLON = "231 in³ are a US gallon"
SENDER = {"tank": "port fuel", "sender": "us", "reads": "", "level": ""}
CYLINDER = {"tank": "", "diameter": "48 in", "length": "96 in", "dip": "", "reads": "", "sender": "us", "lines": "8"}
BOX = {
    "tank": "",
    "length": "33 in",
    "width": "21 in",
    "height": "10 in",
    "dip": "",
    "reads": "",
    "sender": "us",
    "lines": "4",
}
WEDGE = {
    "tank": "",
    "length": "33 in",
    "top_width": "21 in",
    "v_height": "10 in",
    "bottom_width": "",
    "upright": "",
    "dip": "",
    "reads": "",
    "sender": "us",
    "lines": "8",
}
FILLS = {
    "tank": "",
    "volumes": "added",
    "fills": [("4 in", "3 gal"), ("8 in", "5 gal"), ("12 in", "7 gal")],
    "dip": "",
    "reads": "",
    "sender": "us",
    "lines": "4",
}
SERVICE = {
    "what": "oil",
    "last_on": "2026-03-01",
    "last_hours": "400 h",
    "every": "100 h",
    "months": "12",
    "now_on": "2026-08-01",
    "now_hours": "460.5 h",
    "weekly": "",
}
ANY = {"form": "code", "system": "any"}
BYTES = {"form": "bytes", "system": "any"}

CASES = {
    "level-sender": (
        Case({**SENDER, "reads": "103 Ω"}, NOT_JUDGED, ["50 %"], why="boating forum: 103 Ω at half"),
        Case({**SENDER, "reads": "240 Ω"}, NOT_JUDGED, ["0 %"], why=SENDERS),
        Case({**SENDER, "reads": "33 Ω"}, NOT_JUDGED, ["100 %"], why=SENDERS),
        Case({**SENDER, "reads": "28 Ω"}, NOT_JUDGED, ["A little past the full end"], why=SENDERS),
        Case({**SENDER, "reads": "400 Ω"}, OUT, ["open winding"], never=["% of its travel"]),
        Case({**SENDER, "reads": "0 Ω"}, OUT, ["shorted"], never=["100 %"], why="a wire to ground is no full tank"),
        Case({**SENDER, "sender": "eu", "reads": "180 Ω"}, NOT_JUDGED, ["100 %"], why="10 Ω empty, 180 Ω full"),
        Case({**SENDER, "reads": "103 Ω", "level": "70 %"}, NOT_JUDGED, ["20 % of its travel below the true level"]),
        Case({**SENDER, "reads": "-5 Ω"}, REFUSED, ["less than 0"], field="reads"),
        Case({**SENDER, "level": "170 %"}, REFUSED, ["from 0 to 100 %"], field="level"),
        Case({**SENDER}, REFUSED, ["what the sender reads"], field="reads"),
        Case({**SENDER, "sender": "none", "reads": "103 Ω"}, REFUSED, ["Choose a sender"], field="sender"),
    ),
    "tank-cylinder": (
        Case({**CYLINDER, "dip": "19.2 in"}, NOT_JUDGED, ["280.9 gal", "752"], why="a tank-volume reference: 280.9 of 752 gal"),
        Case({**CYLINDER, "dip": "24 in"}, NOT_JUDGED, ["50 %"], why="half of its height is half of a lying cylinder"),
        Case({**CYLINDER, "dip": "0 in"}, NOT_JUDGED, ["0 gal"]),
        Case({**CYLINDER, "dip": "48 in"}, NOT_JUDGED, ["100 %"]),
        Case({**CYLINDER, "reads": "400 Ω"}, OUT, ["The sender failed"]),
        Case({**CYLINDER, "dip": "24 in", "reads": "33 Ω"}, NOT_JUDGED, ["50 % of the tank more than the stick"]),
        Case({**CYLINDER, "dip": "60 in"}, REFUSED, ["48 in high inside"], field="dip"),
        Case({**CYLINDER, "diameter": "-48 in"}, REFUSED, ["Diameter", "less than 0"], field="diameter"),
        Case({**CYLINDER, "length": "9600 ft"}, REFUSED, [], field="length"),
    ),
    "tank-box": (
        Case({**BOX, "dip": "5 in"}, NOT_JUDGED, ["15 gal", "30 gal when full"], why=GALLON),
        Case({**BOX}, NOT_JUDGED, ["30 gal when full"], why=GALLON),
        Case({**BOX, "dip": "10 in"}, NOT_JUDGED, ["100 %"]),
        Case({**BOX, "reads": "103 Ω"}, NOT_JUDGED, ["15 gal"]),
        Case({**BOX, "reads": "0 Ω"}, OUT, ["The sender failed"]),
        Case({**BOX, "dip": "11 in"}, REFUSED, ["10 in high inside"], field="dip"),
        Case({**BOX, "width": "0 in"}, REFUSED, ["more than 0"], field="width"),
        Case({**BOX, "height": "-10 in"}, REFUSED, ["less than 0"], field="height"),
        Case({**BOX, "length": "60 m"}, REFUSED, ["50 m"], field="length"),
    ),
    "tank-wedge": (
        Case({**WEDGE, "dip": "5 in"}, NOT_JUDGED, ["3.75 gal", "25 %"], why="similar triangles"),
        Case({**WEDGE}, NOT_JUDGED, ["15 gal when full"], why=GALLON),
        Case({**WEDGE, "bottom_width": "21 in"}, NOT_JUDGED, ["30 gal when full"], why="as wide below as above it is a box"),
        Case({**WEDGE, "upright": "10 in"}, NOT_JUDGED, ["45 gal when full"], why="15 in the V and 30 above it"),
        Case({**WEDGE, "dip": "0 in"}, NOT_JUDGED, ["0 gal"]),
        Case({**WEDGE, "bottom_width": "30 in"}, REFUSED, ["narrow side"], field="bottom_width"),
        Case({**WEDGE, "dip": "12 in"}, REFUSED, ["high inside"], field="dip"),
        Case({**WEDGE, "v_height": "0 in"}, REFUSED, ["more than 0"], field="v_height"),
        Case({**WEDGE, "upright": "-1 in"}, REFUSED, ["less than 0"], field="upright"),
    ),
    "tank-fills": (
        Case({**FILLS, "dip": "10 in"}, NOT_JUDGED, ["11.5 gal", "15 gal when full"], why="by hand: 8 gal at 8 in, 15 gal at 12 in"),
        Case({**FILLS, "dip": "4 in"}, NOT_JUDGED, ["3 gal"]),
        Case({**FILLS, "dip": "2 in"}, NOT_JUDGED, ["1.5 gal"], why="straight from the bottom"),
        Case({**FILLS, "volumes": "whole", "fills": [("4 in", "3 gal"), ("8 in", "8 gal"), ("12 in", "15 gal")], "dip": "10 in"}, NOT_JUDGED, ["11.5 gal"]),
        Case({**FILLS, "dip": "13 in"}, REFUSED, ["12 in high inside"], field="dip"),
        Case({**FILLS, "fills": [("4 in", "3 gal"), ("3 in", "5 gal")]}, REFUSED, ["higher than the one before"], field="fills-1-level"),
        Case({**FILLS, "volumes": "whole", "fills": [("4 in", "8 gal"), ("8 in", "3 gal")]}, REFUSED, [], field="fills-1-level"),
        Case({**FILLS, "fills": [("4 in", "-3 gal")]}, REFUSED, ["beyond anything"], field="fills-0-volume"),
        Case({**FILLS, "fills": [("4 in", "0 gal")]}, REFUSED, ["more than 0"], field="fills-0-level"),
    ),
    "code-meaning": (
        Case({**ANY, "code": "P0217"}, NOT_JUDGED, ["P0217: Powertrain code, generic."], never=["generic (P02"], why="SAE J2012 keeps P02 for injector circuits, and P0217 is over temperature"),
        Case({**ANY, "code": "SPN 110 FMI 0"}, NOT_JUDGED, ["coolant temperature"], why="SAE J1939-71 as open lists have it"),
        Case({**ANY, "code": "P1234"}, NOT_JUDGED, ["maker's own"]),
        Case({**ANY, "code": "2-3", "system": "flash"}, NOT_JUDGED, ["Flash code 2-3"]),
        Case({**BYTES, "code": "5B 00 03 01"}, NOT_JUDGED, ["SPN 91"], why="pretty_j1939, its tests"),
        Case({**BYTES, "code": "00 00 00 00"}, NOT_JUDGED, ["there is no code"]),
        Case({**BYTES, "code": "D2 04 03 81"}, NOT_JUDGED, ["cannot be known", "do not guess"]),
        Case({**ANY, "code": "the red light is on"}, REFUSED, ["not one complete code"], field="code"),
        Case({**ANY, "code": "2-3"}, REFUSED, ["choose flash code"], field="code"),
        Case({**BYTES, "code": "01"}, REFUSED, ["two to four bytes"], field="code"),
    ),
    "units": (
        Case({"value": "2.5 inHg", "unit": "inHg"}, NOT_JUDGED, ["1.22789 psi"], why="NIST SP 811, Appendix B.8"),
        Case({"value": "1", "unit": "bar"}, NOT_JUDGED, ["14.5038 psi"], why="NIST SP 811"),
        Case({"value": "100 hp", "unit": "hp"}, NOT_JUDGED, ["74.57 kW"], why="NIST SP 811: 550 ft·lbf/s"),
        Case({"value": "32 °F", "unit": "degF"}, NOT_JUDGED, ["0 °C"], why="by definition"),
        Case({"value": "1 kn", "unit": "kn"}, NOT_JUDGED, ["1.15078 mph"], why="1.852 km/h by definition"),
        Case({"value": "-500 °C", "unit": "degC"}, REFUSED, ["absolute zero"], field="value"),
        Case({"value": "5,200", "unit": "psi"}, REFUSED, ["can mean"], field="__all__"),
        Case({"value": "12 V", "unit": "psi"}, REFUSED, ["voltage"], field="__all__"),
    ),
    "service-due": (
        Case({**SERVICE}, NOT_JUDGED, ["Nov 8, 2026", "39.5 h left"], why="computed with Python's datetime and python-dateutil"),
        Case({**SERVICE, "now_hours": "410 h"}, NOT_JUDGED, ["Mar 1, 2027"], why="the calendar comes first"),
        Case({**SERVICE, "now_hours": "520 h"}, NOT_JUDGED, ["20 h"], why="by hours it is over"),
        Case({**SERVICE, "now_on": "2027-06-01", "now_hours": "410 h"}, NOT_JUDGED, ["Mar 1, 2027"], why="by months it is over"),
        Case({**SERVICE, "weekly": "0"}, NOT_JUDGED, ["Mar 1, 2027"], why="laid up: only the calendar counts"),
        Case({**SERVICE, "now_hours": "9000 h"}, REFUSED, ["more than the clock has"], field="now_hours"),
        Case({**SERVICE, "now_hours": "390 h"}, REFUSED, [], field="now_hours", why="hours only grow"),
        Case({**SERVICE, "weekly": "200 h"}, REFUSED, ["168 hours"], field="weekly"),
        Case({**SERVICE, "now_on": "2026-02-01"}, REFUSED, ["after today"], field="last_on"),
        Case({**SERVICE, "every": "-100 h"}, REFUSED, ["less than 0"], field="every"),
        Case({**SERVICE, "every": "", "months": ""}, REFUSED, [], field="every"),
    ),
}  # fmt: skip
