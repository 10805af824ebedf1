"""Tanks of a regular shape, by their inside measures. Level, upright and with flat ends, or the figures do not hold."""

import math
from dataclasses import dataclass
from typing import Protocol

from engineering.amounts import AmountProblem, require_not_negative, require_number, require_positive

LARGEST_M = 50.0


class Tank(Protocol):
    """What a calibration table needs to know of a tank."""

    @property
    def height_m(self) -> float:
        """From the lowest point inside to the highest, in meters."""
        ...

    @property
    def capacity_m3(self) -> float:
        """What it holds when full, in cubic meters."""
        ...

    def volume_m3(self, height_m: float) -> float:
        """What it holds up to a height above its lowest point, in cubic meters."""
        ...


@dataclass(frozen=True, slots=True)
class HorizontalCylinder:
    """A cylinder lying on its side with flat ends; inside measures in meters.

    V(h) = L·[r²·acos((r − h)/r) − (r − h)·√(2rh − h²)]. Raises :class:`AmountProblem` for a measure that is not above
    zero. Source: the area of a circular segment, as tank volume references print it. Domed ends hold more.
    """

    diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        """Refuse what is no tank."""
        require_measure("diameter_m", self.diameter_m, "The diameter")
        require_measure("length_m", self.length_m, "The length")

    @property
    def height_m(self) -> float:
        """The inside diameter."""
        return self.diameter_m

    @property
    def capacity_m3(self) -> float:
        """π·r²·L, in cubic meters."""
        return math.pi * (self.diameter_m / 2) ** 2 * self.length_m

    def volume_m3(self, height_m: float) -> float:
        """The contents up to a height; raises :class:`AmountProblem` below the bottom and above the top."""
        require_inside(height_m, self.height_m)
        radius = self.diameter_m / 2
        if height_m > radius:
            return self.capacity_m3 - self._below(self.diameter_m - height_m)
        return self._below(height_m)

    def _below(self, height_m: float) -> float:
        """The formula with acos((r − h)/r) as 2·asin(√(h/2r)), which keeps its figures near the bottom."""
        half_angle = 2 * math.asin(math.sqrt(height_m / self.diameter_m))
        segment = half_angle - math.sin(2 * half_angle) / 2
        return self.length_m * (self.diameter_m / 2) ** 2 * segment


@dataclass(frozen=True, slots=True)
class Box:
    """A tank with a level bottom and upright sides; inside measures in meters.

    V(h) = length·width·h. Raises :class:`AmountProblem` for a measure that is not above zero.
    """

    length_m: float
    width_m: float
    height_m: float

    def __post_init__(self) -> None:
        """Refuse what is no tank."""
        require_measure("length_m", self.length_m, "The length")
        require_measure("width_m", self.width_m, "The width")
        require_measure("height_m", self.height_m, "The height")

    @property
    def capacity_m3(self) -> float:
        """What it holds when full, in cubic meters."""
        return self.length_m * self.width_m * self.height_m

    def volume_m3(self, height_m: float) -> float:
        """The contents up to a height; raises :class:`AmountProblem` below the bottom and above the top."""
        require_inside(height_m, self.height_m)
        return self.length_m * self.width_m * height_m


@dataclass(frozen=True, slots=True)
class Wedge:
    """A tank whose section is a V, as it follows a hull, with upright sides above it if it has any; meters inside.

    The V is ``bottom_width_m`` wide at the bottom (0 for a sharp V) and ``top_width_m`` at ``v_height_m`` above it;
    above that the sides stand upright for ``upright_m``. In the V, V(h) = L·[b·h + (t − b)·h²/(2·H)]; the sides of the
    V need not be alike. Raises :class:`AmountProblem` for a measure that makes no tank. Source: area of a trapezoid.
    """

    length_m: float
    top_width_m: float
    v_height_m: float
    bottom_width_m: float = 0.0
    upright_m: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no tank."""
        require_measure("length_m", self.length_m, "The length")
        require_measure("top_width_m", self.top_width_m, "The width at the top")
        require_measure("v_height_m", self.v_height_m, "The height of the V")
        require_not_negative("bottom_width_m", self.bottom_width_m, "The width at the bottom")
        require_not_negative("upright_m", self.upright_m, "The height of the upright sides")
        if self.bottom_width_m > self.top_width_m:
            raise AmountProblem(
                "The bottom is wider than the top. A V stands on its narrow side.", field="bottom_width_m"
            )
        if self.upright_m > LARGEST_M:
            raise AmountProblem(_TOO_LARGE.format(what="The height of the upright sides"), field="upright_m")

    @property
    def height_m(self) -> float:
        """From the bottom of the V to the top of the upright sides."""
        return self.v_height_m + self.upright_m

    @property
    def capacity_m3(self) -> float:
        """What it holds when full, in cubic meters."""
        return self.volume_m3(self.height_m)

    def volume_m3(self, height_m: float) -> float:
        """The contents up to a height; raises :class:`AmountProblem` below the bottom and above the top."""
        require_inside(height_m, self.height_m)
        in_v = min(height_m, self.v_height_m)
        flare = (self.top_width_m - self.bottom_width_m) / self.v_height_m
        section = self.bottom_width_m * in_v + flare * in_v**2 / 2
        return self.length_m * (section + self.top_width_m * (height_m - in_v))


def require_measure(field: str, value: float, what: str) -> None:
    """Refuse a measure that is not above zero, or that no boat's tank has."""
    require_positive(field, value, what)
    if value > LARGEST_M:
        raise AmountProblem(_TOO_LARGE.format(what=what), field=field)


def require_inside(height_m: float, top_m: float) -> None:
    """Refuse a height below the bottom or above the top of a tank."""
    require_number("height_m", height_m, "The height")
    if height_m < 0:
        raise AmountProblem("The height is below the bottom of the tank.", field="height_m")
    if height_m > top_m:
        raise AmountProblem("The height is above the top of the tank. Check the tank's measures.", field="height_m")


_TOO_LARGE = "{what} is more than " + f"{LARGEST_M:g} m. Check the unit."
