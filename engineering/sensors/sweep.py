"""A position sensor moved slowly through its travel and read at several places; and two of its tracks at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from engineering.amounts import AmountProblem, exceeds, require_not_negative, require_positive
from engineering.sensors.position import USUAL_LIMITS, PositionLimits, signal_check, travel_fraction

LEAST_SAMPLES = 3
BACKWARD_SHARE = 0.02
"""How much of the travel a signal may step back before it counts (common practice, no source)."""
LEAST_SPAN_SHARE = 0.2
"""How much of the supply a sensor's signal must move by to be moving at all (common practice, no source)."""
TRACKS_SHARE = 0.05
"""How much of the travel two tracks may differ by (common practice, no source; the maker's limit comes first)."""


@dataclass(frozen=True, slots=True)
class StepBack:
    """A sample, counted from 1, that lies back by a share of the travel from the one before."""

    number: int
    sample_v: float
    share: float

    @property
    def sentence(self) -> str:
        """What was found, in a sentence."""
        return f"Reading {self.number}, {self.sample_v:g} V: it steps back by {self.share * 100:.0f} % of the travel."


@dataclass(frozen=True, slots=True)
class Sweep:
    """A sweep judged: ``travel`` is 0 at the first sample and 1 at the last.

    ``found`` are sentences; ``backward`` are the steps back that none of those explains.
    ``largest_step`` is the largest change from one sample to the next, as a share of the travel.
    """

    rest_v: float
    end_v: float
    travel: tuple[float, ...]
    largest_step: float
    found: tuple[str, ...]
    backward: tuple[StepBack, ...] = ()

    @property
    def faults(self) -> tuple[str, ...]:
        """All that was found, in sentences."""
        return (*self.found, *(step.sentence for step in self.backward))


def judge_sweep(
    samples_v: Sequence[float],
    *,
    supply_v: float,
    limits: PositionLimits = USUAL_LIMITS,
    backward_share: float = BACKWARD_SHARE,
    least_span_share: float = LEAST_SPAN_SHARE,
) -> Sweep:
    """Judge the voltages read one after another while the sensor was moved once from rest to its end.

    Found are samples at ground or at the supply (a worn spot or a loose wire), steps backward, and a signal that hardly
    moves. Raises :class:`engineering.amounts.AmountProblem` for fewer than three samples, for what is no voltage, and
    where the first and the last are the same. Common practice, no source.
    """
    require_positive("supply_v", supply_v, "The supply voltage")
    if len(samples_v) < LEAST_SAMPLES:
        raise AmountProblem(f"Read at {LEAST_SAMPLES} places at least; more show more.", field="samples_v")
    faults: dict[int, str] = {}
    for number, sample_v in enumerate(samples_v, start=1):
        require_not_negative("samples_v", sample_v, f"Reading {number}", row=number)
        check = signal_check(sample_v, supply_v=supply_v, limits=limits)
        if not check.is_good:
            faults[number] = f"Reading {number}, {sample_v:g} V: {_lowered(check.sentence)}"
    rest_v, end_v = samples_v[0], samples_v[-1]
    if rest_v == end_v:
        raise AmountProblem(
            "The signal ends where it began: move the sensor through its whole travel.", field="samples_v"
        )
    travel = tuple(travel_fraction(sample_v, rest_v=rest_v, end_v=end_v) for sample_v in samples_v)
    steps = [after - before for before, after in pairwise(travel)]
    backward = tuple(
        StepBack(number, samples_v[number - 1], -step)
        for number, step in enumerate(steps, start=2)
        if exceeds(-step, backward_share) and not faults.keys() & {number - 1, number}
    )
    found = list(faults.values())
    if exceeds(least_span_share, abs(end_v - rest_v) / supply_v):
        found.append(f"Over its whole travel it moves by {abs(end_v - rest_v):.3g} V only.")
    return Sweep(rest_v, end_v, travel, max(map(abs, steps)), tuple(found), backward)


@dataclass(frozen=True, slots=True)
class Tracks:
    """Two tracks compared: where each is along its travel, sample by sample, and by how much they differ at most."""

    first: tuple[float, ...]
    second: tuple[float, ...]
    largest_difference: float
    at_sample: int
    agree: bool


def compare_tracks(samples_v: Sequence[tuple[float, float]], *, allowed_share: float = TRACKS_SHARE) -> Tracks:
    """Compare the two tracks of one sensor, read at the same places, from rest to the end; pairs of volts.

    Each is taken along its own travel, from its own first to its own last sample, so that a track with half the
    voltage or a falling one compares as well. ``at_sample`` counts from 1. Raises
    :class:`engineering.amounts.AmountProblem` for fewer than three pairs and for a track that does not move.
    Common practice, no source; the maker's table of both voltages comes first.
    """
    if len(samples_v) < LEAST_SAMPLES:
        raise AmountProblem(f"Read both tracks at {LEAST_SAMPLES} places at least.", field="samples_v")
    require_positive("allowed_share", allowed_share, "The difference allowed")
    for number, pair in enumerate(samples_v, start=1):
        for sample_v in pair:
            require_not_negative("samples_v", sample_v, f"Reading {number}", row=number)
    tracks = []
    for track in zip(*samples_v, strict=True):
        if track[0] == track[-1]:
            raise AmountProblem("One of the tracks ends where it began, so it does not move.", field="samples_v")
        tracks.append(tuple(travel_fraction(sample, rest_v=track[0], end_v=track[-1]) for sample in track))
    differences = [abs(first - second) for first, second in zip(*tracks, strict=True)]
    largest = max(differences)
    return Tracks(tracks[0], tracks[1], largest, differences.index(largest) + 1, not exceeds(largest, allowed_share))


def _lowered(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]
