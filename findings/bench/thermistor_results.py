"""What a thermistor's resistance, its true temperature, or both say, for the tools that know the sensor differently."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from engineering.amounts import AmountProblem
from engineering.measures import convert
from engineering.sensors.thermistor import Thermistor, ohms
from engineering.sensors.thermistor_table import SensorTable
from findings.bench.tool import Band, Column, Figure, Given, Outcome, Table, Told, ToolProblem, Verdict

FIGURES = 5
_BAND_FIGURES = 7
_COLDEST_BOAT_C = -50.0
"""A sensor that says less is open, or has a poor contact. Common practice, no source."""
_HOTTEST_SENSOR_C = 250.0
"""A thermistor that says more is shorted: air, coolant and oil stay far below. Common practice, no source."""
_MOST_LINES = 14
_STEPS = (1, 2, 5, 10, 20, 50)


@dataclass(frozen=True)
class _Reading:
    """A resistance with the temperature that it stands for, or None and why it stands for none."""

    ohm: float
    shown_c: float | None
    trouble: str = ""
    is_doubtful: bool = False
    """Whether it may still be a sound sensor, somewhat colder or warmer than its table goes."""


def thermistor_outcome(
    given: Given,
    sensor: Thermistor,
    *,
    span_c: tuple[float, float],
    figures: Sequence[Figure | Told] = (),
    notes: Sequence[str] = (),
    proven_c: tuple[float, float] | None = None,
) -> Outcome:
    """The answer from the fields ``resistance``, ``temperature``, ``tolerance`` and ``sensor``; ohms, °C, percent.

    ``span_c`` is what the table of expected resistances covers; outside of ``proven_c`` the answer says so.

    Raises:
        ToolProblem: neither resistance nor temperature is given, or a tolerance that judges nothing.
    """
    ohm, celsius = given.number_or_none("resistance"), given.number_or_none("temperature")
    tolerance = given.number_or_none("tolerance")
    if ohm is None and celsius is None:
        raise ToolProblem("Enter the resistance, the true temperature, or both.", field="resistance")
    if tolerance is not None and (ohm is None or celsius is None):
        raise ToolProblem("To judge the sensor write its resistance and the true temperature.", field="tolerance")
    if tolerance is not None and not 0 < tolerance < 100:
        raise ToolProblem("Enter a tolerance above 0 and below 100 %.", field="tolerance")
    reading = None if ohm is None else _read(sensor, ohm)
    if celsius is None and reading is not None:
        outcome, at_c = _converted(given, reading), reading.shown_c
    else:
        outcome, at_c = _compared(given, sensor, reading, celsius or 0.0), celsius
    said = list(notes)
    doubt = ""
    if proven_c and at_c is not None and not proven_c[0] <= at_c <= proven_c[1]:
        doubt = "it lies outside of what the sensor's data are proven for, where the equation is a guess"
        said.append(f"{doubt[0].upper()}{doubt[1:]}.")
    return replace(
        outcome,
        not_judged=outcome.not_judged or (doubt if outcome.verdict is None else ""),
        figures=(*outcome.figures, *figures),
        notes=said,
        tables=(_expected(given, sensor, span_c),),
    )


def _read(sensor: Thermistor, ohm: float) -> _Reading:
    """What a resistance stands for. One that fits no temperature is a finding, not a slip."""
    if ohm == 0:
        return _Reading(ohm, None, "0 Ω: the sensor or its wiring is shorted.")
    try:
        found_c = sensor.temperature_c(ohm)
    except AmountProblem as problem:
        if ohm < 0:
            raise
        return _Reading(ohm, None, problem.sentence, isinstance(sensor, SensorTable) and sensor.is_near(ohm))
    if found_c < _COLDEST_BOAT_C:
        return _Reading(ohm, None, f"{ohms(ohm)} would be colder than any boat: look for an open circuit.")
    if found_c > _HOTTEST_SENSOR_C:
        return _Reading(ohm, None, f"{ohms(ohm)} would be hotter than such a sensor stands: look for a short.")
    return _Reading(ohm, found_c)


def _converted(given: Given, reading: _Reading) -> Outcome:
    """A resistance alone."""
    main = _resistance("Resistance", reading.ohm)
    sensor = given.choice("sensor")
    if reading.shown_c is None:
        return Outcome(
            reading.trouble,
            main=main,
            verdict=None if reading.is_doubtful else Verdict.OUT,
            not_judged="the table does not reach there; measure it again at a temperature that it has"
            if reading.is_doubtful
            else "",
            logs_as=f"{sensor} sensor resistance",
        )
    typed = given.show(reading.ohm, "ohm", significant=FIGURES, like="resistance", entered="resistance")
    return Outcome(
        f"{typed} stands for {given.show(reading.shown_c, 'degC', decimals=1)}.",
        main=Figure("Temperature", reading.shown_c, "degC", decimals=1),
        logs_as=f"{sensor} temperature",
        condition="by the sensor's resistance",
    )


def _compared(given: Given, sensor: Thermistor, reading: _Reading | None, celsius: float) -> Outcome:
    """What a sensor should have at a true temperature, and what it has."""
    expected = sensor.resistance_ohm(celsius)
    at = given.show(celsius, "degC", decimals=1)
    should = _resistance("Expected resistance", expected)
    sentence = f"At {at} the sensor should have {_words(given, expected)}"
    if reading is None:
        return Outcome(f"{sentence}.", main=should)
    if reading.shown_c is None:
        sentence = f"{sentence}. {reading.trouble}"
    elif abs(reading.shown_c - celsius) < 0.05:
        sentence = f"{sentence}; it reads true."
    else:
        off = given.show(abs(reading.shown_c - celsius), "degC", is_difference=True, decimals=1)
        sentence = f"{sentence}; it reads {off} {'high' if reading.shown_c > celsius else 'low'}."
    return Outcome(
        sentence,
        main=_resistance("Resistance", reading.ohm),
        figures=(should,),
        band=_allowed(given.number_or_none("tolerance"), expected, at),
        verdict=Verdict.OUT if reading.shown_c is None else None,
        logs_as=f"{given.choice('sensor')} sensor resistance",
        condition=f"at {at}",
    )


def _allowed(tolerance: float | None, expected_ohm: float, at: str) -> Band | None:
    if tolerance is None:
        return None
    low, high = _rounded(expected_ohm * (1 - tolerance / 100)), _rounded(expected_ohm * (1 + tolerance / 100))
    return Band(low, high, "ohm", nominal=_rounded(expected_ohm), source=f"what is expected at {at}, ± {tolerance:g} %")


def _resistance(label: str, ohm: float) -> Figure:
    entered = "resistance" if label == "Resistance" else ""
    return Figure(label, ohm, "ohm", significant=FIGURES, like="resistance", entered=entered)


def _words(given: Given, ohm: float) -> str:
    return given.show(ohm, "ohm", significant=FIGURES, like="resistance")


def _rounded(ohm: float) -> float:
    return float(f"{ohm:.{_BAND_FIGURES}g}")


def _expected(given: Given, sensor: Thermistor, span_c: tuple[float, float]) -> Table:
    """The resistance to expect over a span of temperatures."""
    rows: list[tuple[float | str | None, ...]] = []
    for celsius in _round_temperatures(span_c, "degF" if given.system == "us" else "degC"):
        try:
            rows.append((celsius, sensor.resistance_ohm(celsius)))
        except AmountProblem:
            rows.append((celsius, "none"))
    columns = (
        Column("Temperature", "degC", decimals=1),
        Column("Resistance", "ohm", significant=4, like="resistance"),
    )
    return Table("Resistance to expect", columns, rows)


def _round_temperatures(span_c: tuple[float, float], unit: str) -> list[float]:
    """Temperatures in °C that are round in the shop's unit, with the ends of the span."""
    coldest, warmest = (float(convert(Decimal(repr(end)), "degC", unit)) for end in span_c)
    step = next((one for one in _STEPS if (warmest - coldest) / one <= _MOST_LINES), _STEPS[-1])
    between = range(math.floor(coldest / step) + 1, math.ceil(warmest / step))
    inner = [float(convert(Decimal(one * step), unit, "degC")) for one in between]
    return [span_c[0], *(one for one in inner if span_c[0] < one < span_c[1]), span_c[1]]
