"""Sensor tools: ratiometric transducers, 4–20 mA loops and sensors on a pull-up resistor."""

from __future__ import annotations

from decimal import Decimal

from engineering.measures import UNITS, Kind, preferred_unit, units_of
from engineering.plausible import beyond_a_boat
from engineering.sensors.bands import Band as SignalBand
from engineering.sensors.bands import TransducerReading
from engineering.sensors.current_loop import CurrentLoop
from engineering.sensors.divider import resistance_from_voltage, voltage_from_resistance
from engineering.sensors.ratiometric import RatiometricTransducer
from findings.bench.tool import (
    Choice,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Quantity,
    Told,
    Tool,
    ToolProblem,
    Verdict,
)
from findings.cautions import FUEL_PRESSURE, HOT_COOLANT, ROTATING

_MEASURABLE: tuple[tuple[str, Kind], ...] = (
    ("Oil pressure", Kind.PRESSURE),
    ("Fuel pressure", Kind.PRESSURE),
    ("Boost pressure", Kind.PRESSURE),
    ("Coolant pressure", Kind.PRESSURE),
    ("Gear oil pressure", Kind.PRESSURE),
    ("Exhaust back-pressure", Kind.PRESSURE),
    ("Raw water pump pressure", Kind.PRESSURE),
    ("Coolant temperature", Kind.TEMPERATURE),
    ("Oil temperature", Kind.TEMPERATURE),
    ("Exhaust gas temperature", Kind.TEMPERATURE),
    ("Fluid level", Kind.PERCENT),
    ("Fuel rate", Kind.FLOW),
)
_KINDS = (Kind.PRESSURE, Kind.TEMPERATURE, Kind.PERCENT, Kind.FLOW, Kind.LENGTH, Kind.VOLUME)
_VERDICTS = {
    SignalBand.FAULT_LOW: Verdict.OUT,
    SignalBand.FAULT_HIGH: Verdict.OUT,
    SignalBand.DOUBTFUL_LOW: Verdict.NEAR,
    SignalBand.DOUBTFUL_HIGH: Verdict.NEAR,
}

_WHAT = Choice(
    "measures", "What it measures", [(name, name) for name, _ in _MEASURABLE],
    required=False, section="Range", hint="Logs the value as a reading of it; without it as a note.",
)  # fmt: skip
_UNITS = [(unit.key, f"{unit.label} · {kind.value}") for kind in _KINDS for unit in units_of(kind)]
_UNIT = Choice(
    "unit", "Unit of the range", _UNITS,
    default=lambda at: Prefill(preferred_unit(Kind.PRESSURE, at.system)), section="Range",
)  # fmt: skip


def _end(name: str, label: str) -> Quantity:
    return Quantity(name, label, argument=f"{name}_value", section="Range")


_KNOWN = Quantity(
    "known", "True value", argument="value", required=False, section="Measured",
    hint="By a gauge beside it, in the unit of the range.",
)  # fmt: skip


def _ratiometric(given: Given) -> Outcome:
    if given.number("margin") > _MOST_MARGIN:
        raise ToolProblem("A margin of more than a fifth of the supply finds no fault.", field="margin")
    transducer = RatiometricTransducer(
        given.number("low"),
        given.number("high"),
        low_fraction=given.number("low_share") / 100,
        high_fraction=given.number("high_share") / 100,
        fault_margin=given.number("margin") / 100,
    )
    supply_v, signal_v, known = given.number("supply"), given.number_or_none("signal"), given.number_or_none("known")
    expected = None
    if known is not None:
        expected = Figure("Signal to expect", transducer.signal_v(known, supply_v=supply_v), "V", significant=4)
    if signal_v is None:
        return _only_expected(given, expected, "signal")
    reading = transducer.read(signal_v, supply_v=supply_v)
    signal = Figure("Signal", signal_v, "V", significant=4)
    return _outcome(given, reading, signal, expected, share=signal_v / supply_v * 100)


def _loop(given: Given) -> Outcome:
    loop = CurrentLoop(given.number("low"), given.number("high"))
    current_ma, known = given.number_or_none("current"), given.number_or_none("known")
    expected = None
    if known is not None:
        expected = Figure("Current to expect", loop.current_ma(known), "mA", significant=4, us="mA", metric="mA")
    if current_ma is None:
        return _only_expected(given, expected, "current")
    signal = Figure("Current", current_ma, "mA", significant=4, us="mA", metric="mA")
    return _outcome(given, loop.read(current_ma), signal, expected)


def _only_expected(given: Given, expected: Figure | None, field: str) -> Outcome:
    if expected is None:
        raise ToolProblem("Enter the signal, the true value, or both.", field=field)
    value = _in_range_unit(given, given.number("known"))
    shown = given.show(expected.value, expected.unit, significant=4, us=expected.unit, metric=expected.unit)
    return Outcome(f"At {value} the transducer should give {shown}.", main=expected)


