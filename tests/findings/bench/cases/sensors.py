"""Temperature sensors, transducers, loops, dividers and position sensors."""

from tests.findings.bench.cases.case import GOOD, NEAR, NOT_JUDGED, OUT, REFUSED, Case

LASER = "a laser-diode controller manual, Table A.1"
NE_43 = "NAMUR NE 43: valid 3.8 to 20.5 mA, failure from 3.6 down and from 21.0 up"
DIVIDER = "the voltage divider rule"
TABLE = {
    "sensor": "Coolant",
    "entries": [("0 °C", "32128 Ω"), ("10 °C", "19549 Ω"), ("20 °C", "12262 Ω"), ("30 °C", "7908 Ω")],
    "resistance": "",
    "temperature": "",
    "tolerance": "",
}
POINTS = {
    "sensor": "Coolant",
    "points": [("0 °C", "32128 Ω"), ("25 °C", "9814 Ω"), ("50 °C", "3542 Ω")],
    "resistance": "",
    "temperature": "",
    "tolerance": "",
}
BETA = {
    "sensor": "Coolant",
    "reference": "10 kΩ",
    "reference_temperature": "25 °C",
    "beta": "3977",
    "resistance": "",
    "temperature": "",
    "tolerance": "",
}
COEFFICIENTS = {
    "sensor": "Coolant",
    "a": "1.129148",
    "b": "2.34125",
    "c": "0.876741",
    "resistance": "",
    "temperature": "",
    "tolerance": "",
}
RATIO = {
    "measures": "",
    "unit": "psi",
    "low": "0",
    "high": "100",
    "low_share": "10 %",
    "high_share": "90 %",
    "margin": "5 %",
    "supply": "5 V",
    "signal": "",
    "known": "",
}
LOOP = {"measures": "", "unit": "bar", "low": "0", "high": "10", "current": "", "known": ""}
DIVIDE = {"supply": "5 V", "pull_up": "1 kΩ", "signal": "", "known": ""}
WIRES = {
    "sensor": "throttle",
    "supply": "",
    "ground": "",
    "drop": "",
    "supply_low": "4.75 V",
    "supply_high": "5.25 V",
    "ground_limit": "1 Ω",
    "drop_limit": "0.2 V",
}
SWEEP = {
    "sensor": "throttle",
    "supply": "5 V",
    "fault_low": "4 %",
    "fault_high": "96 %",
    "backward": "2 %",
    "apart": "5 %",
}


def volts(*first: float) -> list[tuple[str, str]]:
    return [(f"{one} V", "") for one in first]


