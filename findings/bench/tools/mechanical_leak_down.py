"""Mechanical tools: leak-down."""

from __future__ import annotations

from engineering.measures import Kind
from engineering.mechanical import (
    Heard,
    judge_leak_down,
    leak_fraction,
    orifice_diameter_in,
)
from findings.bench.cautions import (
    COMPRESSED_AIR,
    FUEL,
    HOT_COOLANT,
)
from findings.bench.tool import (
    Bounds,
    Choice,
    Column,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Preset,
    Quantity,
    Rows,
    Table,
    Tool,
)
from findings.bench.tools.mechanical import CONDITION, refuse_gaps


def _leak_down(given: Given) -> Outcome:
    """Leak-down of each cylinder, the worst one judged."""
    refuse_gaps(given, "held")
    supply, held, limits = given.number("supply"), given.numbers("held"), given.band("limits")
    fractions = [leak_fraction(supply_kpa=supply, held_kpa=one, cylinder=number) for number, one in enumerate(held, 1)]
    worst = fractions.index(max(fractions))
    place = Heard(given.choice("heard") or Heard.NOWHERE)
    heard = [place if number == worst else Heard.NOWHERE for number in range(len(held))]
    notes = []
    if limits is not None and limits.high is not None:
        leaks = judge_leak_down(supply_kpa=supply, held_kpa=held, most_leak=limits.high / 100, heard=heard)
        notes = [
            f"Cylinder {one.number}: {one.sentence}" for one in leaks if one.is_too_much or one.number == worst + 1
        ]
    bore = given.number_or_none("bore")
    if bore is not None:
        orifice = given.show(orifice_diameter_in(bore_mm=bore), "in", us="in", metric="mm")
        notes.append(f"For this bore FAA AC 43.13-1B asks for an orifice of {orifice}; another one shows another leak.")
    percent = [100 * fraction for fraction in fractions]
    rows = [(str(n), one, leak) for n, (one, leak) in enumerate(zip(held, percent, strict=True), 1)]
    return Outcome(
        f"Cylinder {worst + 1} leaks most: {given.show(percent[worst], '%', decimals=1)}.",
        main=Figure("Most leakage", percent[worst], "%", decimals=1),
        band=limits,
        notes=notes,
        tables=(
            Table(
                "Cylinder by cylinder",
                (Column("Cylinder"), Column("Held", "kPa", like="pressure"), Column("Leakage", "%", decimals=1)),
                rows,
            ),
        ),
        condition=", ".join(filter(None, [f"cylinder {worst + 1}", given.words("condition")])),
    )


TOOLS = (
    Tool(
        slug="leak-down",
        title="Leak-down",
        group=Group.MECHANICAL,
        purpose="What each cylinder loses of the air put into it, and where it goes.",
        fields=(
            Quantity("supply", "Supply pressure", Kind.PRESSURE, "kPa", argument="supply_kpa"),
            Rows(
                "held",
                "Pressure held",
                (Quantity("pressure", "Held", Kind.PRESSURE, "kPa"),),
                argument="held_kpa",
                row_label="Cylinder",
                start=8,
                most=24,
            ),
            Choice(
                "heard",
                "Air of the worst cylinder is heard at",
                (
                    ("exhaust", "Exhaust"),
                    ("intake", "Intake"),
                    ("crankcase", "Oil filler"),
                    ("coolant", "Coolant (bubbles)"),
                    ("next cylinder", "Next plug hole"),
                ),
                required=False,
            ),
            Bounds("limits", "Leakage", Kind.PERCENT, "%", parameter="Leak-down", sides="high", argument="most_leak"),
            Quantity(
                "bore",
                "Bore",
                Kind.LENGTH,
                "mm",
                required=False,
                argument="bore_mm",
                hint="Tells the orifice that the tester should have.",
            ),
            CONDITION,
        ),
        work=_leak_down,
        formula="leakage = (supply − held) / supply",
        source="FAA AC 43.13-1B (1998, change 1 of 2001), chapter 8, 8-14; the maker's data take precedence",
        cautions=(COMPRESSED_AIR, HOT_COOLANT, FUEL),
        logs_as="Leak-down",
        presets=(
            Preset(
                "60 of 80, 25 %",
                {"limits": ("", "25 %")},
                source="FAA AC 43.13-1B, chapter 8, 8-14; the engine maker's figure comes first",
            ),
        ),
        example=Example(
            {"supply": "80 psi", "held": [("74 psi",), ("60 psi",), ("72 psi",), ("76 psi",)], "limits": ("", "25 %")},
            expects={"Most leakage": "25 %"},
            says="Cylinder 2 leaks most: 25 %.",
            source="FAA AC 43.13-1B, chapter 8, 8-14: 60 of 80 psi are still allowed",
        ),
    ),
)
