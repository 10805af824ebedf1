"""Mechanical tools: a compression set."""

from __future__ import annotations

from engineering.amounts import AmountProblem
from engineering.measures import Kind
from engineering.mechanical import (
    CompressionRule,
    CompressionSet,
    judge_compression,
)
from findings.bench.compression_results import (
    DIESEL,
    GASOLINE,
    all_low,
    compression_sentence,
    compression_table,
    figure_to_log,
    refuse_what_no_such_engine_has,
)
from findings.bench.tool import (
    Bounds,
    Choice,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Preset,
    Quantity,
    Rows,
    Tool,
    ToolContext,
    Verdict,
    Words,
)
from findings.cautions import (
    CRANKING,
    FUEL,
    ROTATING,
)

LAYOUTS = (
    ("line", "In line: 1, 2, 3 …"),
    ("odd-even", "V or flat: odd and even banks"),
    ("halves", "V or flat: first half and second half"),
)


def _fuel(at: ToolContext) -> Prefill | None:
    """The kind of engine at hand; nothing where it is not known."""
    if at.engine is None or at.engine.fuel not in {GASOLINE, DIESEL}:
        return None
    return Prefill(at.engine.fuel, "From the engine's record.")


def _banks(layout: str, count: int) -> list[list[int]]:
    """The cylinders of each bank in their order along it; where that was not said, none is another's neighbor."""
    numbers = list(range(1, count + 1))
    if not layout:
        return [[number] for number in numbers]
    if layout == "odd-even":
        return [bank for bank in (numbers[::2], numbers[1::2]) if bank]
    if layout == "halves":
        middle = (count + 1) // 2
        return [bank for bank in (numbers[:middle], numbers[middle:]) if bank]
    return [numbers]


def refuse_gaps(given: Given, name: str) -> None:
    """Refuse a list in which a cylinder is missing: its neighbors would be taken for each other's."""
    numbers = given.row_numbers(name)
    for place, number in enumerate(numbers, 1):
        if place != number:
            raise AmountProblem(f"Cylinder {place} has no reading. Write 0 if it shows none.", field=name, row=place)


def _compression(given: Given) -> Outcome:
    """A set of compression readings against the manual's rule."""
    refuse_gaps(given, "readings")
    rows = given.rows("readings")
    limits, share, rise = given.band("limits"), given.band("share"), given.number_or_none("rise")
    is_diesel = given.choice("fuel") == DIESEL
    refuse_what_no_such_engine_has(rows, limits, is_diesel=is_diesel)
    judged = judge_compression(
        dry_kpa=[float(dry or 0) for dry, _ in rows],
        wet_kpa=[wet for _, wet in rows],
        rule=CompressionRule(
            least_share=None if share is None or share.low is None else share.low / 100,
            least_kpa=None if limits is None else limits.low,
            most_kpa=None if limits is None else limits.high,
            wet_rise=None if rise is None else rise / 100,
        ),
        banks=_banks(given.choice("layout"), len(rows)),
        oil_is_used=not is_diesel,
    )
    count = len(judged.cylinders)
    logged = figure_to_log(judged, limits, share)
    has_least = limits is not None and limits.low is not None
    return Outcome(
        compression_sentence(given, judged, logged),
        main=logged.main,
        figures=(
            logged.other,
            Figure("Lowest to highest", 100 * judged.share, "%", decimals=1),
            Figure("Spread", 100 * judged.spread, "%", decimals=1),
        ),
        band=logged.band,
        verdict=None if judged.passes else Verdict.OUT,
        not_judged="even, but whether it is enough needs the manual's least compression"
        if judged.passes and not has_least
        else "",
        notes=[
            *all_low(given, judged, has_least=has_least),
            *(found.sentence for found in judged.suggestions),
            *_ask_layout(given, judged),
        ],
        tables=(compression_table(judged),) if count > 1 else (),
        condition=", ".join(filter(None, [logged.which, given.words("condition")])),
    )


def _ask_layout(given: Given, judged: CompressionSet) -> list[str]:
    """What cannot be told of several low cylinders while nobody said how they stand."""
    if given.choice("layout") or not 1 < len(judged.low) < len(judged.cylinders):
        return []
    return ["Say how the cylinders stand: two low neighbors point to the head gasket between them."]


CONDITION = Words("condition", "Condition", required=False, hint="Such as: warm, throttle open, 300 rpm.")


TOOLS = (
    Tool(
        slug="compression",
        title="Compression",
        group=Group.MECHANICAL,
        purpose="Each cylinder against the manual's rule, dry and with oil, and what the set points to.",
        fields=(
            Rows(
                "readings",
                "Readings",
                (
                    Quantity("dry", "Dry", Kind.PRESSURE, "kPa", argument="dry_kpa", least=0, most=8000),
                    Quantity(
                        "wet", "With oil", Kind.PRESSURE, "kPa", required=False, argument="wet_kpa", least=0, most=8000
                    ),
                ),
                argument="dry_kpa",
                row_label="Cylinder",
                start=8,
                most=24,
                hint="Leave “with oil” empty where you did not try it, and always for a diesel.",
            ),
            Choice(
                "fuel",
                "Engine",
                ((GASOLINE, "Gasoline"), (DIESEL, "Diesel")),
                default=_fuel,
                hint="A diesel is never tested with oil.",
            ),
            Choice(
                "layout",
                "Cylinders",
                LAYOUTS,
                required=False,
                hint="Neighbors share a piece of head gasket. Open: none is taken for another's neighbor.",
            ),
            Bounds(
                "limits",
                "Compression of any cylinder",
                Kind.PRESSURE,
                "kPa",
                parameter="Compression",
                argument="least_kpa",
                section="The manual's rule",
            ),
            Bounds(
                "share",
                "Lowest cylinder, of the highest",
                Kind.PERCENT,
                "%",
                parameter="Compression evenness",
                sides="low",
                argument="least_share",
                section="The manual's rule",
            ),
            Quantity(
                "rise",
                "A clear rise with oil",
                Kind.PERCENT,
                "%",
                required=False,
                default="10 %",
                argument="wet_rise",
                section="The manual's rule",
                hint="Common practice, no source.",
            ),
            CONDITION,
        ),
        work=_compression,
        formula="share = cylinder / highest; spread = (highest − lowest) / highest",
        source="Car makers' service manuals (1992 to 2012); the limits are the engine maker's",
        cautions=(CRANKING, FUEL, ROTATING),
        logs_as="Compression",
        presets=(
            Preset(
                "70 % and 100 psi",
                {"limits": ("100 psi", ""), "share": ("70 %", "")},
                source="Car maker's service manual (2006); the engine maker's figures come first",
            ),
            Preset(
                "75 %",
                {"share": ("75 %", "")},
                source="Three car makers' manuals (1992, 1997, 2012); the engine maker's figure comes first",
            ),
        ),
        example=Example(
            {
                "readings": [("150 psi",), ("145 psi",), ("148 psi",), ("112 psi",)],
                "fuel": "gasoline",
                "layout": "line",
                "share": ("75 %", ""),
                "rise": "10 %",
            },
            expects={"Lowest cylinder": "112 psi", "Lowest to highest": "74.7 %", "Spread": "25.3 %"},
            says="Cylinder 4 is too low: at least 112.5 psi was asked for.",
            source="Computed; the 75 % are those of three car makers' manuals",
        ),
    ),
)
