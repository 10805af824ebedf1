"""Propulsion tools: power, torque and fuel burn."""

from __future__ import annotations

from engineering.measures import Kind
from engineering.propulsion import (
    power_kw,
    torque_nm,
)
from findings.bench.tool import (
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Quantity,
    Tool,
    ToolProblem,
)
from findings.bench.tools.propulsion import rpm_words
from findings.cautions import CARBON_MONOXIDE, ROTATING


def _power(given: Given) -> Outcome:
    """Power from torque, or torque from power."""
    rpm = given.number("revs")
    torque, power = given.number_or_none("torque"), given.number_or_none("power")
    if (torque is None) == (power is None):
        raise ToolProblem("Fill in the torque or the power, and leave the other empty.", field="torque")
    if torque is not None:
        made = power_kw(torque_nm=torque, rpm=rpm)
        _refuse_beyond_a_boat(made, _MOST_KW)
        typed = given.show(torque, "N.m", like="torque", entered="torque")
        return Outcome(
            f"{typed} at {rpm_words(given, rpm)} is {given.show(made, 'kW')}.",
            main=Figure("Power", made, "kW"),
            condition=rpm_words(given, rpm),
            logs_as="Shaft power",
        )
    made = torque_nm(power_kw=power or 0.0, rpm=rpm)
    _refuse_beyond_a_boat(made, _MOST_NM)
    typed = given.show(power or 0.0, "kW", like="power", entered="power")
    return Outcome(
        f"{typed} at {rpm_words(given, rpm)} takes {given.show(made, 'N.m')}.",
        main=Figure("Torque", made, "N.m"),
        condition=rpm_words(given, rpm),
        logs_as="Shaft torque",
    )


_MOST_KW, _MOST_NM = 5000.0, 20_000.0
"""The most that may be typed is the most that may come out."""


def _refuse_beyond_a_boat(made: float, most: float) -> None:
    if made > most:
        raise ToolProblem("These figures make more than any engine here has. Check both with their units.", field="rpm")


TOOLS = (
    Tool(
        slug="power-and-torque",
        title="Power and torque",
        group=Group.PROPULSION,
        purpose="Power from torque at a speed, or torque from power.",
        fields=(
            Quantity("revs", "Speed", Kind.ROTATION, "rpm", argument="rpm", least=0, most=20_000),
            Quantity(
                "torque",
                "Torque",
                Kind.TORQUE,
                "N.m",
                required=False,
                argument="torque_nm",
                least=0,
                most=_MOST_NM,
                hint="This or the power.",
            ),
            Quantity("power", "Power", Kind.POWER, "kW", required=False, argument="power_kw", least=0, most=_MOST_KW),
        ),
        work=_power,
        formula="power = torque × 2π × speed; hp = lbf·ft × rpm / 5252",
        source="Definition of power; a horsepower is 550 ft·lbf/s",
        cautions=(ROTATING, CARBON_MONOXIDE),
        logs_as="Shaft power",
        example=Example(
            {"revs": "6200 rpm", "power": "300 hp"},
            expects={"Torque": "254 ft·lbf"},
            source="A tuner's page of formulas, its example",
        ),
    ),
)