def _outcome(
    given: Given, reading: TransducerReading, signal: Figure, expected: Figure | None, *, share: float | None = None
) -> Outcome:
    """What a signal says: the value that it stands for, or the fault."""
    logs_as = _logged_as(given)
    figures: list[Figure | Told] = [Told("Band", reading.band.value)]
    if share is not None:
        figures.append(Figure("Share of the supply", share, "%"))
    if expected is not None:
        figures.append(expected)
    shown = given.show(signal.value, signal.unit, significant=4, us=signal.unit, metric=signal.unit)
    if reading.value is None:
        return Outcome(
            f"{shown} stands for no value. {reading.sentence}",
            main=signal,
            figures=figures,
            verdict=_VERDICTS[reading.band],
        )
    unit = given.choice("unit")
    value = _in_range_unit(given, reading.value)
    sentence = f"{shown} stands for {value}."
    doubt = "" if reading.band is SignalBand.IN_RANGE else "the signal lies outside of the transducer's range"
    known = given.number_or_none("known")
    if known is not None:
        span = abs(given.number("high") - given.number("low"))
        off = (reading.value - known) / span * 100
        way = "above" if off > 0 else "below"
        sentence = f"{shown} stands for {value}, {abs(off):.2g} % of the range {way} the true value."
        if not doubt and abs(off) > _MOST_OFF:
            doubt = "the transducer is off the true value, which is the one to judge"
        if abs(off) < 0.05:
            sentence = f"{shown} stands for {value}, as the true value is."
    is_inside = reading.band is SignalBand.IN_RANGE
    notes = [] if is_inside else [reading.sentence]
    beyond = beyond_a_boat(Decimal(repr(reading.value)), unit)
    if beyond:
        raise ToolProblem(f"Range and signal make {beyond[0].lower()}{beyond[1:]}", field="high")
    return Outcome(
        sentence,
        not_judged=doubt,
        main=Figure("Value", reading.value, unit, significant=4, us=unit, metric=unit),
        figures=(signal, *figures),
        notes=notes,
        logs_as=logs_as,
    )


_MOST_OFF, _MOST_MARGIN = 2.0, 20.0
"""Percent of the range by which transducer and gauge may differ, and of the supply beyond which a signal is a fault.
Common practice, no source."""


def _in_range_unit(given: Given, value: float) -> str:
    unit = given.choice("unit")
    return given.show(value, unit, significant=4, us=unit, metric=unit)


def _logged_as(given: Given) -> str:
    """The parameter to log as, which must be measured in the unit of the range."""
    name, unit = given.choice("measures"), UNITS[given.choice("unit")]
    if name and dict(_MEASURABLE)[name] is not unit.kind:
        raise ToolProblem(
            f"{name} is not measured in {unit.label}. Choose another unit or leave this open.", field="unit"
        )
    return name


_TELLS = (0.02, 0.98)
"""Share of the supply between which a divider tells the resistance well enough. Common practice, no source."""


def _divider(given: Given) -> Outcome:
    """A signal voltage as a resistance, and a resistance as a signal voltage."""
    supply_v, pull_up_ohm = given.number("supply"), given.number("pull_up")
    signal_v, known_ohm = given.number_or_none("signal"), given.number_or_none("known")
    if signal_v is None and known_ohm is None:
        raise ToolProblem("Enter the signal voltage, or a resistance to expect.", field="signal")
    figures = []
    if known_ohm is not None:
        volts = voltage_from_resistance(known_ohm, supply_v=supply_v, pull_up_ohm=pull_up_ohm)
        expected = Figure("Signal to expect", volts, "V")
        sentence = f"{given.show(known_ohm, 'ohm', significant=4, like='known')} gives {given.show(volts, 'V')}."
        if signal_v is None:
            return Outcome(sentence, main=expected)
        figures.append(expected)
    volts = signal_v or 0.0
    share = volts / supply_v if supply_v > 0 else 0.0
    notes = []
    if not _TELLS[0] <= share <= _TELLS[1]:
        notes.append(
            "So close to ground or to the supply the signal hardly tells the resistance: look for a short, or an open "
            "sensor, wire or ground."
        )
    ohm = resistance_from_voltage(volts, supply_v=supply_v, pull_up_ohm=pull_up_ohm)
    beside = ""
    if known_ohm and not notes:
        off = (ohm / known_ohm - 1) * 100
        to_expect = given.show(known_ohm, "ohm", significant=4, like="known")
        way = f"{abs(off):.0f} % {'more' if off > 0 else 'less'} than" if round(abs(off)) else "as"
        beside = f", {way} the {to_expect} to expect"
    return Outcome(
        f"{given.show(volts, 'V', significant=4)} at a supply of {given.show(supply_v, 'V')} is a sensor of "
        f"{given.show(ohm, 'ohm', significant=4, like='known')}{beside}.",
        main=Figure("Sensor resistance", ohm, "ohm", significant=4, like="known"),
        figures=figures,
        notes=notes,
        not_judged="so close to the end of its range the signal does not tell" if notes else "",
        logs_as="Sensor resistance",
        condition="from its signal voltage",
    )


