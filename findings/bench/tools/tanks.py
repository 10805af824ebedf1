"""Tank tools: calibration tables by shape or by measured fills, and level senders."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from statistics import median

from engineering.measures import Kind
from engineering.sensors.level_sender import SenderState
from engineering.tanks.measured_fills import MeasuredFills, fills_from_additions
from engineering.tanks.shapes import Box, HorizontalCylinder, Wedge
from findings.bench.filled_rows import rows_of
from findings.bench.tank_results import LITERS, TANK, USED, chosen_sender, tank_outcome
from findings.bench.tool import (
    Choice,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Preset,
    Quantity,
    Rows,
    Told,
    Tool,
    ToolProblem,
    Verdict,
)
from findings.cautions import FUEL, TANKS

OPENING = (
    "Before a tank is opened: no flame, no spark, no smoking, bilge aired, power to the sender off. Gasoline vapor is "
    "heavier than air and stays in the bilge."
)
LEAVE_ROOM = "Fuel expands: never fill to the brim, and close what was opened with a new gasket."
_LEVEL_ONLY = "It holds for a tank that is level as it was measured; inside measures, flat ends."
_CURVE_240 = (("0 %", "240 Ω"), ("50 %", "103 Ω"), ("100 %", "33 Ω"))
_CURVE_10 = (("0 %", "10 Ω"), ("100 %", "180 Ω"))
_SENDER_PAGES = "Sender makers' help pages; half of 240–33 by boating forums"
_REFERENCE = "Tank-volume formula reference, horizontal cylinder: 48 in by 96 in at 19.2 in is 280.9 of 752 gal"


def _measure(name: str, label: str, *, required: bool = True, hint: str = "") -> Quantity:
    return Quantity(
        name, label, Kind.LENGTH, "m", us="in", metric="cm", argument=f"{name}_m", required=required, hint=hint,
        least=0, section="Tank, inside",
    )  # fmt: skip


def _cylinder(given: Given) -> Outcome:
    tank = HorizontalCylinder(given.number("diameter"), given.number("length"))
    return tank_outcome(given, tank, notes=[_LEVEL_ONLY])


def _box(given: Given) -> Outcome:
    tank = Box(given.number("length"), given.number("width"), given.number("height"))
    return tank_outcome(given, tank, notes=[_LEVEL_ONLY])


def _wedge(given: Given) -> Outcome:
    tank = Wedge(
        given.number("length"),
        given.number("top_width"),
        given.number("v_height"),
        bottom_width_m=given.number_or_none("bottom_width") or 0.0,
        upright_m=given.number_or_none("upright") or 0.0,
    )
    return tank_outcome(given, tank, notes=[_LEVEL_ONLY])


def _fills(given: Given) -> Outcome:
    pairs = [(height, liters / LITERS) for height, liters in given.pairs("fills")]
    with rows_of(given, "fills"):
        tank = fills_from_additions(pairs) if given.choice("volumes") == "added" else MeasuredFills(pairs)
    notes = ["Straight between the fills; above the highest nothing is guessed, so it counts as full."]
    return tank_outcome(given, tank, notes=[*notes, *_odd_fills(given, tank)], is_by_fills=True)


_ODD = 20.0
"""So many times the others' volume for each height is no shape of a tank. Common practice, no source."""


def _odd_fills(given: Given, tank: MeasuredFills) -> list[str]:
    """What to say of a fill that holds far more or less for its height than the others do."""
    parts = list(pairwise(tank.fills))
    areas = [(more - less) / (upper - lower) for (lower, less), (upper, more) in parts]
    if len(areas) < _LEAST_TO_COMPARE:
        return []
    usual = median(areas)
    odd = [
        upper for ((_, _), (upper, _)), area in zip(parts, areas, strict=True) if not usual / _ODD < area < usual * _ODD
    ]
    return [
        f"The fill up to {given.show(one, 'm', us='in', metric='cm', significant=4)} does not fit the others: check "
        "its height and volume, with their units."
        for one in odd
    ]


