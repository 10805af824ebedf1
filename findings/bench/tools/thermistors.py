"""Sensor tools: thermistors by beta, by three points, by coefficients, by a maker's table."""

from __future__ import annotations

from math import log

from engineering.amounts import AmountProblem
from engineering.measures import Kind
from engineering.sensors.steinhart_hart import SteinhartHart
from engineering.sensors.thermistor import ZERO_C_IN_K, BetaThermistor
from engineering.sensors.thermistor_table import DoubtfulEntry, SensorTable
from findings.bench.filled_rows import rows_of
from findings.bench.thermistor_results import thermistor_outcome
from findings.bench.tool import Choice, Example, Field, Given, Group, Outcome, Quantity, Rows, Told, Tool
from findings.cautions import HOT_COOLANT, ROTATING

METER = (
    "Measure ohms with the sensor unplugged and the key off: on a live circuit a meter on ohms shows nonsense, "
    "and may do harm."
)
SENSORS = (
    ("Coolant", "Coolant"),
    ("Oil", "Oil"),
    ("Intake air", "Intake air"),
    ("Exhaust gas", "Exhaust gas"),
    ("Sea water", "Sea water"),
    ("Fuel", "Fuel"),
    ("Battery", "Battery"),
    ("Engine room", "Engine room"),
)
_LASER_MANUAL = "Laser-diode controller manual, Appendix A, Table A.1"
_LASER_POINTS = (("0 °C", "32128 Ω"), ("25 °C", "9814 Ω"), ("50 °C", "3542 Ω"))

_SENSOR = Choice("sensor", "Sensor", SENSORS, section="Sensor")
_MEASURED: tuple[Field, ...] = (
    Quantity(
        "resistance", "Measured resistance", Kind.RESISTANCE, "ohm",
        argument="resistance_ohm", required=False, section="Measured",
        hint="Across the pins, sensor unplugged.",
    ),
    Quantity(
        "temperature", "True temperature", Kind.TEMPERATURE, "degC",
        argument="temperature_c", required=False, section="Measured", least=-60, most=1200,
        hint="By a thermometer beside the sensor.",
    ),
    Quantity(
        "tolerance", "Tolerance, ±", Kind.PERCENT, "%",
        required=False, section="Measured", hint="Of the resistance, the maker's. With it the sensor is judged.",
    ),
)  # fmt: skip


def _points(name: str, label: str, *, argument: str, start: int, least: int, most: int, hint: str) -> Rows:
    columns = (
        Quantity("celsius", "Temperature", Kind.TEMPERATURE, "degC"),
        Quantity("ohm", "Resistance", Kind.RESISTANCE, "ohm"),
    )
    return Rows(
        name, label, columns, row_label="Point", start=start, least=least, most=most, argument=argument, hint=hint,
        section="Sensor",
    )  # fmt: skip


def _by_beta(given: Given) -> Outcome:
    sensor = BetaThermistor(given.number("reference"), given.number("beta"), given.number("reference_temperature"))
    return thermistor_outcome(given, sensor, span_c=(0.0, 120.0), proven_c=_BETA_HOLDS_C)


_BETA_HOLDS_C = (0.0, 110.0)
"""Around the 25 to 85 °C of most data sheets' beta. Common practice, no source."""


def _by_points(given: Given) -> Outcome:
    with rows_of(given, "points"):
        sensor = SteinhartHart.through(given.pairs("points"))
    coldest, warmest = sensor.points_c or (0.0, 120.0)
    figures = (
        Told("Coefficient A", f"{sensor.a * 1e3:.6f} × 10⁻³"),
        Told("Coefficient B", f"{sensor.b * 1e4:.6f} × 10⁻⁴"),
        Told("Coefficient C", f"{sensor.c * 1e7:.6f} × 10⁻⁷"),
    )
    return thermistor_outcome(given, sensor, span_c=(coldest, warmest), figures=figures, proven_c=(coldest, warmest))


def _by_coefficients(given: Given) -> Outcome:
    sensor = SteinhartHart(given.number("a") * 1e-3, given.number("b") * 1e-4, given.number("c") * 1e-7)
    _refuse_what_no_maker_sells(sensor)
    return thermistor_outcome(given, sensor, span_c=(0.0, 120.0))


_LIKELY_BETA_K, _LIKELY_OHM = (1500.0, 6000.0), (10.0, 1e6)
"""Of thermistors sold, at 25 °C. Common practice, no source."""


def _refuse_what_no_maker_sells(sensor: SteinhartHart) -> None:
    """Refuse coefficients that are swapped, or a power of ten off: they give a curve, and no sensor has it."""
    try:
        cold, warm = sensor.resistance_ohm(15.0), sensor.resistance_ohm(35.0)
        beta_k = log(cold / warm) / (1 / (15 + ZERO_C_IN_K) - 1 / (35 + ZERO_C_IN_K))
        is_one = _LIKELY_BETA_K[0] <= beta_k <= _LIKELY_BETA_K[1] and _LIKELY_OHM[0] <= cold <= _LIKELY_OHM[1]
    except AmountProblem:
        is_one = False
    if not is_one:
        raise AmountProblem(
            "No sensor that is sold has these coefficients. See that none are swapped, and their powers of ten.",
            field="a",
        )


def _by_table(given: Given) -> Outcome:
    with rows_of(given, "entries"):
        table = SensorTable(given.pairs("entries"))
    notes = [_doubt(given, entry) for entry in table.doubtful_entries()]
    return thermistor_outcome(given, table, span_c=(table.entries[0][0], table.entries[-1][0]), notes=notes)


