"""Mechanical tools: a compression set."""

from __future__ import annotations

from engineering.amounts import AmountProblem
from engineering.measures import Kind
from engineering.mechanical import (
    CompressionRule,
    CompressionSet,
    judge_compression,
    name_cylinders,
)
from findings.bench.cautions import (
    CRANKING,
    FUEL,
    ROTATING,
)
from findings.bench.tool import (
    Band,
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
    Words,
)

LAYOUTS = (
    ("line", "In line: 1, 2, 3 …"),
    ("odd-even", "V or flat: odd and even banks"),
    ("halves", "V or flat: first half and second half"),
)


def _banks(layout: str, count: int) -> list[list[int]]:
    """The cylinders of each bank in their order along it."""
    numbers = list(range(1, count + 1))
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
    )
    count = len(judged.cylinders)
    main = Figure("Lowest cylinder", judged.lowest_kpa, "kPa", like="dry")
    return Outcome(
        _compression_sentence(given, judged),
        main=main,
        figures=(
            Figure("Highest cylinder", judged.highest_kpa, "kPa", like="dry"),
            Figure("Lowest to highest", 100 * judged.share, "%", decimals=1),
            Figure("Spread", 100 * judged.spread, "%", decimals=1),
        ),
        band=Band(judged.lowest_allowed_kpa, None, "kPa", source=_rule_source(limits, share, judged.highest_kpa)),
        verdict=None if judged.passes else Verdict.OUT,
        notes=[suggestion.sentence for suggestion in judged.suggestions],
        tables=(_compression_table(judged),) if count > 1 else (),
        condition=", ".join(filter(None, [f"lowest of {count}" if count > 1 else "", given.words("condition")])),
    )


def _compression_sentence(given: Given, judged: CompressionSet) -> str:
    allowed = given.show(judged.lowest_allowed_kpa, "kPa", like="dry", significant=4)
    if judged.low:
        verb = "is" if len(judged.low) == 1 else "are"
        return f"{name_cylinders(judged.low).capitalize()} {verb} too low: at least {allowed} was asked for."
    if not judged.passes:
        high = [cylinder.number for cylinder in judged.cylinders if cylinder.above_most]
        verb = "is" if len(high) == 1 else "are"
        return f"{name_cylinders(high).capitalize()} {verb} higher than the manual allows."
    return f"Every cylinder meets the rule: at least {allowed} was asked for."


def _rule_source(limits: Band | None, share: Band | None, highest_kpa: float) -> str:
    """Which document the lowest allowed compression is from: that of the stricter rule."""
    by_share = (share.low or 0) / 100 * highest_kpa if share is not None else 0
    by_limit = (limits.low or 0) if limits is not None else 0
    if share is not None and by_share >= by_limit:
        return f"share of the highest cylinder, {share.source}"
    return f"least compression, {limits.source if limits is not None else 'as typed'}"


def _compression_table(judged: CompressionSet) -> Table:
    """Every cylinder; the column of wet readings only where there are any, so that the table fits a phone."""
    wet = [Column("With oil", "kPa", like="dry")] if any(one.wet_kpa is not None for one in judged.cylinders) else []
    rows: list[list[float | str | None]] = []
    for cylinder in judged.cylinders:
        standing = "low" if cylinder.is_low else "high" if cylinder.above_most else "passes"
        with_oil = [cylinder.wet_kpa] if wet else []
        rows.append([str(cylinder.number), cylinder.dry_kpa, *with_oil, standing, 100 * cylinder.share])
    columns = (Column("Cylinder"), Column("Dry", "kPa", like="dry"), *wet, Column("Standing"))
    return Table("Cylinder by cylinder", (*columns, Column("Of the highest", "%", decimals=1)), rows)


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
                    Quantity("dry", "Dry", Kind.PRESSURE, "kPa", argument="dry_kpa"),
                    Quantity("wet", "With oil", Kind.PRESSURE, "kPa", required=False, argument="wet_kpa"),
                ),
                argument="dry_kpa",
                row_label="Cylinder",
                start=8,
                most=24,
                hint="Leave “with oil” empty where you did not try it.",
            ),
            Choice("layout", "Cylinders", LAYOUTS, default="line", hint="Neighbors share a piece of head gasket."),
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
