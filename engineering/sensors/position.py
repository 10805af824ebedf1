"""Position sensors (throttle, pedal, trim): supply, ground and signal, step by step with a meter."""

from dataclasses import dataclass

from engineering.amounts import AmountProblem, require_band, require_not_negative, require_number, require_positive


@dataclass(frozen=True, slots=True)
class PositionLimits:
    """What the checks judge by. All of it can be handed in; the maker's manual comes before any default.

    Supply from 4.75 to 5.25 V, at most 1 Ω from the sensor's ground to battery negative, and a signal from 4 to 96 %
    of the supply (0.2 to 4.8 V of 5 V): common practice, no source. At most 0.2 V lost on the ground with the key on:
    an automotive engine performance textbook, chapter on throttle position sensors. Raises
    :class:`engineering.amounts.AmountProblem` for limits that contradict each other.
    """

    supply_low_v: float = 4.75
    supply_high_v: float = 5.25
    ground_drop_v: float = 0.2
    ground_ohm: float = 1.0
    fault_low_fraction: float = 0.04
    fault_high_fraction: float = 0.96

    def __post_init__(self) -> None:
        """Refuse limits that nothing could meet."""
        require_positive("supply_low_v", self.supply_low_v, "The lowest supply")
        require_band("supply_low_v", self.supply_low_v, "supply_high_v", self.supply_high_v, "the supply")
        require_positive("ground_drop_v", self.ground_drop_v, "The voltage allowed on the ground")
        require_positive("ground_ohm", self.ground_ohm, "The resistance allowed on the ground")
        require_not_negative("fault_low_fraction", self.fault_low_fraction, "The lowest share of the supply")
        require_band(
            "fault_low_fraction", self.fault_low_fraction, "fault_high_fraction", self.fault_high_fraction, "the signal"
        )


USUAL_LIMITS = PositionLimits()


@dataclass(frozen=True, slots=True)
class Check:
    """One step of a test: what was looked at, whether it is good, and what that means."""

    subject: str
    is_good: bool
    sentence: str


def supply_check(supply_v: float, limits: PositionLimits = USUAL_LIMITS) -> Check:
    """The supply wire, in volts to battery negative: key on, connector unplugged, where 5 V are expected.

    Raises :class:`engineering.amounts.AmountProblem` for what is no voltage. Common practice, no source.
    """
    require_number("supply_v", supply_v, "The supply voltage")
    if supply_v < 0:
        raise AmountProblem("Below zero: the meter's leads are swapped, or the pin is the wrong one.", field="supply_v")
    if supply_v > limits.supply_high_v:
        said = "Too high: the supply wire touches battery voltage or another circuit. Leave the sensor unplugged."
    elif supply_v >= limits.supply_low_v:
        return Check("Supply", True, "The control unit feeds the sensor as it should.")
    elif supply_v >= limits.supply_low_v / 2:
        said = (
            "Too low: resistance in the wire, or another sensor on the same supply pulls it down; unplug those in turn."
        )
    else:
        said = (
            "No supply: open wire, a short on a supply shared with other sensors (unplug those in turn), or a control "
            "unit without power or ground."
        )
    return Check("Supply", False, said)


def ground_drop_check(drop_v: float, limits: PositionLimits = USUAL_LIMITS) -> Check:
    """The ground wire under its own current, in volts to battery negative.

    Key on, connector plugged in, probed from behind; the sign does not matter. Raises
    :class:`engineering.amounts.AmountProblem` for what is no voltage. Source of the usual limit: see
    :class:`PositionLimits`; the procedure is common practice, no source.
    """
    require_number("drop_v", drop_v, "The voltage on the ground wire")
    if abs(drop_v) <= limits.ground_drop_v:
        return Check("Ground under current", True, "The ground wire loses no more than it may.")
    return Check(
        "Ground under current",
        False,
        "The ground wire loses too much: follow it through connector, splice and control unit to battery negative.",
    )


def ground_resistance_check(resistance_ohm: float, limits: PositionLimits = USUAL_LIMITS) -> Check:
    """The ground wire to battery negative, in ohms: key off, connector unplugged, less what the leads themselves have.

    A low resistance alone does not prove a ground: one strand left carries a meter's current. Raises
    :class:`engineering.amounts.AmountProblem` for what is no resistance. Common practice, no source.
    """
    require_not_negative("resistance_ohm", resistance_ohm, "The resistance")
    if resistance_ohm <= limits.ground_ohm:
        return Check(
            "Ground at rest", True, "The ground wire reaches battery negative; prove it under current as well."
        )
    return Check("Ground at rest", False, "Open or corroded on the way to battery negative.")


def signal_check(signal_v: float, *, supply_v: float, limits: PositionLimits = USUAL_LIMITS) -> Check:
    """The signal wire, in volts: key on, connector plugged in, by the supply measured at the same time.

    Raises :class:`engineering.amounts.AmountProblem` for what is no voltage. Common practice, no source.
    """
    require_positive("supply_v", supply_v, "The supply voltage")
    require_not_negative("signal_v", signal_v, "The signal voltage")
    share = signal_v / supply_v
    if share < limits.fault_low_fraction:
        return Check(
            "Signal", False, "At ground: the signal wire is open or shorted to ground, or the supply is missing."
        )
    if share > _ABOVE_SUPPLY:
        return Check(
            "Signal",
            False,
            "Above its supply: the wire touches a higher voltage, or the supply is not what was entered; measure both "
            "at once.",
        )
    if share > limits.fault_high_fraction:
        return Check("Signal", False, "At its supply: the sensor's ground is open, or the wire touches a supply.")
    return Check("Signal", True, "The signal is where a sensor's can be.")


_ABOVE_SUPPLY = 1.02
"""Share of the supply that no sensor on it gives; two readings of one meter differ by less. Common practice."""


def travel_fraction(signal_v: float, *, rest_v: float, end_v: float) -> float:
    """How far along its travel a sensor is, 0 at rest and 1 at its end, from volts; a falling signal works as well.

    Below 0 and above 1 the sensor is past the ends that were given. Raises
    :class:`engineering.amounts.AmountProblem` where the ends are the same. Common practice, no source.
    """
    for field, value in (("signal_v", signal_v), ("rest_v", rest_v), ("end_v", end_v)):
        require_number(field, value, "The voltage")
    if rest_v == end_v:
        raise AmountProblem("The voltages at both ends of the travel are the same.", field="end_v")
    return (signal_v - rest_v) / (end_v - rest_v)
