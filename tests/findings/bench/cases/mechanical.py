"""Compression, leak-down, exhaust, chains, valves and torque."""

from tests.findings.bench.cases.case import GOOD, NEAR, NOT_JUDGED, OUT, REFUSED, Case

MANUALS = "car makers' manuals: 70 % and 100 psi (2006), 75 % (1992, 1997, 2012)"
FAA = "FAA AC 43.13-1B, 8-14: 60 of 80 psi are still allowed"
CHAIN = "roller-chain makers' guides, which cite ANSI B29.1"
RULE = {"share": ("75 %", ""), "limits": ("100 psi", ""), "layout": "line", "rise": "10 %", "fuel": "gasoline"}
EVEN_ONLY = {**RULE, "limits": ("", "")}
DIESEL = {"share": ("75 %", ""), "limits": ("320 psi", ""), "layout": "line", "rise": "10 %", "fuel": "diesel"}
LEAK = {"supply": "80 psi", "limits": ("", "25 %")}
VALVE = {"kind": "intake", "limits": ("0.20 mm", "0.30 mm"), "first": "2.50 mm", "last": "3.30 mm", "step": "0.05 mm"}
WRENCH = {"torque": "40 ft·lbf", "wrench": "12 in", "adapter": "4 in", "angle": "0"}
LINKS = {"links": "24", "pitch": "1 in", "teeth": "40", "centers": "adjustable"}


def readings(*dry: int) -> list[tuple[str, str]]:
    return [(f"{one} psi", "") for one in dry]


