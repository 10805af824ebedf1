"""The voltage at which a lead-acid battery is charged, by its temperature."""

from dataclasses import dataclass

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    range_position,
    require_band,
    require_number,
    require_positive,
)
from engineering.electrical.state_of_charge import CELLS_OF_12_V

_COLDEST_C, _HOTTEST_C = -40.0, 60.0


@dataclass(frozen=True, slots=True)
class ChargingWindow:
    """The regulated voltage for six cells at ``reference_c``, and what a warmer battery needs less of.

    ``millivolts_per_c_per_cell`` is negative: lead-acid batteries are charged lower when warm. Raises
    :class:`engineering.amounts.AmountProblem` for a window that no voltage could meet.
    """

    low_v: float
    high_v: float
    reference_c: float
    millivolts_per_c_per_cell: float
    source: str

    def __post_init__(self) -> None:
        """Refuse a window that no voltage could meet."""
        require_band("low_v", self.low_v, "high_v", self.high_v, "the charging voltage")
        require_positive("low_v", self.low_v, "The lower end of the charging voltage")
        require_number("millivolts_per_c_per_cell", self.millivolts_per_c_per_cell, "The change with temperature")
        if not -10 <= self.millivolts_per_c_per_cell <= 0:
            raise AmountProblem(
                "The charging voltage falls by 0 to 10 mV per °C and cell as the battery warms: write −4 or the like.",
                field="millivolts_per_c_per_cell",
            )


@dataclass(frozen=True, slots=True)
class JudgedCharging:
    """A charging voltage against the window at the battery's temperature, all in V."""

    measured_v: float
    low_v: float
    high_v: float
    standing: RangePosition


def window_at(
    *, window: ChargingWindow, temperature_c: float | None = None, cells: int = CELLS_OF_12_V
) -> tuple[float, float]:
    """Lower and upper charging voltage in V at the battery's temperature; at the reference without one.

    Raises :class:`engineering.amounts.AmountProblem` outside -40 to 60 °C. Source: the window's.
    """
    if cells < 1:
        raise AmountProblem("A battery has at least one cell.", field="cells")
    scale = cells / CELLS_OF_12_V
    shift = 0.0
    if temperature_c is not None:
        require_number("temperature_c", temperature_c, "The battery's temperature")
        if not _COLDEST_C <= temperature_c <= _HOTTEST_C:
            raise AmountProblem(
                "Charge a battery only between −40 and 60 °C (−40 and 140 °F); let this one cool or warm first.",
                field="temperature_c",
            )
        shift = window.millivolts_per_c_per_cell / 1000 * cells * (temperature_c - window.reference_c)
    return window.low_v * scale + shift, window.high_v * scale + shift


def judge_charging(
    *, measured_v: float, window: ChargingWindow, temperature_c: float | None = None, cells: int = CELLS_OF_12_V
) -> JudgedCharging:
    """Judge a charging voltage in V, measured at the battery with the engine at speed and the battery near full.

    A voltage on an end of the window is within. Raises :class:`engineering.amounts.AmountProblem`. Source: the
    window's.
    """
    require_positive("measured_v", measured_v, "The charging voltage")
    low, high = window_at(window=window, temperature_c=temperature_c, cells=cells)
    return JudgedCharging(measured_v, low, high, range_position(measured_v, low=low, high=high))
