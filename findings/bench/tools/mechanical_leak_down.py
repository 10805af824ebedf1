"""Mechanical tools: leak-down."""

from __future__ import annotations

from math import isclose

from engineering.measures import Kind
from engineering.mechanical import (
    NEVER_ALLOWED,
    LeakPath,
    judge_leak_down,
    leak_fraction,
    name_cylinders,
    orifice_diameter_in,
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
    Verdict,
)
from findings.bench.tools.mechanical import CONDITION, refuse_gaps
from findings.cautions import (
    COMPRESSED_AIR,
    FUEL,
    HOT_COOLANT,
)


def _leak_down(given: Given) -> Outcome:
    """Leak-down of each cylinder, the worst one judged."""
    refuse_gaps(given, "held")
    supply, held, limits = given.number("supply"), given.numbers("held"), given.band("limits")
    fractions = [leak_fraction(supply_kpa=supply, held_kpa=one, cylinder=number) for number, one in enumerate(held, 1)]
    worst = fractions.index(max(fractions))
    place = LeakPath(given.choice("heard") or LeakPath.NOWHERE)
    heard = [place if number == worst else LeakPath.NOWHERE for number in range(len(held))]
    most_leak = limits.high / 100 if limits is not None and limits.high is not None else 1.0
    leaks = judge_leak_down(supply_kpa=supply, held_kpa=held, most_leak=most_leak, heard=heard)
    percent = [100 * fraction for fraction in fractions]
    main = Figure("Most leakage", percent[worst], "%", decimals=1)
    judged = given.judge(main, limits)
    through_gasket = place in NEVER_ALLOWED and percent[worst] > 0
    notes = []
    doubt = "" if judged.is_out or through_gasket else _doubt(given, percent[worst])
    if (limits is not None or through_gasket) and not doubt:
        told = [leak for leak in leaks if leak.is_too_much or leak.number == worst + 1]
        notes = [
            f"{name_cylinders([leak.number for leak in told if leak.sentence == words]).capitalize()}: {words}"
            for words in dict.fromkeys(leak.sentence for leak in told)
        ]
    if percent[worst] >= _NOTHING_HELD:
        notes.append("Next to nothing was held: make sure that the piston stood at top dead center of its compression.")
    bore = given.number_or_none("bore")
    if bore is not None:
        orifice = given.show(orifice_diameter_in(bore_mm=bore), "in", us="in", metric="mm")
        notes.append(f"For this bore FAA AC 43.13-1B asks for an orifice of {orifice}; another one shows another leak.")
    rows = [(str(n), one, leak) for n, (one, leak) in enumerate(zip(held, percent, strict=True), 1)]
    alike = [number for number, leak in enumerate(percent, 1) if isclose(leak, percent[worst], abs_tol=1e-6)]
    verb = "leaks" if len(alike) == 1 else "leak"
    sentence = f"{name_cylinders(alike).capitalize()} {verb} most: {judged.shown}"
    if not percent[worst]:
        sentence = "No cylinder loses any air"
    if through_gasket:
        sentence += f", and its air goes {_GASKET[place]}: it must not leak there at all"
    elif judged.is_out:
        sentence += f", more than the {judged.high} allowed"
    return Outcome(
        f"{sentence}.",
        main=main,
        band=limits,
        verdict=Verdict.OUT if through_gasket else None,
        not_judged=doubt,
        notes=notes,
        tables=(
            Table(
                "Cylinder by cylinder",
                (
                    Column("Cylinder"),
                    Column("Held", "kPa", significant=6, like="pressure"),
                    Column("Leakage", "%", decimals=1),
                ),
                rows,
            ),
        ),
        condition=", ".join(filter(None, [f"cylinder {worst + 1}", given.words("condition")])),
    )


def _doubt(given: Given, worst_percent: float) -> str:
    """Why cylinders that hold say nothing; empty where they do."""
    if not worst_percent:
        return "every engine loses a little past its rings: see that air flows and the second gauge moves"
    least, most = _SUPPLY_KPA
    if not least <= given.number("supply") <= most:
        usual = given.show(_USUAL_KPA, "kPa", like="supply", significant=2)
        return f"a limit of leakage holds near {usual}, and the supply was far from it"
    return ""


_USUAL_KPA, _SUPPLY_KPA = 551.6, (270.0, 1050.0)
"""FAA AC 43.13-1B, 8-14, supplies 80 psi; engine shops 40 to 150 psi (common practice, no source)."""
_NOTHING_HELD = 95.0
"""Percent lost from which the piston was hardly in its place. Common practice, no source."""
_GASKET = {LeakPath.COOLANT: "into the coolant", LeakPath.NEXT_CYLINDER: "into the next cylinder"}


TOOLS = (
    Tool(
        slug="leak-down",
        title="Leak-down",
        group=Group.MECHANICAL,
        purpose="What each cylinder loses of the air put into it, and where it goes.",
        fields=(
            Quantity("supply", "Supply pressure", Kind.PRESSURE, "kPa", argument="supply_kpa", least=0, most=1500),
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
                least=0,
                most=1000,
                hint="Tells the orifice that the tester should have.",
            ),
            CONDITION,
        ),
        work=_leak_down,
        formula="leakage = (supply − held) / supply",
        source="FAA AC 43.13-1B (1998, change 1 of 2001), chapter 8, 8-14; the maker's data take precedence",
        cautions=(COMPRESSED_AIR, HOT_COOLANT, FUEL),
        is_of_instruments=True,
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