CASES = {
    "thermistor-table": (
        Case({**TABLE, "resistance": "5000 Ω"}, NOT_JUDGED, ["outside of the table", "does not reach there"], why="a coolant sensor at 40 °C has that, and is sound"),
        Case({**TABLE, "resistance": "10 MΩ"}, OUT, ["10,000,000 Ω", "open circuit"], never=["1e+07"], why="300 times the table's end is no cold"),
        Case({**TABLE, "resistance": "12875.1 Ω", "temperature": "20 °C", "tolerance": "5 %"}, NEAR, [], why="exactly 5 % more than 12262 Ω"),
        Case({**TABLE, "resistance": "12875.2 Ω", "temperature": "20 °C", "tolerance": "5 %"}, OUT, []),
        Case({**TABLE, "resistance": "12262 Ω", "temperature": "20 °C", "tolerance": "5 %"}, GOOD, ["reads true"], why=LASER),
        Case({**TABLE, "resistance": "12900 Ω", "temperature": "20 °C", "tolerance": "5 %"}, OUT, ["low"], why="12262 Ω and 5 % are 12875 Ω"),
        Case({**TABLE, "resistance": "12875 Ω", "temperature": "20 °C", "tolerance": "5 %"}, NEAR, []),
        Case({**TABLE, "resistance": "15500 Ω"}, NOT_JUDGED, ["stands for 58.8 °F"], why="between 10 and 20 °C"),
        Case({**TABLE, "resistance": "500000 Ω"}, OUT, ["open circuit", "nothing is guessed"], never=["stands for"], why="beyond the table"),
        Case({**TABLE, "resistance": "0 Ω"}, OUT, ["shorted"]),
        Case({**TABLE, "temperature": "90 °C"}, REFUSED, ["nothing is guessed"], field="temperature"),
        Case({**TABLE, "resistance": "-5 Ω"}, REFUSED, ["more than 0"], field="resistance"),
        Case({**TABLE, "resistance": "12262 Ω", "tolerance": "5 %"}, REFUSED, ["true temperature"], field="tolerance"),
        Case({**TABLE, "entries": [("0 °C", "32128 Ω"), ("10 °C", "19549 Ω"), ("20 °C", "22262 Ω")], "resistance": "12262 Ω"}, REFUSED, ["does not fall"], field="entries-2-celsius"),
    ),
    "thermistor-points": (
        Case({**POINTS, "resistance": "12262 Ω"}, NOT_JUDGED, ["68 °F"], why=LASER),
        Case({**POINTS, "resistance": "9814 Ω", "temperature": "25 °C", "tolerance": "3 %"}, GOOD, ["reads true"], why=LASER),
        Case({**POINTS, "resistance": "9000 Ω", "temperature": "25 °C", "tolerance": "3 %"}, OUT, ["high"]),
        Case({**POINTS, "resistance": "600 Ω", "temperature": "100 °C", "tolerance": "10 %"}, NOT_JUDGED, ["proven"], why="outside of the three points the equation is a guess"),
        Case({**POINTS, "resistance": "0 Ω"}, OUT, ["shorted"]),
        Case({**POINTS, "resistance": "99 MΩ"}, OUT, ["open"]),
        Case({**POINTS}, REFUSED, ["resistance, the true temperature"], field="resistance"),
        Case({**POINTS, "temperature": "2000 °C"}, REFUSED, ["beyond anything"], field="temperature"),
        Case({**POINTS, "points": [("0 °C", "32128 Ω"), ("25 °C", "9814 Ω")], "resistance": "9814 Ω"}, REFUSED, ["at least 3"], field="points-2-celsius"),
    ),
    "thermistor-beta": (
        Case({**BETA, "resistance": "10 MΩ"}, OUT, ["open circuit"], never=["stands for"], why="-77 °C is no boat's"),
        Case({**BETA, "beta": "397"}, REFUSED, ["no thermistor's beta value"], field="beta"),
        Case({**BETA, "resistance": "3563.1 Ω"}, NOT_JUDGED, ["122 °F"], why="a common data sheet line, B25/85 = 3977 K"),
        Case({**BETA, "resistance": "10 kΩ", "temperature": "25 °C", "tolerance": "5 %"}, GOOD, ["reads true"]),
        Case({**BETA, "resistance": "8 kΩ", "temperature": "25 °C", "tolerance": "5 %"}, OUT, ["high"]),
        Case({**BETA, "resistance": "400 kΩ", "temperature": "-40 °C", "tolerance": "5 %"}, NOT_JUDGED, ["proven"], why="beta holds near its own span"),
        Case({**BETA, "resistance": "0 Ω"}, OUT, ["shorted"]),
        Case({**BETA, "resistance": "10 kΩ", "beta": "39.77"}, REFUSED, ["no thermistor's beta"], field="beta"),
        Case({**BETA, "resistance": "10 kΩ", "reference": "0 Ω"}, REFUSED, ["more than 0"], field="reference"),
        Case({**BETA, "resistance": "10 kΩ", "temperature": "25 °C", "tolerance": "150 %"}, REFUSED, ["below 100"], field="tolerance"),
    ),
    "thermistor-coefficients": (
        Case({**COEFFICIENTS, "resistance": "10 kΩ", "b": "0.876741", "c": "2.34125"}, REFUSED, ["none are exchanged"], field="a", why="B and C exchanged make 198 °C of 25 °C"),
        Case({**COEFFICIENTS, "resistance": "10 kΩ", "a": "2.34125", "b": "1.129148"}, REFUSED, ["none are exchanged"], field="a", why="A and B exchanged"),
        Case({**COEFFICIENTS, "resistance": "10 kΩ", "a": "0"}, REFUSED, ["none are exchanged"], field="a"),
        Case({**COEFFICIENTS, "resistance": "10 MΩ"}, OUT, ["open"], never=["1e+07"]),
        Case({**COEFFICIENTS, "resistance": "10 kΩ"}, NOT_JUDGED, ["77 °F"], why="an analog temperature module's data sheet: 10 kΩ at 25 °C"),
        Case({**COEFFICIENTS, "resistance": "10 kΩ", "temperature": "25 °C", "tolerance": "3 %"}, GOOD, ["reads true"]),
        Case({**COEFFICIENTS, "resistance": "11 kΩ", "temperature": "25 °C", "tolerance": "3 %"}, OUT, ["low"]),
        Case({**COEFFICIENTS, "temperature": "25 °C"}, NOT_JUDGED, ["should have"]),
        Case({**COEFFICIENTS, "resistance": "0 Ω"}, OUT, ["shorted"]),
        Case({**COEFFICIENTS, "resistance": "-1 Ω"}, REFUSED, ["more than 0"], field="resistance"),
        Case({**COEFFICIENTS, "resistance": "10 kΩ", "tolerance": "3 %"}, REFUSED, ["true temperature"], field="tolerance"),
        Case({**COEFFICIENTS, "temperature": "500 °F", "resistance": "10 kΩ", "tolerance": "0 %"}, REFUSED, ["above 0"], field="tolerance"),
    ),
    "ratiometric-transducer": (
        Case({**RATIO, "supply": "4.8 V", "signal": "2.4 V"}, NOT_JUDGED, ["stands for 50 psi"], why="half of the supply is half of the range"),
        Case({**RATIO, "measures": "Oil pressure", "signal": "2.3 V"}, GOOD, ["45 psi"], why="the engine's card: 30 to 60 psi"),
        Case({**RATIO, "measures": "Oil pressure", "signal": "1.3 V"}, OUT, ["20 psi"], why="the engine's card: 30 to 60 psi"),
        Case({**RATIO, "measures": "Oil pressure", "signal": "0.4 V"}, NOT_JUDGED, ["outside of the transducer's range"], why="a little below the range it stands for no pressure to judge"),
        Case({**RATIO, "signal": "0 V"}, OUT, ["stands for no value"]),
        Case({**RATIO, "signal": "5 V"}, OUT, ["stands for no value"]),
        Case({**RATIO, "signal": "2.5 V", "known": "50"}, NOT_JUDGED, ["as the true value is"]),
        Case({**RATIO, "known": "50"}, NOT_JUDGED, ["2.5 V"]),
        Case({**RATIO, "signal": "2.5 V", "supply": "0 V"}, REFUSED, ["more than 0"], field="supply"),
        Case({**RATIO, "signal": "250 V"}, REFUSED, ["Signal", "more than can be"], field="signal"),
        Case({**RATIO, "signal": "2.5 V", "low": "100"}, REFUSED, ["no width"], field="high"),
        Case({**RATIO, "signal": "2.5 V", "high": "99999999"}, REFUSED, ["beyond anything"], field="high"),
        Case({**RATIO, "measures": "Coolant temperature", "signal": "2.5 V"}, REFUSED, ["not measured in psi"], field="unit"),
    ),
    "current-loop": (
        Case({**LOOP, "unit": "psi", "low": "3", "high": "15", "current": "12.2 mA"}, NOT_JUDGED, ["9.15 psi"], why="an automation forum's conversion"),
        Case({**LOOP, "current": "12 mA"}, NOT_JUDGED, ["5 bar"], why="half of the range"),
        Case({**LOOP, "current": "3.9 mA"}, NOT_JUDGED, ["outside of the transducer's range"], why=NE_43),
        Case({**LOOP, "current": "3.7 mA"}, NEAR, ["no value"], why=NE_43),
        Case({**LOOP, "current": "3.6 mA"}, OUT, ["failure signal"], why=NE_43),
        Case({**LOOP, "current": "21 mA"}, OUT, ["failure signal"], why=NE_43),
        Case({**LOOP, "current": "0 mA"}, OUT, ["loop is open"]),
        Case({**LOOP, "known": "2.5"}, NOT_JUDGED, ["8 mA"]),
        Case({**LOOP, "current": "-12 mA"}, REFUSED, ["less than 0"], field="current"),
        Case({**LOOP, "current": "12 A"}, REFUSED, ["Current", "more than can be"], field="current"),
        Case({**LOOP, "known": "50"}, REFUSED, ["outside of the transducer's range"], field="known"),
    ),
    "sensor-divider": (
        Case({**DIVIDE, "signal": "0.5 V"}, NOT_JUDGED, ["111.1 Ω"], why=DIVIDER),
        Case({**DIVIDE, "signal": "2.5 V"}, NOT_JUDGED, ["1000 Ω"], why=DIVIDER),
        Case({**DIVIDE, "known": "1 kΩ"}, NOT_JUDGED, ["2.5 V"], why=DIVIDER),
        Case({**DIVIDE, "signal": "4.98 V"}, NOT_JUDGED, ["open sensor"], why="next to the supply hardly anything is told apart"),
        Case({**DIVIDE, "signal": "0 V"}, REFUSED, ["shorted to ground"], field="signal"),
        Case({**DIVIDE, "signal": "5 V"}, REFUSED, ["circuit is open"], field="signal"),
        Case({**DIVIDE, "signal": "6 V"}, REFUSED, ["above the supply"], field="signal"),
        Case({**DIVIDE, "signal": "2.5 V", "pull_up": "-1 kΩ"}, REFUSED, ["Pull-up resistor"], field="pull_up"),
        Case({**DIVIDE, "signal": "2.5 V", "supply": "500 V"}, REFUSED, ["Supply of the control unit", "more than can be"], field="supply"),
    ),
    "position-sensor-wiring": (
        Case({**WIRES, "supply": "4.98 V"}, GOOD, ["Supply good: 4.98 V"]),
        Case({**WIRES, "supply": "5.25 V"}, NEAR, ["good: 5.25 V"]),
        Case({**WIRES, "supply": "5.252 V"}, OUT, ["bad: 5.252 V"]),
        Case({**WIRES, "supply": "12.4 V"}, OUT, ["touches battery voltage"]),
        Case({**WIRES, "supply": "0 V"}, OUT, ["No supply"]),
        Case({**WIRES, "drop": "0.25 V"}, OUT, ["loses too much"], why="an engine performance textbook: 0.2 V"),
        Case({**WIRES, "drop": "-0.1 V"}, GOOD, ["good: 0.1 V"], why="the sign does not matter"),
        Case({**WIRES, "supply": "4.98 V", "ground": "0.4 Ω", "drop": "0.1 V"}, GOOD, ["as they should be"]),
        Case({**WIRES, "supply": "4.98 V", "ground": "40 Ω", "drop": "0.1 V"}, OUT, ["ground at rest first"]),
        Case({**WIRES, "ground": "1 MΩ"}, OUT, ["at most 1 Ω"], never=["0 MΩ"], why="a limit is told in a unit that holds it"),
        Case({**WIRES, "supply": "4.75 V", "ground": "1 Ω", "drop": "0.2 V"}, NEAR, ["as they should be"], why="all on their limits"),
        Case({**WIRES}, REFUSED, ["at least one"], field="supply"),
        Case({**WIRES, "drop": "120 V"}, REFUSED, ["more than can be"], field="drop"),
        Case({**WIRES, "supply": "-5 V"}, REFUSED, ["less than 0"], field="supply"),
    ),
    "position-sensor-sweep": (
        Case({**SWEEP, "samples": volts(0.5, 1.5, 2.5, 3.5, 4.5)}, GOOD, ["smooth over its travel"], why="a published sensor specification: 0.5 to 4.5 V"),
        Case({**SWEEP, "samples": volts(0.5, 1.5, 0.0, 3.5, 4.5)}, OUT, ["Reading 3", "1 thing to look after"]),
        Case({**SWEEP, "samples": volts(0.5, 1.5, 1.3, 3.5, 4.5)}, OUT, ["steps back"]),
        Case({**SWEEP, "samples": [("0.5 V", "0.25 V"), ("2.5 V", "1.25 V"), ("1.5 V", "0.75 V"), ("3.5 V", "1.75 V"), ("4.5 V", "2.25 V")]}, OUT, ["1 thing to look after", "Both tracks step back by 25 %", "two readings are exchanged"], never=["Track 1:", "Track 2:"], why="one pair exchanged is one thing"),
        Case({**SWEEP, "samples": [("0.5 V", "0.25 V"), ("2.5 V", "0.75 V"), ("1.5 V", "1.25 V"), ("3.5 V", "1.75 V"), ("4.5 V", "2.25 V")]}, OUT, ["1 thing to look after", "Track 1: Reading 3", "and there the tracks part by 25.0 %"], why="one pair exchanged in one track is one thing"),
        Case({**SWEEP, "samples": volts(0.5, 1.5, 0.1, 3.5, 4.5)}, OUT, ["1 thing to look after", "at ground"], never=["steps back"], why="a worn spot is no step back as well"),
        Case({**SWEEP, "samples": volts(0.5, 2.5, 1.5, 3.5, 4.5), "backward": "100 %"}, REFUSED, ["no tolerance"], field="backward"),
        Case({**SWEEP, "samples": volts(4.5, 3.5, 2.5, 0.5)}, GOOD, ["smooth"], why="a falling signal works as well"),
        Case({**SWEEP, "samples": volts(0.5, 2.0, 4.95)}, OUT, ["At its supply"], why="above 96 % of the supply"),
        Case({**SWEEP, "samples": [("0.5 V", "0.25 V"), ("2.5 V", "1.25 V"), ("4.5 V", "2.25 V")]}, GOOD, ["tracks agree"]),
        Case({**SWEEP, "samples": [("0.5 V", "0.25 V"), ("2.5 V", "2.0 V"), ("4.5 V", "2.25 V")]}, OUT, ["tracks part"]),
        Case({**SWEEP, "samples": volts(2.5, 2.5, 2.5)}, REFUSED, ["ends where it began"], field="samples-0-first"),
        Case({**SWEEP, "samples": volts(0.5, 4.5)}, REFUSED, ["at least 3"], field="samples-2-first"),
        Case({**SWEEP, "samples": volts(0.5, 250, 4.5)}, REFUSED, ["more than can be"], field="samples-1-first"),
    ),
}  # fmt: skip
