"""Mechanical tools of valves and bolts."""

from __future__ import annotations

from collections.abc import Sequence

from engineering.amounts import AmountProblem, RangePosition
from engineering.measures import Kind
from engineering.mechanical import (
    Shim,
    choose_shim,
    judge_clearance,
    sizes_in_steps_mm,
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
    Quantity,
    Rows,
    Table,
    Tool,
    ToolProblem,
    Verdict,
    Words,
)
from findings.bench.tools.mechanical_chains import STOPPED
from findings.cautions import CRANKING

_STANDINGS = {RangePosition.BELOW: "too tight", RangePosition.WITHIN: "in range", RangePosition.ABOVE: "too wide"}


def _clearance(given: Given) -> Outcome:
    """Clearances of the valves of one kind, and the shims that would set them."""
    limits = given.band("limits")
    if limits is None or limits.low is None or limits.high is None:
        raise ToolProblem("Enter both limits of the manual.", field="limits")
    if limits.high <= 0:
        raise ToolProblem("Valves that are adjusted have a gap: the upper limit is more than 0.", field="limits")
    sizes, low, high = _sizes(given), limits.low, limits.high
    rows: list[list[float | str | None]] = []
    notes: list[str] = []
    out: list[str] = []
    margins: dict[int, tuple[float, float]] = {}
    for number, (measured, fitted) in zip(given.row_numbers("valves"), given.rows("valves"), strict=True):
        gap = float(measured or 0)
        standing, shim = _valve(number, gap, fitted, limits=(low, high), sizes_mm=sizes)
        margins[number] = (min(gap - low, high - gap) if gap else -1.0, gap)
        fit, then = (shim.thickness_mm, shim.clearance_mm) if shim is not None and shim.is_in_range else (None, None)
        rows.append([str(number), gap, standing, fit, then])
        if standing != "in range":
            out.append(str(number))
        if not gap:
            notes.append(
                f"Valve {number} has no gap at all and may not close, so its true clearance is not known and no shim "
                "is offered: fit a much thinner one, measure again, then choose. Do not run the engine so."
            )
        if shim is not None and not shim.is_in_range:
            notes.append(f"Valve {number}: no shim of the series brings it into range.")
    worst = min(margins, key=lambda number: margins[number][0])
    if any(row[3] is not None for row in rows):
        notes.append("Turn the engine two turns after fitting a shim, and measure again before closing up.")
    main = Figure(
        "Farthest out" if out else "Closest to a limit",
        margins[worst][1],
        "mm",
        like="gap",
        entered=f"valves-{worst - 1}-gap",
    )
    judged = given.judge(main, limits)
    has = f"{judged.shown}, {judged.band} is wanted" if judged.is_out else "no gap at all"
    return Outcome(
        f"Out of range: {_name(out)}. Valve {worst} has {has}." if out else f"Every valve is within {judged.band}.",
        main=main,
        band=limits,
        verdict=Verdict.OUT if out else None,
        notes=notes,
        tables=(_valve_table(rows),),
        condition=", ".join(filter(None, [f"{given.choice('kind')}, valve {worst}", given.words("condition")])),
    )


def _name(valves: Sequence[str]) -> str:
    """Valves in words: "valve 1", "valves 1, 2 and 4"."""
    return f"valve {valves[0]}" if len(valves) == 1 else f"valves {', '.join(valves[:-1])} and {valves[-1]}"


def _valve(
    number: int,
    gap_mm: float,
    fitted_mm: float | None,
    *,
    limits: tuple[float, float],
    sizes_mm: Sequence[float],
) -> tuple[str, Shim | None]:
    """How one valve stands, and the shim to fit where it is out of range and its shim is known."""
    low_mm, high_mm = limits
    if not gap_mm:
        return "no gap", None
    try:
        judged = judge_clearance(measured_mm=gap_mm, least_mm=low_mm, most_mm=high_mm)
        if not judged.off_mm or fitted_mm is None or not sizes_mm:
            return _STANDINGS[judged.standing], None
        shim = choose_shim(
            fitted_shim_mm=fitted_mm, measured_mm=gap_mm, least_mm=low_mm, most_mm=high_mm, sizes_mm=sizes_mm
        )
    except AmountProblem as problem:
        if problem.field in {"measured_mm", "fitted_shim_mm"}:
            raise AmountProblem(problem.sentence, field="measured_mm", row=number) from problem
        raise
    return _STANDINGS[judged.standing], shim


