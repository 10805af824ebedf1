"""Joints, runs of wire and the starter's circuit."""

from tests.findings.bench.cases.case import GOOD, NEAR, NOT_JUDGED, OUT, REFUSED, Case

CFR = "33 CFR 183.425, Table 5"
FUSE = "33 CFR 183.455(c)(1): at most 150 % of Table 5"
PUMP = {"current": "10 A", "run": "21 ft", "system": "12 V", "allowed": "3 %", "gauge": "AWG", "size": "12"}
AS_SAID = {"insulation": "105", "where": "outside", "bundled": "2"}
PUMP |= AS_SAID
SHORT = {**PUMP, "run": "4 ft", "allowed": "10 %"}
SIZE = {"run": "4 ft", "system": "12 V", "allowed": "10 %", "gauge": "AWG", **AS_SAID}
UNSAID = {"insulation": "", "where": ""}
NEXT = "ABYC E-11, from memory: the next rating sold, only where there is none of the wire's own, up to 150 %"

CASES = {
    "voltage-drop": (
        Case(PUMP, NEAR, ["12 AWG", "0.346 V", "carries 45 A"], why="a marine catalog's bilge pump within 3 %: 96 % of what is allowed is near"),
        Case({**SHORT, "current": "150 A"}, OUT, ["too thin", "Too much current", "150 A", "45 A"], why=CFR),
        Case({**SHORT, "current": "45 A"}, GOOD, ["carries 45 A"], never=["too thin"], why=f"{CFR}: the limit is allowed"),
        Case({**SHORT, "current": "45.1 A"}, OUT, ["45.1 A is more than the 45 A"], why=CFR),
        Case({**SHORT, "current": "40 A", "where": "inside"}, OUT, ["38.2 A", "engine space"], why=f"{CFR}, note 1"),
        Case({**SHORT, "current": "30 A", "insulation": "60"}, OUT, ["25 A", "60 °C"], why=CFR),
        Case({**SHORT, "current": "30 A", "insulation": ""}, OUT, ["25 A", "insulation not said: worst case taken"], why="unknown insulation is taken as 60 °C"),
        Case({**SHORT, "current": "20 A", **UNSAID}, OUT, ["14.5 A", "60 °C", "in an engine space", "insulation and place not said: worst case taken"], why=f"{CFR}, note 1: 25 A of 60 °C insulation, 0.58 of it"),
        Case({**SHORT, "current": "14 A", **UNSAID}, GOOD, ["14.5 A", "worst case taken"], why="it carries that in the worst place too"),
        Case({**SHORT, "current": "14 A", "where": ""}, GOOD, ["38.2 A", "place not said: worst case taken"], never=["insulation and place"], why=f"{CFR}, note 1"),
        Case({**SHORT, "bundled": ""}, REFUSED, ["Enter a number"], field="bundled", why="a wire in a loom of thirty carries 40 %: nobody can guess it"),
        Case({**SHORT, "gauge": ""}, REFUSED, ["Choose one"], field="gauge", why="SAE has less copper than AWG of its number"),
        Case({**SHORT, "size": ""}, REFUSED, ["Choose one"], field="size", why="a size that nobody read judges nothing"),
        Case({**SHORT, "current": "40 A", "where": "inside", "fuse": "80 A"}, OUT, ["40 A is more than the 38.2 A", "80 A does not protect", "12 AWG drops"], why="wire first, then its fuse, then the drop"),
        Case({**PUMP, "current": "30 A", "fuse": "80 A"}, OUT, ["too large", "67.5 A", "12 AWG drops 1.04 V at 30 A, more than the 0.36 V allowed"], why="both are wrong: the fuse burns the boat, the drop starves the load"),
        Case({**SHORT, "current": "10 A", "fuse": "80 A"}, OUT, ["too large", "within the 1.2 V allowed"], why="the drop is still told"),
        Case({**PUMP, "measured": "3.0 V", "fuse": "80 A"}, OUT, ["too large", "3 V measured is more than the 0.36 V allowed", "joints"], why="what was measured is told beside the fuse"),
        Case({**SHORT, "current": "60 A", "measured": "3.0 V"}, OUT, ["too thin", "3 V measured is more than the 1.2 V allowed"], why="what was measured is told beside the load"),
        Case({**SHORT, "current": "60 A", "measured": "12 V"}, OUT, ["too thin", "Too much current"], why="a slip elsewhere hides no danger"),
        Case({**SHORT, "current": "40 A"}, GOOD, ["Steady current, at most 45 A", "Fuse or breaker, at most 50 A", "the load may draw 45 A steadily and no more, whatever the fuse", "next rating sold", "67.5 A"], never=["at most 67.5"], why=NEXT),
        Case({**SHORT, "current": "40 A", "insulation": "90"}, GOOD, ["Steady current, at most 40 A", "Fuse or breaker, at most 40 A", "the fuse is at most 40 A"], never=["next rating sold"], why="40 A is sold: nothing larger is called for"),
        Case({**SHORT, "current": "40 A", "fuse": "60 A"}, GOOD, ["larger than it need be: fit 50 A"], why=NEXT),
        Case({**SHORT, "current": "40 A", "fuse": "40 A"}, GOOD, ["can blow in use"], never=["will blow", "to fit 40 A"], why="a fuse at its rating blows in time"),
        Case({**SHORT, "current": "10 A", "where": "inside"}, GOOD, ["hotter copper drops more"], why="copper at 60 °C drops 12 % more than at 29 °C"),
        Case({**SHORT, "current": "300 A", "load": "cranking", "size": "2/0"}, GOOD, [], never=["within 7 in", "Fuse or breaker"], why="33 CFR 183.455(b) leaves cranking-motor conductors out"),
        Case({**SHORT, "current": "25 A", "bundled": "7"}, OUT, ["22.5 A", "7 loaded wires"], why="a catalog: 7 to 24 bundled, 0.5"),
        Case({**SHORT, "current": "40 A", "fuse": "70 A"}, OUT, ["too large", "67.5 A", "does not protect"], why=FUSE),
        Case({**SHORT, "current": "40 A", "fuse": "50 A"}, GOOD, ["50 A only because it is the next rating sold"], never=["larger than it need be"], why=NEXT),
        Case({**SHORT, "current": "20 A", "fuse": "15 A"}, GOOD, ["will blow"]),
        Case({**SHORT, "gauge": "SAE", "current": "50 A"}, OUT, ["12 SAE is too thin"], why="less copper than 12 AWG, which carries 45 A"),
        Case({**SHORT, "gauge": "SAE", "current": "40 A"}, NOT_JUDGED, ["no SAE sizes", "Not judged"], why="Table 5 has AWG only"),
        Case({**SHORT, "current": "400 A", "load": "cranking", "size": "2/0"}, GOOD, ["cranking motor"], never=["too thin"], why="33 CFR 183.425(g) leaves cranking-motor conductors out"),
        Case({**PUMP, "measured": "3.0 V"}, OUT, ["3 V measured is more than the 0.36 V", "joints"], why="the measured drop is what the load loses"),
        Case({**PUMP, "measured": "0.3 V"}, GOOD, ["0.3 V measured is within"]),
        Case({**PUMP, "measured": "0.355 V"}, NEAR, ["0.355 V measured is within the 0.36 V"]),
        Case({**PUMP, "measured": "12.0 V"}, REFUSED, ["open"], field="measured", why="nothing is left for the load"),
        Case({**PUMP, "measured": "120 V"}, REFUSED, ["Drop measured", "more than can be"], field="measured"),
        Case({**PUMP, "system": "120 V"}, REFUSED, ["50 V"], field="system", why="Table 5 is used here below 50 V"),
        Case({**PUMP, "run": "21 km"}, REFUSED, [], field="run"),
        Case({**PUMP, "run": "-21 ft"}, REFUSED, ["Wire out and back", "less than 0"], field="run"),
        Case({**SHORT, "current": "20 A", "temperature": "90 °C", "insulation": "75"}, GOOD, ["hotter than its insulation"]),
        Case({**PUMP, "run": "100 ft"}, OUT, ["1.65 V"], why="K·I·L/CM: 10.75·10·100/6530"),
    ),
    "conductor-size": (
        Case({**SIZE, "current": "10 A", "run": "21 ft", "allowed": "3 %"}, NOT_JUDGED, ["Take 12 AWG"], why="a marine catalog's bilge pump"),
        Case({**SIZE, "current": "10 A", "run": "21 ft", "allowed": "3 %", "gauge": "SAE"}, NOT_JUDGED, ["Take 10 SAE"], why="the same catalog: 12 SAE is too small"),
        Case({**SIZE, "current": "150 A", "gauge": "SAE"}, NOT_JUDGED, ["Take 2 SAE"], never=["Take 12 SAE", "Take 4 SAE"], why=f"{CFR}: 4 AWG carries 160 A, and 4 SAE has less copper; 2 SAE has more than 4 AWG"),
        Case({**SIZE, "current": "150 A"}, NOT_JUDGED, ["Take 4 AWG", "160 A", "Fuse or breaker, at most 175 A", "160 A steadily and no more, whatever the fuse"], never=["Fuse or breaker, at most 240 A"], why=NEXT),
        Case({**SIZE, "current": "50 A", "insulation": "90"}, NOT_JUDGED, ["Take 10 AWG", "Steady current, at most 55 A", "Fuse or breaker, at most 60 A", "to fit 60 A"], why=NEXT),
        Case({**SIZE, "current": "30 A", **UNSAID}, NOT_JUDGED, ["Take 8 AWG", "31.9 A", "insulation and place not said: worst case taken"], never=["Take 14 AWG"], why=f"{CFR}, note 1: 55 A of 60 °C insulation, 0.58 of it"),
        Case({**SIZE, "current": "30 A", "bundled": ""}, REFUSED, ["Enter a number"], field="bundled"),
        Case({**SIZE, "current": "30 A", "gauge": ""}, REFUSED, ["Choose one"], field="gauge"),
        Case({**SIZE, "current": "150 A", "where": "inside"}, NOT_JUDGED, ["Take 2 AWG"], why=f"{CFR}, note 1: 4 AWG carries 136 A in an engine space"),
        Case({**SIZE, "current": "30 A", "insulation": "60"}, NOT_JUDGED, ["Take 10 AWG"], why=f"{CFR}: 12 AWG at 60 °C carries 25 A"),
        Case({**SIZE, "current": "20 A", "bundled": "25"}, NOT_JUDGED, ["Take 10 AWG"], why="a catalog: 25 and more bundled, 0.4: 12 AWG 18 A, 10 AWG 24 A"),
        Case({**SIZE, "current": "0.5 A"}, NOT_JUDGED, ["Take 16 AWG", "by itself"], why="33 CFR 183.425(e): 16 AWG at least by itself"),
        Case({**SIZE, "current": "500 A"}, REFUSED, ["No single conductor"], field="current", why=CFR),
        Case({**SIZE, "current": "300 A", "load": "cranking"}, NOT_JUDGED, ["leaves out conductors of cranking motors"]),
        Case({**SIZE, "current": "10 A", "run": "1000 ft"}, REFUSED, ["Wire out and back", "more than can be"], field="run"),
        Case({**SIZE, "current": "-10 A"}, REFUSED, ["Current", "less than 0"], field="current"),
        Case({**SIZE, "current": "10 A", "allowed": "80 %"}, REFUSED, ["at most 50 %"], field="allowed"),
    ),
    "resistance-from-drop": (
        Case({"drop": "2.0 V", "current": "200 A"}, NOT_JUDGED, ["10 mΩ"], why="a starter training text: 200 A through 0.01 Ω"),
        Case({"drop": "0.2 V", "current": "200 A", "limits": ("", "2 mΩ")}, GOOD, ["1 mΩ"]),
        Case({"drop": "0.4 V", "current": "200 A", "limits": ("", "2 mΩ")}, NEAR, ["2 mΩ"], never=["more than"], why="the limit is an allowed value"),
        Case({"drop": "0.4004 V", "current": "200 A", "limits": ("", "2 mΩ")}, OUT, ["2.002 mΩ, more than the 2 mΩ"], why="shown with the figures that its verdict needs"),
        Case({"drop": "0.6 V", "current": "200 A", "limits": ("", "2 mΩ")}, OUT, ["3 mΩ, more than the 2 mΩ"]),
        Case({"drop": "0 V", "current": "200 A", "limits": ("", "2 mΩ")}, GOOD, ["0 mΩ"]),
        Case({"drop": "0.2 V", "current": "0 A"}, REFUSED, ["more than 0"], field="current", why="no current, no resistance"),
        Case({"drop": "-0.2 V", "current": "200 A"}, REFUSED, ["probes are swapped"], field="drop"),
        Case({"drop": "240 V", "current": "10 A"}, REFUSED, ["Voltage drop", "more than can be"], field="drop", why="nothing here is above 50 V"),
        Case({"drop": "0.2 V", "current": "200000 A"}, REFUSED, ["beyond anything on a boat"], field="current"),
    ),
}  # fmt: skip
