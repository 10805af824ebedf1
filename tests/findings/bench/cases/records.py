"""What the record says over engine hours, as a careful mechanic and a statistician would put it."""

from tests.findings.bench.cases.case import NEAR, NOT_JUDGED, OUT, REFUSED, Case

MANN_KENDALL = "Mann–Kendall by hand"
CREEP = ("43.6", "42.9", "42.1", "41.3", "40.4", "39.6", "38.4")


def psi(*values, unit="psi", instrument="", begin=500):
    return tuple((str(begin + 50 * at), value, unit, instrument) for at, value in enumerate(values))


def typed(*values):
    return {"readings": [(f"{100 + 50 * at} h", value) for at, value in enumerate(values)]}


def failed(*hours, now=""):
    return {"events": [f"{one} h" for one in hours], "observed": now}


def proven(*gaps, share=0.95):
    return tuple((round(share * gap, 1), gap) for gap in gaps)


CASES = {
    "reading-trend": (
        Case({}, NEAR, ["falls by about", "limit of 38 psi"], readings=psi(*CREEP), why="seven in a row and close above the limit"),
        Case({}, OUT, ["Out now", "37.2 psi"], readings=psi(*CREEP, "37.2"), never=["meets its limit"], why="what is out now comes first"),
        Case({}, NOT_JUDGED, ["No trend is seen"], readings=psi("42.1", "42.4", "42.0", "42.3", "42.2", "42.4", "42.1"), never=["meets its limit"]),
        Case({}, NOT_JUDGED, ["Not enough data"], readings=psi(*CREEP[:4]), why="four in a row come by chance 1 time in 12"),
        Case({}, NOT_JUDGED, ["No trend is seen", "several units"], readings=(*psi(*["42"] * 5), *psi(*["2.9"] * 5, unit="bar", begin=750)), never=["falls", "rises"], why="42 psi is 2.896 bar: one gauge, read in two units, that stands still"),
        Case({}, NOT_JUDGED, ["No trend is seen", "several units"], readings=(*psi(*["2.9"] * 5, unit="bar"), *psi(*["42"] * 5, begin=750)), never=["falls", "rises"], why="the same the other way around"),
        Case({}, NEAR, ["falls by about", "several units"], readings=(*psi("45.6", "44.1", "43.3", "42.0"), *psi("283.4", "276.5", "270.3", unit="kPa", begin=700)), why="41.1, 40.1, 39.2 psi: it goes on falling in kPa"),
        Case({}, NOT_JUDGED, ["No trend is seen", "another instrument"], readings=(*psi(*CREEP, instrument="Gauge A"), *psi(*["43.5"] * 5, instrument="Gauge B", begin=850)), never=["rises"], why="another gauge starts another record"),
        Case({}, OUT, ["Out now", "900 psi"], readings=psi("42.1", "42.4", "42.0", "42.3", "900"), why="a slip of the pen is out until it is corrected"),
        Case({}, NOT_JUDGED, ["one or two different hours"], readings=tuple(("500", value, "psi", "") for value in ("42", "41", "40", "39.5", "39")), why="all in one hour: no slope over hours"),
        Case({"series": "0:idle"}, REFUSED, ["Choose one from the list"], field="series"),
    ),
    "fault-coming-back": (
        Case({}, NOT_JUDGED, ["Not enough data to say whether it is coming back more often", "3 times in 210 h"], away=proven(30, 25, 35), away_now=120, why="three returns are facts, and no trend"),
        Case({}, NOT_JUDGED, ["Strong evidence that it is coming back more often"], away=proven(400, 250, 150, 90, 50, 25, 10, 5), why="ever shorter, 2 orders of 40,320"),
        Case({}, NOT_JUDGED, ["Strong evidence that it is seen back more often", "somewhere between two scans"], away=proven(400, 250, 150, 90, 50, 25, 10, 5, share=0), never=["that it is coming back more often"], why="nobody looked in between: it may have been back each time at once"),
        Case({}, NOT_JUDGED, ["that it is coming back less often"], away=proven(5, 10, 25, 50, 90, 150, 250, 400), away_now=380, why="ever longer"),
        Case({}, NOT_JUDGED, ["longer than chance would explain", "something has changed"], away=proven(30, 25, 35), away_now=600, never=["repair has helped"], why="(90/690)³: 2 times in 1,000; clears alone are no repair"),
        Case({}, NOT_JUDGED, ["It has not come back", "Never in 80 h"], away=(), away_now=80),
        Case({}, NOT_JUDGED, ["no complete scan has shown it away"], away=(), away_now=0, never=["0 per 100 h"]),
        Case({}, NOT_JUDGED, ["No trend is seen", "large trend is easily missed"], away=proven(50, 60, 40, 55, 45, 50, share=0), away_now=30, never=["4 times in 5"], why="a bracket of the whole gap shows no size of trend"),
        Case({}, NOT_JUDGED, ["came back with no hours run in between"], away=((0, 0), (0, 0))),
        Case({}, NOT_JUDGED, ["at least"], away=((0, 50), (0, 60)), away_now=0, never=["inf", "nan"], why="no proven hour: nothing bounds the rate above"),
    ),
    "typed-trend": (
        Case(typed("9", "15", "19", "20", "45", "55", "78"), NOT_JUDGED, ["rises by about"], why=MANN_KENDALL),
        Case({**typed(*CREEP), "unit": "psi", "low": "38"}, NEAR, ["falls by about", "limit of 38 psi"]),
        Case({**typed(*CREEP, "37.2"), "unit": "psi", "low": "38"}, OUT, ["Out now"], never=["meets its limit in"]),
        Case({**typed(*CREEP[:4]), "low": "38"}, NOT_JUDGED, ["Not enough data"]),
        Case(typed("42", "42", "42", "42", "42", "42"), NOT_JUDGED, ["No trend is seen"], never=["rises", "falls"], why="all alike"),
        Case({**typed(*CREEP), "low": "50", "high": "40"}, REFUSED, ["Swap them"], field="low", why="limits the wrong way around"),
        Case({**typed(*CREEP), "now": "50 h"}, REFUSED, [], field="now", why="now is before the last reading"),
        Case(typed("60", "about sixty", "61"), REFUSED, [], field="readings-1-value"),
        Case(typed("60 psi", "4.1 bar", "61 psi"), REFUSED, [], field="readings-0-value", why="the values share the one unit above"),
        Case({"readings": [("-5 h", "60"), ("5 h", "61")]}, REFUSED, [], field="readings-0-hours"),
    ),
    "failures-over-hours": (
        Case(failed(5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478, now="1500 h"), NOT_JUDGED, ["less often"], why="NIST/SEMATECH e-Handbook 8.2.3.4"),
        Case(failed(100, 150, 160, now="200 h"), NOT_JUDGED, ["Not enough data"]),
        Case(failed(500, 600, now="400 h"), REFUSED, ["after the end"], field="observed"),
        Case(failed(10, 20, 30, 40, 50, now="2000 h"), NOT_JUDGED, ["evidence that they come less often"], why="all in the first fortieth"),
        Case(failed(400, 650, 800, 890, 940, 965, 975, 980, now="985 h"), NOT_JUDGED, ["evidence that they come more often"]),
        Case(failed(100, 200, 300, 400, 500, 600, now="700 h"), NOT_JUDGED, ["No trend is seen", "4 times in 5"], why="evenly spread"),
        Case(failed(100, 300, 400, 450, 470, now="480 h"), NOT_JUDGED, ["No trend is seen", "Laplace test: such a record comes by chance"], never=["weak hint", "getting shorter"], why="one judgment of all tests"),
        Case(failed(-10, 20, 30, 40), REFUSED, [], field="events-0-at"),
        Case(failed(10, 10, 10, 10, 10, now="20 h"), NOT_JUDGED, ["on one occasion only"], why="all at one reading of the meter: a Poisson process has one event at a time, NIST/SEMATECH 8.2.3.4 and Cox and Lewis (1966, from memory)"),
        Case({"events": ["99 h"] * 5, "observed": "100 h"}, NOT_JUDGED, ["on one occasion only"], never=["evidence", "more often"], why="four or five trips at one reading are one trip"),
        Case({"events": ["0.1 h", "0.3 h", "0.5 h", "0.9 h"], "observed": "1000 h"}, NOT_JUDGED, ["on one occasion only"], never=["evidence", "less often"], why="all in the first hour: a shakedown, and no habit"),
        Case({"events": ["0.2 h", "0.5 h", "0.7 h", "0.9 h"], "observed": "1 h"}, NOT_JUDGED, ["Not enough data"], never=["evidence", "No trend"], why="one hour tells of no trend"),
        Case(failed("1e9", 20, 30, 40), REFUSED, [], field="events-0-at", why="no engine runs so long"),
    ),
}  # fmt: skip