_LEAST_TO_COMPARE = 3


def _sender(given: Given) -> Outcome:
    """What a sender's resistance says, and what it should have at a level."""
    sender = chosen_sender(given)
    if sender is None:
        raise ToolProblem("Choose a sender.", field="sender")
    ohm, level = given.number_or_none("reads"), given.number_or_none("level")
    if ohm is None and level is None:
        raise ToolProblem("Write what the sender reads, the true level, or both.", field="reads")
    figures: list[Figure | Told] = []
    said: list[str] = []
    if level is not None:
        expected = Figure("Resistance to expect", sender.resistance_ohm(level / 100), "ohm")
        if ohm is None:
            return Outcome(f"At {level:g} % it should have {given.show(expected.value, 'ohm')}.", main=expected)
        figures.append(expected)
    reads = ohm or 0.0
    reading = sender.read(reads)
    words = given.show(reads, "ohm", significant=4)
    condition = given.words("tank")
    if reading.fraction is None:
        return Outcome(
            f"{words}: {reading.sentence}", main=Figure("Sender", reads, "ohm", significant=4), figures=figures,
            verdict=Verdict.OUT, logs_as="Level sender resistance", condition=condition,
        )  # fmt: skip
    if reading.state is not SenderState.READS:
        said.append(reading.sentence)
    if level is not None:
        off = reading.fraction * 100 - level
        said.append(
            f"It is {abs(off):.0f} % of its travel {'above' if off > 0 else 'below'} the true level."
            if round(abs(off))
            else "It agrees with the true level."
        )
    return Outcome(
        f"{words} is the float at {given.show(reading.fraction * 100, '%', decimals=0)} of its travel.",
        main=Figure("Level", reading.fraction * 100, "%", decimals=0),
        figures=figures,
        notes=said,
        logs_as="Fluid level",
        condition=condition,
    )


_SENDER_FIELDS = tuple(
    replace(field, required=field.name == "sender") for field in USED if field.name in {"sender", "curve", "reads"}
)