def _valve_table(rows: Sequence[Sequence[float | str | None]]) -> Table:
    return Table(
        "Valve by valve",
        (
            Column("Valve"),
            Column("Clearance", "mm", significant=6, like="gap"),
            Column("Standing"),
            Column("Shim to fit", "mm", significant=4, like="shim"),
            Column("Clearance then", "mm", like="gap"),
        ),
        rows,
    )


def _sizes(given: Given) -> tuple[float, ...]:
    """The shims that can be had; none where the series was left empty."""
    ends = {name: given.number_or_none(name) for name in ("first", "last", "step")}
    missing = [name for name, value in ends.items() if value is None]
    if len(missing) == len(ends):
        return ()
    if missing:
        raise ToolProblem("Enter thinnest, thickest and step, or leave all three empty.", field=missing[0])
    return sizes_in_steps_mm(first_mm=given.number("first"), last_mm=given.number("last"), step_mm=given.number("step"))


TOOLS = (
    Tool(
        slug="valve-clearance",
        title="Valve clearance and shims",
        group=Group.MECHANICAL,
        purpose="Which valves are out of range, and which shims set them.",
        fields=(
            Rows(
                "valves",
                "Valves",
                (
                    Quantity("gap", "Clearance", Kind.LENGTH, "mm", us="in", metric="mm", least=0, most=3),
                    Quantity(
                        "shim", "Fitted shim", Kind.LENGTH, "mm", us="mm", metric="mm", required=False, least=0, most=10
                    ),
                ),
                argument="measured_mm",
                row_label="Valve",
                start=4,
                most=48,
                hint="Valves of one kind; leave the shim empty where nothing is to be changed.",
            ),
            Choice("kind", "Valves", (("intake", "Intake"), ("exhaust", "Exhaust"))),
            Bounds(
                "limits",
                "Clearance",
                Kind.LENGTH,
                "mm",
                parameter="Valve clearance",
                us="in",
                metric="mm",
                argument="least_mm",
            ),
            Quantity(
                "first",
                "Thinnest shim",
                Kind.LENGTH,
                "mm",
                us="mm",
                metric="mm",
                required=False,
                argument="first_mm",
                section="Shims that can be had",
                width="third",
            ),
            Quantity(
                "last",
                "Thickest shim",
                Kind.LENGTH,
                "mm",
                us="mm",
                metric="mm",
                required=False,
                argument="last_mm",
                section="Shims that can be had",
                width="third",
            ),
            Quantity(
                "step",
                "In steps of",
                Kind.LENGTH,
                "mm",
                us="mm",
                metric="mm",
                required=False,
                argument="step_mm",
                section="Shims that can be had",
                width="third",
            ),
            Words("condition", "Condition", required=False, hint="Such as: cold."),
        ),
        work=_clearance,
        formula="new shim = fitted shim + measured clearance − middle of the limits, the nearest that can be had",
        source="Engine makers' manuals, N = T + (A − V); the limits are the engine maker's",
        cautions=(STOPPED, CRANKING),
        logs_as="Valve clearance",
        example=Example(
            {
                "valves": [("0.25 mm", "2.80 mm"), ("0.45 mm", "2.80 mm")],
                "kind": "intake",
                "limits": ("0.20 mm", "0.30 mm"),
                "first": "2.50 mm",
                "last": "3.30 mm",
                "step": "0.05 mm",
            },
            expects={"Farthest out": "0.45 mm"},
            says="Out of range: valve 2.",
            source="Engine repair manual (2003), its example: 0.45 measured, shim 2.80, new shim 3.00",
        ),
    ),
)
