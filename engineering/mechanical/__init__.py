"""Compression, leak-down, exhaust, chains, valves, torque. Limits are always handed in: no engine is known here."""

from engineering.mechanical.chains import (
    ChainSlack,
    ChainWear,
    judge_elongation,
    judge_slack,
    most_elongation,
    nominal_length_mm,
)
from engineering.mechanical.compression import CompressionRule, CompressionSet, judge_compression
from engineering.mechanical.compression_causes import Cause, Cylinder, Oil, Suggestion, name_cylinders
from engineering.mechanical.exhaust import BackPressure, judge_back_pressure, wet_diameter_mm
from engineering.mechanical.leak_down import (
    NEVER_ALLOWED,
    Leak,
    LeakPath,
    judge_leak_down,
    leak_fraction,
    orifice_diameter_in,
)
from engineering.mechanical.torque import fastener_torque_nm, wrench_setting_nm
from engineering.mechanical.valves import (
    Clearance,
    Shim,
    choose_shim,
    judge_clearance,
    needed_shim_mm,
    sizes_in_steps_mm,
)

__all__ = [
    "NEVER_ALLOWED",
    "BackPressure",
    "Cause",
    "ChainSlack",
    "ChainWear",
    "Clearance",
    "CompressionRule",
    "CompressionSet",
    "Cylinder",
    "Leak",
    "LeakPath",
    "Oil",
    "Shim",
    "Suggestion",
    "choose_shim",
    "fastener_torque_nm",
    "judge_back_pressure",
    "judge_clearance",
    "judge_compression",
    "judge_elongation",
    "judge_leak_down",
    "judge_slack",
    "leak_fraction",
    "most_elongation",
    "name_cylinders",
    "needed_shim_mm",
    "nominal_length_mm",
    "orifice_diameter_in",
    "sizes_in_steps_mm",
    "wet_diameter_mm",
    "wrench_setting_nm",
]