TOOLS = (
    Tool(
        slug="level-sender",
        title="Level sender",
        group=Group.TANKS,
        purpose="What a tank sender's ohms mean, by its curve; open and shorted ones; and the ohms to expect.",
        fields=(
            TANK,
            *_SENDER_FIELDS,
            Quantity("level", "True level", Kind.PERCENT, "%", argument="fraction", required=False,
                     section="Known", hint="Of the float's travel, such as with the sender in the hand."),
        ),
        work=_sender,
        formula="straight between the points of the curve; more than 10 % above its highest is open",
        source=_SENDER_PAGES,
        cautions=(OPENING, TANKS, FUEL),
        presets=(
            Preset("Edit the 240–33 Ω curve", {"sender": "own", "curve": _CURVE_240}, source=_SENDER_PAGES),
            Preset("Edit the 10–180 Ω curve", {"sender": "own", "curve": _CURVE_10}, source=_SENDER_PAGES),
        ),
        is_of_boat=True,
        example=Example(
            {"tank": "port fuel", "sender": "us", "reads": "103 Ω"},
            expects={"Level": "50 %"},
            source="Boating forum, “Tank sender and trim sender resistance”: 33 full, 103 half, 240 empty",
        ),
    ),
    Tool(
        slug="tank-cylinder",
        title="Tank table: lying cylinder",
        group=Group.TANKS,
        purpose="Contents at each height of a cylinder on its side, and what its sender should show.",
        fields=(TANK, _measure("diameter", "Diameter"), _measure("length", "Length"), *USED),
        work=_cylinder,
        formula="V = L·[r²·acos((r − h)/r) − (r − h)·√(2rh − h²)]",
        source="Area of a circular segment, as tank-volume references print it",
        cautions=(OPENING, TANKS, LEAVE_ROOM),
        is_of_boat=True,
        example=Example(
            {"diameter": "48 in", "length": "96 in", "dip": "19.2 in", "sender": "us", "lines": "8"},
            expects={"Contents": "280.9 gal", "Capacity": "752 gal", "Share of the capacity": "37.4 %"},
            source=_REFERENCE,
        ),
    ),
    Tool(
        slug="tank-box",
        title="Tank table: box",
        group=Group.TANKS,
        purpose="Contents at each height of a tank with a level bottom and upright sides.",
        fields=(TANK, _measure("length", "Length"), _measure("width", "Width"), _measure("height", "Height"), *USED),
        work=_box,
        formula="V = length·width·h",
        source="Definition of volume; 231 in³ are a US gallon",
        cautions=(OPENING, TANKS, LEAVE_ROOM),
        is_of_boat=True,
        example=Example(
            {"length": "33 in", "width": "21 in", "height": "10 in", "sender": "us", "lines": "4"},
            expects={"Capacity": "30 gal"},
            source="33 in × 21 in × 10 in = 6930 in³, at 231 in³ a US gallon",
        ),
    ),
    Tool(
        slug="tank-wedge",
        title="Tank table: V or wedge",
        group=Group.TANKS,
        purpose="Contents at each height of a tank that follows a V hull, with upright sides above the V or none.",
        fields=(
            TANK,
            _measure("length", "Length"),
            _measure("top_width", "Width at the top of the V"),
            _measure("v_height", "Height of the V"),
            _measure("bottom_width", "Width at the bottom", required=False, hint="Empty: a sharp V."),
            _measure("upright", "Upright sides above", required=False, hint="Empty: none."),
            *USED,
        ),
        work=_wedge,
        formula="in the V, V = L·[b·h + (t − b)·h²/(2·H)]; above it, + L·t·(h − H)",
        source="Area of a trapezoid, as pages on trapezoidal storage tanks print it",
        cautions=(OPENING, TANKS, LEAVE_ROOM),
        is_of_boat=True,
        example=Example(
            {"length": "33 in", "top_width": "21 in", "v_height": "10 in", "dip": "5 in", "sender": "us", "lines": "8"},
            expects={"Capacity": "15 gal", "Contents": "3.75 gal", "Share of the capacity": "25 %"},
            source="Similar triangles: half of the height of a sharp V is a quarter of its contents",
        ),
    ),
    Tool(
        slug="tank-fills",
        title="Tank table: measured fills",
        group=Group.TANKS,
        purpose="Contents at each height of a tank of any shape, from what was filled in and how high it stood.",
        fields=(
            TANK,
            Choice("volumes", "The volumes are", (("whole", "whole contents"), ("added", "added each time")),
                   section="Fills"),
            Rows(
                "fills", "Fills, from empty",
                (Quantity("level", "Height", Kind.LENGTH, "m", us="in", metric="cm"),
                 Quantity("volume", "Volume", Kind.VOLUME, "L")),
                row_label="Fill", start=6, least=1, most=40, argument="fills", section="Fills",
                hint="Level boat. By the pump's meter, and a stick from the lowest point after each fill.",
            ),
            *USED,
        ),
        work=_fills,
        formula="straight between the fills",
        source="How level gauges take a strapping table: common practice, no source",
        cautions=(OPENING, TANKS, LEAVE_ROOM),
        is_of_boat=True,
        example=Example(
            {"volumes": "added", "fills": [("4 in", "3 gal"), ("8 in", "5 gal"), ("12 in", "7 gal")], "dip": "10 in",
             "sender": "us", "lines": "4"},
            expects={"Capacity": "15 gal", "Contents": "11.5 gal"},
            source="Worked by hand: 8 gal at 8 in, 15 gal at 12 in, so 11.5 gal at 10 in",
        ),
    ),
)  # fmt: skip