def _doubt(given: Given, entry: DoubtfulEntry) -> str:
    at = given.show(entry.temperature_c, "degC", decimals=1)
    off = given.show(abs(entry.error_c), "degC", is_difference=True, decimals=1)
    return (
        f"The entry at {at}, {entry.resistance_ohm:g} Ω, lies {off} off the curve through its neighbors, which has "
        f"{entry.expected_ohm:.4g} Ω there. Look whether it is misread or misprinted."
    )


TOOLS = (
    Tool(
        slug="thermistor-table",
        title="Temperature sensor by a table",
        group=Group.SENSORS,
        purpose="Resistance to temperature and back, by the maker's table.",
        fields=(
            _SENSOR,
            _points(
                "entries", "The maker's table", argument="entries", start=6, least=2, most=40,
                hint="Two entries or more, in any order. Outside of them nothing is guessed.",
            ),
            *_MEASURED,
        ),
        work=_by_table,
        formula="ln R straight over 1/T between two entries; R straight over T where R rises",
        source="The beta equation between each two entries, as thermistor makers' data sheets print it",
        cautions=(METER, HOT_COOLANT, ROTATING),
        example=Example(
            {
                "sensor": "Coolant",
                "entries": [("0 °C", "32128 Ω"), ("10 °C", "19549 Ω"), ("20 °C", "12262 Ω"), ("30 °C", "7908 Ω")],
                "resistance": "12262 Ω",
                "temperature": "20 °C",
                "tolerance": "5 %",
            },
            expects={"Expected resistance": "12262 Ω"},
            says="it reads true",
            source=_LASER_MANUAL,
        ),
    ),
    Tool(
        slug="thermistor-points",
        title="Temperature sensor by three points",
        group=Group.SENSORS,
        purpose="Steinhart–Hart coefficients from three known points, and resistance to temperature and back.",
        fields=(
            _SENSOR,
            _points(
                "points", "Three points", argument="points", start=3, least=3, most=3,
                hint="The coldest, one near the middle, and the warmest that matter.",
            ),
            *_MEASURED,
        ),
        work=_by_points,
        formula="1/T = A + B·ln R + C·(ln R)³, T in kelvins",
        source="Steinhart and Hart, “Calibration curves for thermistors”, Deep-Sea Research 15 (1968), from memory",
        cautions=(METER, HOT_COOLANT, ROTATING),
        example=Example(
            {"sensor": "Coolant", "points": _LASER_POINTS, "resistance": "12262 Ω"},
            expects={"Temperature": "68 °F", "Coefficient A": "1.104159 × 10⁻³", "Coefficient B": "2.389179 × 10⁻⁴"},
            source=_LASER_MANUAL,
        ),
    ),
    Tool(
        slug="thermistor-beta",
        title="Temperature sensor by beta",
        group=Group.SENSORS,
        purpose="Resistance to temperature and back, by the data sheet's beta value.",
        fields=(
            _SENSOR,
            Quantity(
                "reference", "Resistance at the reference", Kind.RESISTANCE, "ohm",
                argument="reference_ohm", section="Sensor",
            ),
            Quantity(
                "reference_temperature", "Reference temperature", Kind.TEMPERATURE, "degC",
                argument="reference_c", section="Sensor", default="25 °C",
            ),
            Quantity(
                "beta", "Beta value", Kind.COUNT, "count",
                fixed="K", argument="beta_k", section="Sensor", hint="Such as 3977; B25/85 on a data sheet.",
            ),
            *_MEASURED,
        ),
        work=_by_beta,
        formula="1/T = 1/T0 + ln(R/R0)/B, T in kelvins",
        source="The beta equation as thermistor makers' data sheets print it; about a degree within beta's span",
        cautions=(METER, HOT_COOLANT, ROTATING),
        example=Example(
            {
                "sensor": "Coolant", "reference": "10 kΩ", "reference_temperature": "25 °C", "beta": "3977",
                "resistance": "3563.1 Ω",
            },
            expects={"Temperature": "122 °F"},
            source="10 kΩ with B25/85 = 3977 K, a common data sheet line: 3563.1 Ω at 50 °C",
        ),
    ),
    Tool(
        slug="thermistor-coefficients",
        title="Temperature sensor by coefficients",
        group=Group.SENSORS,
        purpose="Resistance to temperature and back, by the Steinhart–Hart coefficients of a data sheet.",
        fields=(
            _SENSOR,
            Quantity("a", "Coefficient A", Kind.COUNT, "count", fixed="× 10⁻³", section="Sensor", width="third"),
            Quantity("b", "Coefficient B", Kind.COUNT, "count", fixed="× 10⁻⁴", section="Sensor", width="third"),
            Quantity("c", "Coefficient C", Kind.COUNT, "count", fixed="× 10⁻⁷", section="Sensor", width="third"),
            *_MEASURED,
        ),
        work=_by_coefficients,
        formula="1/T = A + B·ln R + C·(ln R)³, T in kelvins",
        source="Steinhart and Hart, “Calibration curves for thermistors”, Deep-Sea Research 15 (1968), from memory",
        cautions=(METER, HOT_COOLANT, ROTATING),
        example=Example(
            {"sensor": "Coolant", "a": "1.129148", "b": "2.34125", "c": "0.876741", "resistance": "10 kΩ"},
            expects={"Temperature": "77 °F"},
            source="Coefficients in an analog temperature module's data sheet: 10 kΩ at 25 °C",
        ),
    ),
)  # fmt: skip
