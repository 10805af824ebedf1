"""Propeller, gear, power and fuel. Limits are always handed in; nothing here knows an engine."""

from engineering.propulsion.fuel import (
    TYPICAL_FUELS,
    BurnComparison,
    TypicalFuel,
    bsfc_g_per_kwh,
    compare_burn,
    fuel_burn_l_per_h,
    power_from_burn_kw,
    words_of_burn,
)
from engineering.propulsion.full_throttle import FullThrottle, PitchAdvice, advise_pitch, judge_full_throttle
from engineering.propulsion.power import power_kw, torque_nm
from engineering.propulsion.speed import (
    Slip,
    SlipJudgment,
    advance_per_turn_in,
    gear_ratio_from_rpm,
    gear_ratio_from_teeth,
    judge_slip,
    shaft_rpm,
    slip,
    theoretical_speed_m_s,
)

__all__ = [
    "TYPICAL_FUELS",
    "BurnComparison",
    "FullThrottle",
    "PitchAdvice",
    "Slip",
    "SlipJudgment",
    "TypicalFuel",
    "advance_per_turn_in",
    "advise_pitch",
    "bsfc_g_per_kwh",
    "compare_burn",
    "fuel_burn_l_per_h",
    "gear_ratio_from_rpm",
    "gear_ratio_from_teeth",
    "judge_full_throttle",
    "judge_slip",
    "power_from_burn_kw",
    "power_kw",
    "shaft_rpm",
    "slip",
    "theoretical_speed_m_s",
    "torque_nm",
    "words_of_burn",
]
