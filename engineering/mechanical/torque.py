"""What to set a torque wrench to when an adapter makes it longer."""

from math import cos, radians

from engineering.amounts import AmountProblem, require_number, require_positive


def wrench_setting_nm(
    *, torque_nm: float, wrench_length_m: float, adapter_length_m: float, angle_deg: float = 0.0
) -> float:
    """The setting that puts a torque on the fastener through an adapter: T · L / (L + E · cos angle), in N·m.

    ``wrench_length_m`` from the middle of the grip to the middle of the drive, ``adapter_length_m`` from there to the
    middle of the fastener, ``angle_deg`` between wrench and adapter: 0 straight ahead, 90 square to it (nothing
    changes), 180 back along the handle. Raises ``AmountProblem`` for values not above 0, an angle not from 0 to 180
    degrees, and an adapter that reaches back to the grip. Source: TM 9-2350-277-40&P (adapter straight ahead), TM
    9-254 (at an angle), NAVEDTRA 14008 (square to it, or pointing back).
    """
    require_positive("torque_nm", torque_nm, "The torque")
    return torque_nm * wrench_length_m / _lever_m(wrench_length_m, adapter_length_m, angle_deg)


def fastener_torque_nm(
    *, setting_nm: float, wrench_length_m: float, adapter_length_m: float, angle_deg: float = 0.0
) -> float:
    """The torque on the fastener at a setting of the wrench, in N·m; the other way round of :func:`wrench_setting_nm`.

    Raises ``AmountProblem`` as that one does. Source: TM 9-254.
    """
    require_positive("setting_nm", setting_nm, "The setting")
    return setting_nm * _lever_m(wrench_length_m, adapter_length_m, angle_deg) / wrench_length_m


def _lever_m(wrench_length_m: float, adapter_length_m: float, angle_deg: float) -> float:
    """The distance from the grip to the fastener, along the wrench."""
    require_positive("wrench_length_m", wrench_length_m, "The wrench's length")
    require_positive("adapter_length_m", adapter_length_m, "The adapter's length")
    require_number("angle_deg", angle_deg, "The angle")
    if not 0 <= angle_deg <= 180:
        raise AmountProblem(
            "The angle must be from 0° (straight ahead) to 180° (back along the handle).", field="angle_deg"
        )
    lever = wrench_length_m + adapter_length_m * cos(radians(angle_deg))
    if lever <= wrench_length_m * 1e-6:
        raise AmountProblem("The adapter reaches back to the grip, so no torque arrives.", field="adapter_length_m")
    return lever
