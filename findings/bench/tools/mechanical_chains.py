"""Mechanical tools of chains."""

from __future__ import annotations

from engineering.measures import Kind
from engineering.mechanical import (
    ChainWear,
    judge_elongation,
    judge_slack,
    most_elongation,
    nominal_length_mm,
)
from findings.bench.tool import (
    Band,
    Bounds,
    Choice,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Preset,
    Quantity,
    Tool,
    ToolProblem,
    Verdict,
    Whole,
    Words,
)
from findings.cautions import ROTATING

STOPPED = "Take the key or lanyard out, so that nobody can start the engine, and turn it by hand only."


_MOST_ELONGATION = 0.06
"""Twice of what any maker allows. Common practice, no source."""
_READING_ERROR = 0.003
"""A new chain may measure so much short; more is a slip that nothing judges. Common practice, no source."""


def _slack(given: Given) -> Outcome:
    """Deflection of a chain against its limit."""
    deflection, limits = given.number("deflection"), given.band("limits")
    main = Figure("Chain deflection", deflection, "mm", like="deflection", entered="deflection")
    judged = given.judge(main, limits)
    condition = given.words("condition")
    if not deflection:
        return Outcome(
            "The chain has no slack at all: it is too tight, or this was not measured where it can move.",
            main=main,
            not_judged="a chain without any slack runs too tight; measure again in the middle of the free span",
            condition=condition,
        )
    if limits is None or limits.high is None:
        return Outcome(f"{judged.shown} of deflection, with no limit to compare with.", main=main, condition=condition)
    slack = judge_slack(deflection_mm=deflection, most_mm=limits.high)
    return Outcome(f"{slack.sentence} {judged.shown} was measured.", main=main, band=limits, condition=condition)


def _elongation(given: Given) -> Outcome:
    """How much longer than new a chain has become."""
    nominal = nominal_length_mm(pitch_mm=given.number("pitch"), links=given.whole("links"))
    limits, teeth = given.band("limits"), given.whole_or_none("teeth")
    if limits is None and teeth is None:
        raise ToolProblem("Enter the manual's limit, or the teeth of the larger sprocket.", field="limits")
    band = limits
    unsaid = ""
    if band is None or band.high is None:
        if not given.choice("centers"):
            unsaid = " Centers not said: worst case taken, fixed."
        is_fixed = given.choice("centers") != "adjustable"
        most = most_elongation(largest_sprocket_teeth=teeth or 0, fixed_centers=is_fixed)
        band = Band(None, 100 * most, "%", source="roller-chain makers' guides, which cite ANSI B29.1")
    most = (band.high or 0) / 100
    wear = judge_elongation(measured_mm=given.number("measured"), nominal_mm=nominal, most=most)
    if most > _MOST_ELONGATION:
        raise ToolProblem("No chain may get so much longer: makers allow 1.5 to 3 %.", field="limits")
    main = Figure("Chain elongation", 100 * wear.fraction, "%", decimals=_decimals(wear, most))
    judged = given.judge(main, band)
    longer = "longer" if wear.fraction >= 0 else "shorter"
    is_short = wear.fraction <= -_READING_ERROR
    by = given.show(100 * abs(wear.fraction), "%", decimals=max(2, -int(judged.measure.value.as_tuple().exponent)))
    is_new = not is_short and wear.fraction < 0
    links = given.number("measured") / given.number("pitch")
    is_miscounted = (
        wear.needs_new_set and abs(links - round(links)) < _READING_ERROR and round(links) == given.whole("links") + 1
    )
    return Outcome(
        f"No wear to be measured.{unsaid}" if is_new else f"{wear.sentence} It is {by} {longer} than new.{unsaid}",
        main=main,
        figures=(
            Figure("Length when new", nominal, "mm", significant=5, like="measured"),
            Figure("Worn out at", nominal * (1 + most), "mm", significant=5, like="measured"),
        ),
        band=None if is_short else band,
        not_judged="it measures shorter than new; count the links again" if is_short else "",
        verdict=Verdict.OUT if wear.needs_new_set else None,
        notes=[f"That is just the length of {round(links)} links when new: count them again first."]
        if is_miscounted
        else [],
    )