TOOLS = (
    Tool(
        slug="ratiometric-transducer",
        title="Transducer, share of its supply",
        group=Group.SENSORS,
        purpose="The value behind a signal such as 0.5 to 4.5 V of 5 V, by the supply as measured; and back.",
        fields=(
            _WHAT,
            _UNIT,
            _end("low", "Value at the lowest signal"),
            _end("high", "Value at the highest signal"),
            Quantity("low_share", "Lowest signal", Kind.PERCENT, "%", argument="low_fraction", default="10 %",
                     section="Signal, of the supply", width="third"),
            Quantity("high_share", "Highest signal", Kind.PERCENT, "%", argument="high_fraction", default="90 %",
                     section="Signal, of the supply", width="third"),
            Quantity("margin", "Beyond it a fault by", Kind.PERCENT, "%", argument="fault_margin", default="5 %",
                     section="Signal, of the supply", width="third", hint="Common practice; take the maker's."),
            Quantity("supply", "Supply", Kind.VOLTAGE, "V", argument="supply_v", section="Measured", least=0, most=50,
                     hint="At the sensor, plugged in, to its own ground."),
            Quantity("signal", "Signal", Kind.VOLTAGE, "V", argument="signal_v", section="Measured", required=False,
                     most=50, hint="To the sensor's own ground, at the same time."),
            _KNOWN,
        ),
        work=_ratiometric,
        formula="value = low + (V/Vs − f low)/(f high − f low)·(high − low)",
        source="Transducer makers' data sheets: ratiometric output; the fault margin is common practice, no source",
        cautions=(FUEL_PRESSURE, HOT_COOLANT, ROTATING),
        example=Example(
            {"measures": "Oil pressure", "unit": "psi", "low": "0", "high": "100", "low_share": "10 %",
             "high_share": "90 %", "margin": "5 %", "supply": "4.8 V", "signal": "2.4 V"},
            expects={"Value": "50 psi", "Share of the supply": "50 %"},
            source="0.5 to 4.5 V of 5 V for 0 to 100 psi; half of the supply is half of the range at any supply",
        ),
    ),
    Tool(
        slug="current-loop",
        title="Transmitter, 4–20 mA",
        group=Group.SENSORS,
        purpose="The value behind a loop current, and the fault bands of NAMUR NE 43; and back.",
        fields=(
            _WHAT,
            _UNIT,
            _end("low", "Value at 4 mA"),
            _end("high", "Value at 20 mA"),
            Quantity("current", "Current", Kind.CURRENT, "mA", us="mA", metric="mA", argument="current_ma",
                     section="Measured", required=False, least=0, most=1000, hint="Meter in series, on its mA input."),
            _KNOWN,
        ),
        work=_loop,
        formula="value = low + (I − 4 mA)/16 mA·(high − low); valid 3.8–20.5 mA, failure ≤ 3.6 or ≥ 21.0 mA",
        source="NAMUR NE 43, as summarized in four independent articles",
        cautions=(FUEL_PRESSURE, HOT_COOLANT, ROTATING),
        example=Example(
            {"unit": "psi", "low": "3", "high": "15", "current": "12.2 mA"},
            expects={"Value": "9.15 psi"},
            source="Automation forum, “4–20 mA signal to 3–15 psi signal conversion”: 12.2 mA is 9.15 psi",
        ),
    ),
    Tool(
        slug="sensor-divider",
        title="Sensor resistance from its signal",
        group=Group.SENSORS,
        purpose="What a sensor on the control unit's pull-up resistor has, from the voltage on its wire; and back.",
        fields=(
            Quantity(
                "supply", "Supply of the control unit", Kind.VOLTAGE, "V",
                argument="supply_v", least=0, most=50, hint="At the unplugged sensor's wire, key on; near 5 V.",
            ),
            Quantity("pull_up", "Pull-up resistor", Kind.RESISTANCE, "ohm", argument="pull_up_ohm",
                     hint="In the control unit, from the maker's manual."),
            Quantity("signal", "Signal voltage", Kind.VOLTAGE, "V", argument="signal_v", required=False,
                     hint="Sensor plugged in, key on."),
            Quantity("known", "Or a resistance to expect", Kind.RESISTANCE, "ohm", argument="resistance_ohm",
                     required=False),
        ),
        work=_divider,
        formula="R = Rp·V/(Vs − V); V = Vs·R/(Rp + R)",
        source="The voltage divider rule",
        cautions=(HOT_COOLANT, ROTATING),
        example=Example(
            {"supply": "5 V", "pull_up": "1 kΩ", "signal": "0.5 V"},
            expects={"Sensor resistance": "111.1 Ω"},
            source="The voltage divider rule: 0.5 V of 5 V over 1 kΩ is 111.11 Ω",
        ),
    ),
)  # fmt: skip
