"""Slips of the pen and values at the very edge, tool by tool, on top of each tool's own example.

Whatever is typed, the answer must not mislead: it is refused beside its field, or said for what it is.
"""

from tests.findings.bench.cases.case import NOT_JUDGED, OUT, REFUSED, Case

EVEN_SIX = ["1.000"] * 6


def slip(inputs, verdict, says=(), **more):
    return Case(inputs, verdict, list(says), is_slip=True, **more)


CASES = {
    "charge-at-rest": (
        slip({"rest": "12,40 V"}, NOT_JUDGED, ["about 69 % charged"], why="a comma is a point; 0.15 of 0.20 V between 50 and 75 %"),
        slip({"rest": "0 V"}, NOT_JUDGED, never=["0 % charged"], why="a lead fell off, or a dead short: no state of charge"),
        slip({"rest": "-12.4 V"}, REFUSED, field="rest", why="probes exchanged"),
    ),
    "battery-load-test": (
        slip({"kind": "lithium", "measured": "12.1 V"}, NOT_JUDGED, ["test a lithium one by its maker's"], never=["needed at this temperature", "9.6 V"], why="the table is not of lithium: nothing in it is needed"),
        slip({"measured": "11.9 V", "load": "20 A"}, NOT_JUDGED, ["under half the rating"], why="9.6 V is asked for under half the rating, and 20 A is not that"),
        slip({"measured": "0 V"}, REFUSED, ["more than 0"], field="measured"),
        slip({"measured": "-9.6 V"}, REFUSED, field="measured"),
        slip({"rating": "0 A"}, REFUSED, field="rating"),
    ),
    "charging-voltage": (
        slip({"measured": "0 V"}, REFUSED, field="measured", why="no battery is there"),
        slip({"low": "14.8 V", "high": "13.8 V"}, REFUSED, ["Swap"], field="low"),
    ),
    "hydrometer": (
        slip({"readings": ["1.400"] * 6, "temperature": "80 °F"}, NOT_JUDGED, ["more than a full battery's", "cannot be told"], never=["100 %"], why="no full battery has acid so strong"),
        slip({"readings": EVEN_SIX, "temperature": "70 °F"}, NOT_JUDGED, ["The whole battery is low"], never=["100 % charged"], why="water"),
    ),
    "cranking-drops": (
        slip({"positive": "nan"}, REFUSED, field="positive"),
        slip({"positive": "1e3"}, REFUSED, field="positive"),
        slip({"current": "0 A"}, REFUSED, field="current", why="nothing flowed"),
        slip({"current": "5 A"}, OUT, ["Positive side 0.4 V 0.5 V says nothing"], never=["within"], why="0.4 V at 5 A is 80 mΩ, and would be 16 V at 200 A"),
        slip({"positive": "12.6 V", "ground": "0.1 V"}, OUT, ["Ground side 0.1 V 0.2 V says nothing"], never=["within"], why="the circuit is open: nothing flows past the ground either"),
    ),
    "voltage-drop": (
        slip({"current": "0 A"}, REFUSED, field="current", why="nothing flows, nothing drops"),
        slip({"fuse": "0 A"}, REFUSED, field="fuse"),
        slip({"bundled": "-3"}, REFUSED, field="bundled"),
    ),
    "conductor-size": (
        slip({"run": "0 ft"}, REFUSED, field="run", why="no wire"),
        slip({"temperature": "900 °C"}, REFUSED, field="temperature", why="copper glows"),
    ),
    "resistance-from-drop": (slip({"current": "-200 A"}, REFUSED, field="current"),),
    "position-sensor-wiring": (
        slip({"supply": "0 V", "ground": "0.2 Ω", "drop": "0 V"}, OUT, ["Fix supply first", "proves nothing yet"], never=["loses no more"], why="no supply, no current, no drop: a ground is proven under current"),
        slip({"supply": "12.4 V"}, OUT, ["12.4 V"], why="battery voltage on a 5 V line"),
        slip({"ground": "1 MΩ"}, OUT, ["1"], never=["reads true"], why="an open ground"),
        slip({"drop": "-0.25 V"}, OUT, ["0.25 V"], never=["-0.25"], why="the probes are exchanged; the drop is the same"),
    ),
    "position-sensor-sweep": (
        slip({"samples": [("2.5 V", "")] * 5}, REFUSED, ["ends where it began"], field="samples-0-first", why="stuck: it did not move with the lever"),
        slip({"samples": [("9 V", ""), ("9 V", ""), ("9 V", "")]}, REFUSED, field="samples-0-first", why="more than the supply"),
    ),
    "thermistor-table": (slip({"entries": [("0 °C", "32128 Ω")]}, REFUSED, field="entries-1-celsius"),),
    "thermistor-beta": (
        slip({"resistance": "12 Ω"}, OUT, ["look for a short"], never=["stands for"], why="300 °C in a sensor for air or coolant: shorted"),slip({"temperature": "-300 °C"}, REFUSED, ["absolute zero"], field="temperature"),),
    "ratiometric-transducer": (slip({"known": "500"}, REFUSED, field="known", why="beyond the range of 0 to 100 psi"),),
    "current-loop": (
        slip({"current": "0 mA"}, OUT, why="a broken wire"),
        slip({"current": "25 mA"}, OUT, why="above 21 mA it is a fault: NAMUR NE 43, from memory"),
        slip({"current": "12.2 A"}, REFUSED, field="current", why="a slip of a thousand"),
    ),
    "sensor-divider": (
        slip({"signal": "5 V"}, REFUSED, ["open"], field="signal"),
        slip({"signal": "0 V"}, REFUSED, ["short"], field="signal"),
        slip({"signal": "5.5 V"}, REFUSED, field="signal", why="more than the supply"),
    ),
    "level-sender": (
        slip({"reads": "0 Ω"}, OUT, never=["full"], why="shorted: no level"),
        slip({"reads": "5 kΩ"}, OUT, never=["empty"], why="open: no level"),
    ),
    "tank-cylinder": (slip({"dip": "60 in"}, REFUSED, field="dip", why="deeper than the tank"),),
    "tank-box": (slip({"width": "0 in"}, REFUSED, field="width"),),
    "tank-fills": (slip({"fills": [("8 in", "3 gal"), ("4 in", "5 gal")]}, REFUSED, field="fills-1-level", why="it rises while it is filled"),),
    "gear-ratio": (
        slip({"turns": "2700 rpm", "propeller": "5400 rpm"}, NOT_JUDGED, ["seldom", "swapped"], why="the two typed the wrong way around"),
    ),
    "thermistor-coefficients": (
        slip({"resistance": "5 Ω"}, OUT, ["look for a short"], never=["735"], why="390 °C by the equation: shorted"),
    ),
    "thermistor-points": (
        slip({"resistance": "5 Ω"}, OUT, ["look for a short"], never=["stands for"], why="shorted"),
    ),
    "propeller-slip": (slip({"pitch": "0 in"}, REFUSED, field="pitch"),),
    "fuel-burn": (slip({"measured": "0 gal/h"}, REFUSED, field="measured", why="an engine that makes power burns something"),),
    "full-throttle": (slip({"revs": "600 rpm"}, REFUSED, field="revs", why="that is idle"),),
    "compression": (
        slip({"readings": [("150 psi",)]}, REFUSED, ["manual's least"], field="share_low", why="one cylinder compares with nothing"),
        slip({"readings": [("-20 psi",), ("150 psi",)]}, REFUSED, field="readings-0-dry"),
    ),
    "chain-slack": (
        slip({"deflection": "0 in"}, NOT_JUDGED, ["too tight"], never=["in range"], why="no slack wears chain and bearings"),
        slip({"deflection": "-0.5 in"}, REFUSED, field="deflection"),
    ),
    "chain-elongation": (
        slip({"measured": "30 in"}, REFUSED, ["count the links again"], never=["Worn out"], field="measured", why="30 links of 1 in: no chain a quarter longer than new still runs"),slip({"measured": "23.5 in"}, NOT_JUDGED, ["Shorter than new", "count the links again"], why="no chain gets shorter"),),
    "exhaust-back-pressure": (slip({"measured": "-1 psi"}, REFUSED, field="measured"),),
    "wet-exhaust-diameter": (
        slip({"dry": "0.1 in"}, REFUSED, field="dry", why="no engine breathes through that"),slip({"dry": "0 in"}, REFUSED, field="dry"),),
    "leak-down": (
        slip({"held": [("90 psi",), ("74 psi",)]}, REFUSED, field="held-0-pressure", why="more than was given"),
        slip({"held": [("0 psi",), ("74 psi",)]}, OUT, ["100 %"]),
    ),
    "torque-with-adapter": (
        slip({"adapter": "12 in", "angle": "180"}, REFUSED, field="adapter", why="the adapter's end is over the wrench's drive: no lever is left"),
        slip({"torque": "-40 ft·lbf"}, REFUSED, field="torque"),
    ),
    "valve-clearance": (slip({"valves": [("0 mm", "2.80 mm"), ("0.25 mm", "2.80 mm")]}, OUT, ["valve 1"], why="a valve that does not close burns"),),
    "code-meaning": (slip({"code": "FF FF FF FF"}, NOT_JUDGED, ["no code"], never=["FMI 31"], why="all ones: not available, SAE J1939-71, from memory"),),
    "before-and-after": (
        slip({"second_hours": "0 h"}, REFUSED, ["more than 0"], field="second_hours"),slip({"first_events": "0", "second_events": "0"}, NOT_JUDGED, ["Not enough data"], never=["less often", "more often"]),),
    "failures-over-hours": (slip({"events": [("0 h",), ("100 h",), ("200 h",), ("300 h",)], "observed": "500 h"}, REFUSED, ["where the count begins"], never=["Strong evidence"], field="events-0-at", why="the start of the count is no failure, and ln(T/0) proves anything"),),
    "mean-time-between": (
        slip({"confidence": "99.99 %"}, NOT_JUDGED, ["99.99% sure"], never=["100% sure"], why="nothing is certain"),slip({"events": "3", "hours": "0.1 h"}, REFUSED, ["so short a time"], field="events"),),
    "service-due": (
        slip({"last_on": "2026-07-30", "now_hours": "460 h"}, NOT_JUDGED, ["140.0 h a week"], never=["210"], why="60 h over two nights: both days count, as a week has 168 h"),slip({"every": "0 h"}, REFUSED, field="every"),),
    "units": (
        slip({"value": "nan"}, REFUSED, field="__all__"),
        slip({"value": "1e400", "unit": "psi"}, REFUSED, field="__all__"),
        slip({"value": "-5 psi", "unit": "psi"}, NOT_JUDGED, ["-34.47"], why="a gauge below the atmosphere"),
    ),
}  # fmt: skip
