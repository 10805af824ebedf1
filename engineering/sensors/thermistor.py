"""Thermistors whose resistance falls as they warm (NTC), by their beta value."""

import math
from dataclasses import dataclass
from typing import Protocol

from engineering.amounts import AmountProblem, require_number, require_positive

ZERO_C_IN_K = 273.15
COLDEST_C, HOTTEST_C = -80.0, 400.0
"""What an engine's thermistor can live through, generously (common practice, no source). Outside, look for a fault."""
LEAST_BETA_K, MOST_BETA_K = 1500.0, 8000.0
_ROUNDING_C = 1e-6


def ohms(value: float) -> str:
    """A resistance in words, large ones with commas and without powers of ten: "10,000,000 Ω"."""
    return f"{value:,.0f} Ω" if abs(value) >= 1e6 else f"{value:g} Ω"


class Thermistor(Protocol):
    """Anything that turns resistance into temperature and back."""

    def temperature_c(self, resistance_ohm: float) -> float:
        """The temperature at a resistance."""
        ...

    def resistance_ohm(self, temperature_c: float) -> float:
        """The resistance to expect at a temperature."""
        ...


@dataclass(frozen=True, slots=True)
class BetaThermistor:
    """An NTC thermistor with ``reference_ohm`` at ``reference_c`` (usually 25 °C) and ``beta_k`` in kelvins.

    1/T = 1/T0 + ln(R/R0)/B with T in kelvins. Good to about a degree within the temperatures that beta was
    measured between (B25/85: from 25 to 85 °C), and worse outside. Raises :class:`AmountProblem` for values that no
    thermistor has. Source: the beta equation as thermistor makers' data sheets print it.
    """

    reference_ohm: float
    beta_k: float
    reference_c: float = 25.0

    def __post_init__(self) -> None:
        """Refuse what is no thermistor."""
        require_positive("reference_ohm", self.reference_ohm, "The resistance at the reference temperature")
        require_number("beta_k", self.beta_k, "The beta value")
        if not LEAST_BETA_K <= self.beta_k <= MOST_BETA_K:
            raise AmountProblem(
                f"{self.beta_k:g} K is no thermistor's beta value; most lie between 3000 and 5000 K.", field="beta_k"
            )
        require_livable("reference_c", self.reference_c)

    def temperature_c(self, resistance_ohm: float) -> float:
        """The temperature in °C at a resistance in ohms.

        Raises :class:`AmountProblem` where the resistance is not above zero, or no sensor could be at that temperature.
        """
        require_positive("resistance_ohm", resistance_ohm, "The resistance")
        log_ratio = math.log(resistance_ohm) - math.log(self.reference_ohm)
        inverse = 1 / (self.reference_c + ZERO_C_IN_K) + log_ratio / self.beta_k
        return from_inverse_kelvin(inverse, resistance_ohm)

    def resistance_ohm(self, temperature_c: float) -> float:
        """The resistance in ohms to expect at a temperature in °C; raises :class:`AmountProblem` outside −80 to 400."""
        require_livable("temperature_c", temperature_c)
        inverse = 1 / (temperature_c + ZERO_C_IN_K) - 1 / (self.reference_c + ZERO_C_IN_K)
        return self.reference_ohm * math.exp(self.beta_k * inverse)


def require_livable(field: str, temperature_c: float, *, row: int | None = None) -> None:
    """Refuse a temperature at which no thermistor works."""
    require_number(field, temperature_c, "The temperature", row=row)
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise AmountProblem(
            f"No engine's thermistor works at {temperature_c:g} °C. Enter a temperature from {COLDEST_C:g} to "
            f"{HOTTEST_C:g} °C.",
            field=field,
            row=row,
        )


def from_inverse_kelvin(inverse: float, resistance_ohm: float) -> float:
    """The temperature in °C from 1/T, or :class:`AmountProblem` where no sensor could have it."""
    temperature_c = 1 / inverse - ZERO_C_IN_K if inverse > 0 else math.inf
    if not COLDEST_C - _ROUNDING_C <= temperature_c <= HOTTEST_C + _ROUNDING_C:
        raise out_of_reach(resistance_ohm)
    return temperature_c


def out_of_reach(resistance_ohm: float) -> AmountProblem:
    """What to say where a resistance fits no temperature that the sensor could have."""
    return AmountProblem(
        f"{ohms(resistance_ohm)} fits no temperature from {COLDEST_C:g} to {HOTTEST_C:g} °C. Look for a short or an "
        "open circuit, and check the sensor's data.",
        field="resistance_ohm",
    )