CASES = {
    "compression": (
        Case({**RULE, "readings": readings(150, 145, 148, 147)}, GOOD, ["Every cylinder meets the rule"], why=MANUALS),
        Case({**RULE, "readings": readings(150, 145, 148, 112)}, OUT, ["Cylinder 4 is too low", "112.5 psi", "spoonful of oil"], why=MANUALS),
        Case({**RULE, "readings": readings(150, 150, 148, 210)}, OUT, ["Cylinder 4 stands far above", "Do not blame the others"], never=["is low:", "too low"], why="one high cylinder is the odd one"),
        Case({**RULE, "readings": readings(150, 95, 96, 150)}, OUT, ["Cylinders 2 and 3 are too low", "head gasket"], why=MANUALS),
        Case({**RULE, "readings": readings(60, 58, 60, 59)}, OUT, ["All cylinders are low"], why=MANUALS),
        Case({**EVEN_ONLY, "readings": readings(60, 58, 60, 59)}, NOT_JUDGED, ["All are below 90 psi", "Not judged"], never=["in range", "meets the rule"], why="even is not enough"),
        Case({**EVEN_ONLY, "readings": readings(150, 145, 148, 147)}, NOT_JUDGED, ["even", "manual's least compression"], why="without a least nobody knows"),
        Case({**RULE, "readings": readings(150, 0, 148, 147)}, OUT, ["no compression at all"]),
        Case({**DIESEL, "readings": readings(400, 390, 395, 290)}, OUT, ["Cylinder 4", "leak-down"], never=["with oil", "spoonful"], why="no oil into a diesel"),
        Case({**DIESEL, "limits": ("400 psi", "480 psi"), "readings": readings(410, 420, 415, 412, 418, 520)}, OUT, ["Cylinder 6 is higher than the manual allows: 520 psi, at most 480 psi", "Lowest cylinder 410 psi"], never=["too low"], why="what is out is the one above the most"),
        Case({**RULE, "limits": ("140 psi", "190 psi"), "readings": readings(150, 152, 200, 156, 199)}, OUT, ["Cylinders 3 and 5 are higher than the manual allows, the highest at 200 psi, at most 190 psi"], never=["too low"]),
        Case({**RULE, "limits": ("140 psi", "190 psi"), "readings": readings(150, 130, 200, 156)}, OUT, ["Cylinder 2 is too low: at least 150 psi was asked for; cylinder 3 is higher than the manual allows"]),
        Case({**DIESEL, "readings": readings(300, 300, 300, 300)}, OUT, ["leak-down"], never=["repeat with oil"]),
        Case({**DIESEL, "readings": [("400 psi", "430 psi"), ("390 psi", ""), ("395 psi", ""), ("390 psi", "")]}, REFUSED, ["no oil is put into a diesel"], field="readings-0-dry"),
        Case({**DIESEL, "limits": ("100 psi", ""), "readings": readings(400, 390)}, REFUSED, ["no diesel's least"], field="limits_low"),
        Case({**RULE, "readings": readings(400, 390)}, REFUSED, ["no gasoline engine"], field="readings-0-dry"),
        Case({**RULE, "readings": [("112 psi", "150 psi"), ("150 psi", ""), ("150 psi", "")]}, OUT, ["rings"], why=MANUALS),
        Case({**RULE, "readings": [("112 psi", "113 psi"), ("150 psi", ""), ("150 psi", "")]}, OUT, ["valve"], why=MANUALS),
        Case({**EVEN_ONLY, "readings": readings(120, 121, 170)}, OUT, ["uneven", "or cylinder 3 is too high", "of three nobody can say which"], never=["are too low", "head gasket"], why="two of three agree, and nobody knows which is right"),
        Case({**RULE, "limits": ("100 psi", "200 psi"), "readings": readings(220, 221, 222, 220)}, OUT, ["Cylinders 1, 2, 3 and 4 are higher than the manual allows", "check the gauge against another one first"], why="all at once is seldom carbon"),
        Case({**RULE, "readings": [("150 psi", ""), ("95 psi", "97 psi"), ("148 psi", ""), ("150 psi", "")]}, OUT, ["head gasket or the piston's crown"], why="oil does not seal those either"),
        Case({**RULE, "readings": readings(-5, 150)}, REFUSED, ["less than 0"], field="readings-0-dry"),
        Case({**RULE, "readings": readings(15000, 150)}, REFUSED, ["more than can be"], field="readings-0-dry"),
        Case({**RULE, "readings": readings(0, 0)}, REFUSED, ["No cylinder shows any compression"], field="readings-0-dry"),
    ),
    "leak-down": (
        Case({**LEAK, "held": [("74 psi",), ("72 psi",)]}, GOOD, ["Cylinder 2 leaks most: 10 %"], why=FAA),
        Case({**LEAK, "held": [("74 psi",), ("60 psi",)]}, NEAR, ["25 %"], never=["more than"], why=FAA),
        Case({**LEAK, "held": [("74 psi",), ("59.9 psi",)]}, OUT, ["more than the 25 %"], why=FAA),
        Case({**LEAK, "held": [("74 psi",), ("76 psi",)], "heard": "coolant"}, OUT, ["into the coolant", "head gasket"], never=["Holds"], why="bubbles in the coolant at any rate are a leak through the gasket"),
        Case({"supply": "80 psi", "limits": ("", ""), "held": [("76 psi",)], "heard": "coolant"}, OUT, ["head gasket"], never=["Holds"]),
        Case({**LEAK, "held": [("76 psi",), ("78 psi",)], "heard": "next cylinder"}, OUT, ["next cylinder"], never=["Holds"]),
        Case({**LEAK, "held": [("50 psi",), ("76 psi",)], "heard": "exhaust"}, OUT, ["exhaust valve"], why="a pilots' association's article (2016)"),
        Case({**LEAK, "held": [("76 psi",)], "heard": "crankcase"}, GOOD, ["oil filler"], why="all rings leak a little"),
        Case({**LEAK, "held": [("80 psi",), ("80 psi",)]}, NOT_JUDGED, ["No cylinder loses any air", "every engine loses a little"], never=["Holds."], why="air that is off leaks nowhere"),
        Case({**LEAK, "held": [("60 psi",), ("60 psi",), ("74 psi",)]}, NEAR, ["Cylinders 1 and 2 leak most: 25 %"], why="a tie is told as one"),
        Case({**LEAK, "held": [("10 psi",), ("20 psi",), ("74 psi",)]}, OUT, ["Cylinders 1 and 2: Leaks too much"], why="one sentence for both"),
        Case({**LEAK, "supply": "5 psi", "held": [("4.5 psi",)]}, NOT_JUDGED, ["a limit of leakage holds near 80 psi"], never=["within"], why=FAA),
        Case({**LEAK, "supply": "5 psi", "held": [("1 psi",)]}, OUT, ["80 %"], why="what leaks so much leaks at any pressure"),
        Case({**LEAK, "held": [("0 psi",)]}, OUT, ["top dead center"]),
        Case({"supply": "80 psi", "limits": ("", ""), "held": [("70 psi",)]}, NOT_JUDGED, ["12.5 %"], never=["Holds"]),
        Case({**LEAK, "held": [("90 psi",)]}, REFUSED, ["cannot hold more than is supplied"], field="held-0-pressure"),
        Case({**LEAK, "supply": "8000 psi", "held": [("74 psi",)]}, REFUSED, ["Supply pressure", "more than can be"], field="supply"),
        Case({**LEAK, "supply": "0 psi", "held": [("0 psi",)]}, REFUSED, ["more than 0"], field="supply"),
    ),
    "exhaust-back-pressure": (
        Case({"measured": "1.5 inHg", "limits": ("", "2.5 inHg")}, GOOD, ["back-pressure is within its limit"], why="Gerr (2009), chapter 7"),
        Case({"measured": "2.5 inHg", "limits": ("", "2.5 inHg")}, NEAR, ["back-pressure is within its limit"]),
        Case({"measured": "2.504 inHg", "limits": ("", "2.5 inHg")}, OUT, ["2.504 inHg was measured", "can restrict the engine"]),
        Case({"measured": "4 inHg", "limits": ("", "2.5 inHg")}, OUT, ["collapsed", "over-propped"]),
        Case({"measured": "0.5 psi", "limits": ("1 psi", "11 psi")}, OUT, ["water may come back"], why="a repower guide (2006/2020): 1 psi at least"),
        Case({"measured": "0 inHg", "limits": ("", "2.5 inHg")}, NOT_JUDGED, ["No pressure at all"], never=["within its limit"], why="a running engine makes some"),
        Case({"measured": "1.5 inHg", "limits": ("", "")}, NOT_JUDGED, ["no limit to compare"]),
        Case({"measured": "-1 inHg", "limits": ("", "2.5 inHg")}, REFUSED, ["less than 0"], field="measured"),
        Case({"measured": "250 psi", "limits": ("", "2.5 inHg")}, REFUSED, ["Back-pressure", "more than can be"], field="measured"),
        Case({"measured": "1.5 inHg", "limits": ("", "0 inHg")}, REFUSED, ["No manual has such a limit"], field="limits_high"),
        Case({"measured": "1.5 inHg", "limits": ("", "100 psi")}, REFUSED, ["No manual has such a limit"], field="limits_high"),
        Case({"measured": "1.5 inHg", "limits": ("3 inHg", "2 inHg")}, REFUSED, ["Swap"], field="limits_high"),
    ),
    "wet-exhaust-diameter": (
        Case({"dry": "2.5 in"}, NOT_JUDGED, ["3.5 in"], why="Gerr (2009), chapter 7: 1.4 times"),
        Case({"dry": "2 in"}, NOT_JUDGED, ["2.8 in"], why="Gerr"),
        Case({"dry": "50 mm"}, NOT_JUDGED, ["70 mm"], why="Gerr"),
        Case({"dry": "4 in"}, NOT_JUDGED, ["5.6 in"], why="Gerr"),
        Case({"dry": "1 1/2 in"}, NOT_JUDGED, ["2.1 in"], why="Gerr"),
        Case({"dry": "0 in"}, REFUSED, ["more than 0"], field="dry"),
        Case({"dry": "-2 in"}, REFUSED, ["less than 0"], field="dry"),
        Case({"dry": "39 in"}, REFUSED, ["more than can be"], field="dry"),
        Case({"dry": "50 ft"}, REFUSED, ["more than can be"], field="dry"),
        Case({"dry": "2 psi"}, REFUSED, ["pressure"], field="dry"),
    ),
    "chain-slack": (
        Case({"deflection": "8 mm", "limits": ("", "11 mm")}, GOOD, ["within its limit"]),
        Case({"deflection": "11 mm", "limits": ("", "11 mm")}, NEAR, ["within its limit"]),
        Case({"deflection": "0.811 in", "limits": ("", "0.810 in")}, OUT, ["fit a new set", "0.811 in"], why="TM 9-2815-237-34, 2-15"),
        Case({"deflection": "11.004 mm", "limits": ("", "11 mm")}, OUT, ["11.004 mm was measured"]),
        Case({"deflection": "0 mm", "limits": ("", "11 mm")}, NOT_JUDGED, ["no slack at all", "too tight"], never=["within its limit"]),
        Case({"deflection": "8 mm", "limits": ("", "")}, NOT_JUDGED, ["no limit to compare"]),
        Case({"deflection": "-3 mm", "limits": ("", "11 mm")}, REFUSED, ["less than 0"], field="deflection"),
        Case({"deflection": "3 m", "limits": ("", "11 mm")}, REFUSED, ["Deflection", "more than can be"], field="deflection"),
        Case({"deflection": "8 mm", "limits": ("", "0 mm")}, REFUSED, ["more than 0"], field="limits_high"),
    ),
    "chain-elongation": (
        Case({**LINKS, "measured": "24.1 in"}, GOOD, ["Wear within its limit"], why=CHAIN),
        Case({**LINKS, "measured": "24.72 in"}, OUT, ["Worn out"], why=f"{CHAIN}: reaching 3 % is worn out"),
        Case({**LINKS, "measured": "24.75 in"}, OUT, ["Worn out", "3.13 %"], why="a chain seller's page, its example"),
        Case({**LINKS, "measured": "24.36 in", "centers": "fixed"}, OUT, ["Worn out", "1.5 %"], why=f"{CHAIN}: 1.5 % on fixed centers"),
        Case({**LINKS, "measured": "24.6 in", "teeth": "80"}, OUT, ["Worn out"], why=f"{CHAIN}: 200 / 80 = 2.5 %"),
        Case({**LINKS, "measured": "23.5 in"}, NOT_JUDGED, ["Shorter than new"], never=["Wear within"]),
        Case({**LINKS, "measured": "24 in"}, GOOD, ["within its limit"]),
        Case({**LINKS, "measured": "24.719 in"}, NEAR, ["2.996 % longer"], never=["It is 3 %"], why="3 % is worn out, and this is not: it is not rounded over"),
        Case({**LINKS, "measured": "23.99 in"}, GOOD, ["No wear to be measured"], never=["count the links"], why="the error of the rule"),
        Case({**LINKS, "measured": "25 in"}, OUT, ["just the length of 25 links when new"], why="a link more is counted sooner than worn"),
        Case({**LINKS, "measured": "24.1 in", "limits": ("", "50 %")}, REFUSED, ["1.5 to 3 %"], field="limits_high"),
        Case({**LINKS, "measured": "48 in"}, REFUSED, ["count the links"], field="measured"),
        Case({**LINKS, "measured": "24 in", "pitch": "-1 in"}, REFUSED, ["less than 0"], field="pitch"),
        Case({**LINKS, "measured": "24 in", "teeth": ""}, REFUSED, ["limit, or the teeth"], field="limits_high"),
    ),
    "valve-clearance": (
        Case({**VALVE, "valves": [("0.25 mm", "2.80 mm")]}, GOOD, ["within 0.2 to 0.3 mm"]),
        Case({**VALVE, "valves": [("0.25 mm", "2.80 mm"), ("0.45 mm", "2.80 mm")]}, OUT, ["valve 2", "3 mm"], why="an engine repair manual (2003), its example"),
        Case({**VALVE, "valves": [("0.15 mm", "2.80 mm")]}, OUT, ["too tight", "2.7 mm"], why="N = T + (A − V)"),
        Case({**VALVE, "valves": [("0 mm", "2.80 mm"), ("0.25 mm", "2.80 mm")]}, OUT, ["no gap at all", "no shim is offered"], never=["2.55 mm"], why="0 says nothing of the true clearance"),
        Case({**VALVE, "limits": ("0 mm", "0 mm"), "valves": [("0 mm", "")]}, REFUSED, ["have a gap"], field="limits_high", why="a hydraulic lifter is not measured so"),
        Case({**VALVE, "valves": [("0.15 mm", ""), ("0.35 mm", ""), ("0.25 mm", "")]}, OUT, ["valves 1 and 2"]),
        Case({**VALVE, "limits": ("0 mm", "0.10 mm"), "valves": [("0 mm", "2.80 mm")]}, OUT, ["may not close", "Valve 1 has no gap at all"], never=["within", "is wanted"]),
        Case({**VALVE, "valves": [("0.30 mm", "")]}, NEAR, ["within"], why="the limit is an allowed value"),
        Case({**VALVE, "valves": [("0.302 mm", "")]}, OUT, ["0.302 mm"]),
        Case({**VALVE, "valves": [("2.0 mm", "2.80 mm")]}, OUT, ["no shim of the series"]),
        Case({**VALVE, "valves": [("0.1 mm", "1.2 mm")]}, OUT, ["no shim of the series"], never=["-1."], why="the thinnest would leave less than no gap"),
        Case({**VALVE, "valves": [("0.25 in", "2.80 mm")]}, REFUSED, ["more than can be"], field="valves-0-gap"),
        Case({**VALVE, "valves": [("-0.1 mm", "")]}, REFUSED, ["less than 0"], field="valves-0-gap"),
        Case({**VALVE, "limits": ("", "0.30 mm"), "valves": [("0.25 mm", "")]}, REFUSED, ["both limits"], field="limits_high"),
    ),
    "torque-with-adapter": (
        Case(WRENCH, NOT_JUDGED, ["Set the wrench to 30 ft·lbf"], why="TM 9-2350-277-40&P, its example"),
        Case({**WRENCH, "angle": "90"}, NOT_JUDGED, ["Set the wrench to 40 ft·lbf"], why="NAVEDTRA 14008: square to it nothing changes"),
        Case({**WRENCH, "torque": "100 ft·lbf", "wrench": "18 in", "adapter": "3 in"}, NOT_JUDGED, ["85.71 ft·lbf"], why="T·L/(L+E)"),
        Case({**WRENCH, "angle": "180"}, NOT_JUDGED, ["Set the wrench to 60 ft·lbf"], why="12 / (12 − 4)"),
        Case({**WRENCH, "angle": "45"}, NOT_JUDGED, ["Set the wrench to 32.37 ft·lbf"], why="40 · 12 / (12 + 4 · cos 45°), told as it is logged"),
        Case({**WRENCH, "adapter": "11 in", "angle": "180"}, REFUSED, ["hardly any lever"], field="adapter", why="a wrench at twelve times the torque breaks something"),
        Case({**WRENCH, "torque": "18000 ft·lbf"}, REFUSED, ["Torque on the fastener", "beyond anything on a boat"], field="torque"),
        Case({**WRENCH, "torque": "3000 ft·lbf"}, REFUSED, ["Torque on the fastener", "more than can be"], field="torque"),
        Case({**WRENCH, "torque": "0 ft·lbf"}, REFUSED, ["less than can be"], field="torque"),
        Case({**WRENCH, "torque": "-40 ft·lbf"}, REFUSED, [], field="torque"),
        Case({**WRENCH, "wrench": "12 ft"}, REFUSED, ["more than can be"], field="wrench"),
        Case({**WRENCH, "adapter": "12 in", "angle": "180"}, REFUSED, ["reaches back to the grip"], field="adapter"),
        Case({**WRENCH, "angle": "270"}, REFUSED, ["180°"], field="angle"),
    ),
}  # fmt: skip
