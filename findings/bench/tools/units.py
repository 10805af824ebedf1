"""Units: one value in every unit of its kind."""

from __future__ import annotations

from decimal import Decimal

from engineering.measures import UNITS, Kind, convert, parse_measure, preferred_unit, to_si, units_of
from findings.bench.tool import Choice, Column, Example, Given, Group, Outcome, Table, Tool, ToolProblem, Words

_KINDS = tuple(kind for kind in Kind if len(units_of(kind)) > 1)


def _convert(given: Given) -> Outcome:
    """One value in every other unit of its kind."""
    measure = parse_measure(given.words("value"), default_unit=given.choice("unit"))
    kind = UNITS[measure.unit].kind
    if kind is Kind.TEMPERATURE and to_si(measure.value, measure.unit) < Decimal(0):
        raise ToolProblem("Nothing is colder than absolute zero.", field="value")

    def shown(unit: str) -> str:
        value = float(convert(measure.value, measure.unit, unit))
        return given.show(value, unit, significant=6, us=unit, metric=unit)

    usual = preferred_unit(kind, given.system)
    if usual == measure.unit:
        usual = preferred_unit(kind, "metric" if given.system == "us" else "us")
    if usual == measure.unit:
        usual = next(unit.key for unit in units_of(kind) if unit.key != measure.unit)
    rows = [(unit.label, shown(unit.key)) for unit in units_of(kind) if unit.key != measure.unit]
    return Outcome(
        f"{shown(measure.unit)} is {shown(usual)}.",
        tables=(Table(f"{shown(measure.unit)} in other units", (Column("Unit"), Column("Value")), rows),),
    )


TOOLS = (
    Tool(
        slug="units",
        title="Unit converter",
        group=Group.UNITS,
        purpose="One value in every unit of its kind.",
        fields=(
            Words("value", "Value", keys="decimal", hint="Such as 13,4 or 1 1/8; a unit may follow: 1/8 in."),
            Choice(
                "unit",
                "Unit",
                [(unit.key, f"{unit.label} · {kind.value}") for kind in _KINDS for unit in units_of(kind)],
                default="psi",
            ),
        ),
        work=_convert,
        formula="value in SI = value × factor + offset, both exact; then back into the other unit",
        source="NIST Special Publication 811 (2008), Appendix B; factors as Pint has them",
        is_logged=False,
        example=Example(
            {"value": "2.5 inHg", "unit": "inHg"},
            says="2.5 inHg is 1.22789 psi.",
            source="1 inHg at 0 °C = 3.386389 kPa and 1 psi = 6.894757 kPa: NIST SP 811, Appendix B.8",
        ),
    ),
)
