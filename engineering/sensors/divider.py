"""A resistive sensor read as a voltage: the control unit's pull-up resistor above it, the sensor to ground below."""

from engineering.amounts import AmountProblem, require_not_negative, require_positive


def resistance_from_voltage(signal_v: float, *, supply_v: float, pull_up_ohm: float) -> float:
    """The sensor's resistance in ohms: R = Rp·V/(Vs − V), volts and ohms.

    ``supply_v`` is what the control unit feeds, measured and not assumed. Raises :class:`AmountProblem` where the
    signal is at its supply (open circuit) or at ground (short), or a value is no measurement.
    Source: the voltage divider rule.
    """
    require_positive("supply_v", supply_v, "The supply voltage")
    require_positive("pull_up_ohm", pull_up_ohm, "The pull-up resistor")
    require_not_negative("signal_v", signal_v, "The signal voltage")
    if signal_v == 0:
        raise AmountProblem("0 V: the signal is shorted to ground, or the supply is missing.", field="signal_v")
    if signal_v > supply_v:
        raise AmountProblem(
            f"{signal_v:g} V is above the supply of {supply_v:g} V: the signal wire touches another supply, "
            "or the supply was measured elsewhere.",
            field="signal_v",
        )
    if signal_v == supply_v:
        raise AmountProblem(
            f"{signal_v:g} V is the whole supply: the circuit is open (sensor, connector, wire or ground).",
            field="signal_v",
        )
    return pull_up_ohm * signal_v / (supply_v - signal_v)


def voltage_from_resistance(resistance_ohm: float, *, supply_v: float, pull_up_ohm: float) -> float:
    """The voltage to expect at the signal wire: V = Vs·R/(Rp + R), volts and ohms. Zero ohms is a short: 0 V.

    Raises :class:`AmountProblem` where a value is no measurement. Source: the voltage divider rule.
    """
    require_positive("supply_v", supply_v, "The supply voltage")
    require_positive("pull_up_ohm", pull_up_ohm, "The pull-up resistor")
    require_not_negative("resistance_ohm", resistance_ohm, "The resistance")
    return supply_v * resistance_ohm / (pull_up_ohm + resistance_ohm)