def _decimals(wear: ChainWear, most: float) -> int:
    """As many as show a chain that is not worn out as less than its limit, which is worn out itself."""
    if wear.needs_new_set:
        return 2
    return next((places for places in (2, 3) if round(100 * wear.fraction, places) < 100 * most), 4)


TOOLS = (
    Tool(
        slug="chain-slack",
        title="Chain slack",
        group=Group.MECHANICAL,
        purpose="A chain's deflection against its limit.",
        fields=(
            Quantity(
                "deflection",
                "Deflection",
                Kind.LENGTH,
                "mm",
                us="in",
                metric="mm",
                argument="deflection_mm",
                least=0,
                most=300,
                hint="In the middle of the span, slack taken up on the other side.",
            ),
            Bounds(
                "limits",
                "Deflection",
                Kind.LENGTH,
                "mm",
                parameter="Chain deflection",
                sides="high",
                us="in",
                metric="mm",
                argument="most_mm",
            ),
            Words("condition", "Which chain", required=False),
        ),
        work=_slack,
        formula="deflection ≤ limit; more means a new set",
        source="Common practice, no source; the limit is the engine maker's",
        cautions=(ROTATING, STOPPED),
        logs_as="Chain deflection",
        presets=(
            Preset("A chain with a limit of 11 mm", {"limits": ("", "11 mm")}, source="Common practice, no source"),
        ),
        example=Example(
            {"deflection": "0.811 in", "limits": ("", "0.810 in")},
            expects={"Chain deflection": "0.811 in"},
            says="fit a new set",
            source="TM 9-2815-237-34, 2-15: total deflection must not exceed 0.810 in",
        ),
    ),
    Tool(
        slug="chain-elongation",
        title="Chain elongation",
        group=Group.MECHANICAL,
        purpose="How worn a roller chain is, by its length.",
        fields=(
            Quantity(
                "measured",
                "Measured length",
                Kind.LENGTH,
                "mm",
                argument="measured_mm",
                least=0,
                most=20_000,
                hint="Pulled tight, pin to pin, over as many links as you can.",
            ),
            Whole("links", "Links in that length", least=1, most=10_000),
            Quantity(
                "pitch",
                "Pitch when new",
                Kind.LENGTH,
                "mm",
                argument="pitch_mm",
                least=0,
                most=200,
                hint="One link, pin to pin.",
            ),
            Bounds(
                "limits",
                "Elongation",
                Kind.PERCENT,
                "%",
                parameter="Chain elongation",
                sides="high",
                argument="most",
                section="Limit",
            ),
            Whole(
                "teeth",
                "Teeth of the larger sprocket",
                required=False,
                least=1,
                most=1000,
                argument="largest_sprocket_teeth",
                section="Limit",
                hint="Counts where no limit is given.",
            ),
            Choice(
                "centers",
                "Centers",
                (("adjustable", "Adjustable"), ("fixed", "Fixed")),
                required=False,
                section="Limit",
                hint="Open: the worst is taken, fixed.",
            ),
        ),
        work=_elongation,
        formula="measured / (links × pitch) − 1; worn out at 3 % or 200 / teeth %, on fixed centers at 1.5 %",
        source="Roller-chain makers' guides, which cite ANSI B29.1; the engine maker's limit comes first",
        cautions=(ROTATING, STOPPED),
        is_of_instruments=True,
        logs_as="Chain elongation",
        example=Example(
            {"measured": "24.75 in", "links": "24", "pitch": "1 in", "teeth": "40", "centers": "adjustable"},
            expects={"Chain elongation": "3.13 %", "Length when new": "24 in", "Worn out at": "24.72 in"},
            says="Worn out",
            source="A chain seller's page, its example",
        ),
    ),
)
