"""The calibration table of a tank: height, contents, share, and what its sender should show."""

from dataclasses import dataclass

from engineering.amounts import AmountProblem, require_number, require_positive
from engineering.sensors.level_sender import LevelSender, SenderReading
from engineering.tanks.shapes import Tank, require_inside

MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class SenderInTank:
    """A sender as it sits: the heights in meters at which its float is at its lowest and at its highest stop.

    Raises :class:`AmountProblem` where the float does not travel upward. That a float's travel is straight over the
    height holds for tube senders; for a swinging arm measure points and give them as the sender's curve.
    """

    sender: LevelSender
    lowest_m: float
    highest_m: float

    def __post_init__(self) -> None:
        """Refuse a float without travel."""
        require_number("lowest_m", self.lowest_m, "The float's lowest height")
        require_number("highest_m", self.highest_m, "The float's highest height")
        if self.lowest_m < 0:
            raise AmountProblem("The float cannot be below the bottom of the tank.", field="lowest_m")
        if self.lowest_m >= self.highest_m:
            raise AmountProblem("The float's highest height must be above its lowest.", field="highest_m")

    def resistance_ohm(self, height_m: float) -> float:
        """The resistance to expect at a height of the contents; the float rests at its stops beyond its travel."""
        require_number("height_m", height_m, "The height")
        travel = (height_m - self.lowest_m) / (self.highest_m - self.lowest_m)
        return self.sender.resistance_ohm(min(1.0, max(0.0, travel)))

    def height_m(self, reading: SenderReading) -> float | None:
        """The height of the float at a reading of its sender, or None where the sender failed."""
        if reading.fraction is None:
            return None
        return self.lowest_m + reading.fraction * (self.highest_m - self.lowest_m)


@dataclass(frozen=True, slots=True)
class CalibrationRow:
    """One line of the table; ``sender_ohm`` is None where no sender was given."""

    height_m: float
    volume_m3: float
    fraction: float
    sender_ohm: float | None


def table_by_height(tank: Tank, *, step_m: float, sender: SenderInTank | None = None) -> tuple[CalibrationRow, ...]:
    """A line every ``step_m`` of height from empty, and one for full.

    Raises :class:`AmountProblem` where the step is not above zero, or makes more than 200 lines.
    """
    require_positive("step_m", step_m, "The step")
    whole_steps = int(tank.height_m / step_m * (1 + 1e-12))
    if whole_steps + 2 > MOST_ROWS:
        raise AmountProblem(f"That makes more than {MOST_ROWS} lines. Take a larger step.", field="step_m")
    heights = [min(number * step_m, tank.height_m) for number in range(whole_steps + 1)]
    if tank.height_m - heights[-1] > step_m * 1e-9:
        heights.append(tank.height_m)
    else:
        heights[-1] = tank.height_m
    return tuple(_row(tank, height, sender) for height in heights)


def table_by_share(tank: Tank, *, parts: int, sender: SenderInTank | None = None) -> tuple[CalibrationRow, ...]:
    """A line for every equal share of the capacity (4 parts: empty, 1/4, 1/2, 3/4, full), to mark a gauge by.

    Raises :class:`AmountProblem` for fewer than 1 part or more than 199.
    """
    if not 1 <= parts < MOST_ROWS:
        raise AmountProblem(f"Take from 1 to {MOST_ROWS - 1} parts.", field="parts")
    heights = (height_at(tank, tank.capacity_m3 * part / parts) for part in range(parts + 1))
    return tuple(_row(tank, height, sender) for height in heights)


def height_at(tank: Tank, volume_m3: float) -> float:
    """The height in meters at which the tank holds a volume, found by halving.

    Raises :class:`AmountProblem` for a volume below zero or above the capacity. A volume below what the tank holds at
    height 0, as measured fills may say, is at height 0.
    """
    require_number("volume_m3", volume_m3, "The volume")
    if volume_m3 < 0:
        raise AmountProblem("The volume is below zero.", field="volume_m3")
    if volume_m3 > tank.capacity_m3 * (1 + 1e-12):
        raise AmountProblem("The volume is more than the tank holds.", field="volume_m3")
    low, high = 0.0, tank.height_m
    if volume_m3 <= tank.volume_m3(low):
        return low
    if volume_m3 >= tank.capacity_m3:
        return high
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if tank.volume_m3(middle) < volume_m3 else (low, middle)
    return middle


def _row(tank: Tank, height_m: float, sender: SenderInTank | None) -> CalibrationRow:
    require_inside(height_m, tank.height_m)
    volume = tank.volume_m3(height_m)
    ohm = None if sender is None else sender.resistance_ohm(height_m)
    return CalibrationRow(height_m, volume, volume / tank.capacity_m3, ohm)
