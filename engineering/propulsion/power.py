"""Power from torque and speed, and back."""

from math import pi

from engineering.amounts import require_not_negative, require_positive

_KW_PER_NM_RPM = 2 * pi / 60_000


def power_kw(*, torque_nm: float, rpm: float) -> float:
    """Power at the shaft, in kW: torque times angular speed.

    Raises ``AmountProblem`` for a negative torque or rpm not above 0. Source: definition of power; with the foot-pound
    horsepower of 550 ft·lbf/s, hp = lbf·ft · rpm / 5252.113 (NIST SP 811 factors, from memory).
    """
    require_not_negative("torque_nm", torque_nm, "The torque")
    require_positive("rpm", rpm, "The speed")
    return torque_nm * rpm * _KW_PER_NM_RPM


def torque_nm(*, power_kw: float, rpm: float) -> float:
    """Torque at the shaft, in N·m, of a power in kW at a speed.

    Raises ``AmountProblem`` for a negative power or rpm not above 0. Source: as :func:`power_kw`.
    """
    require_not_negative("power_kw", power_kw, "The power")
    require_positive("rpm", rpm, "The speed")
    return power_kw / (rpm * _KW_PER_NM_RPM)
