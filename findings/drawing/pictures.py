"""What a picture is made of: the inputs of the drawing functions, filled by queries and by the report.

Positions along the lanes are plain numbers: engine hours, or days (`date.toordinal()`, see `day_position`)
where a hull's hours are unknown. One picture uses one axis; mixing both is the caller's mistake.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

PENDING = "pending"
"""What a unit has seen once and not confirmed: it is there, and calling it active would say more than the unit does."""


class FlagState(StrEnum):
    """The states of a fault, as the words that the flags show."""

    ACTIVE = "active"
    STORED = "stored"
    RETURNED = "returned"
    NOT_FIXED_YET = "not fixed yet"
    CLEARED = "cleared"
    HISTORIC = "historic"

    def status_told(self, status: str) -> str:
        """The unit's own word, where it says more than the state does; else nothing."""
        return status if self in (FlagState.RETURNED, FlagState.NOT_FIXED_YET) or status == PENDING else ""


class Verdict(StrEnum):
    """What a reading is against its limits, as the words that the strip shows."""

    IN_RANGE = "in range"
    NEAR = "near the limit"
    OUT = "out"
    NO_LIMITS = "no limits known"


class Axis(StrEnum):
    """What the bottom of the lanes counts."""

    HOURS = "engine hours"
    DATES = "dates"


def day_position(moment: date | datetime) -> float:
    """The place of a day, or of a moment within it, on an axis of dates."""
    if isinstance(moment, datetime):
        seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
        return moment.toordinal() + seconds / 86_400
    return float(moment.toordinal())


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One episode of a fault.

    `state` gives the pattern: ACTIVE or STORED for a first episode as it was last seen, RETURNED or NOT_FIXED_YET for a
    later one.
    `end` is None while the episode is open: the bar then runs to the picture's right edge and stays unclosed.
    `seen_to` is where it was last seen: behind that nobody knows whether it was there, and the bar is a hollow dashed
    one. None where the bar is of no evidence, as in a legend: it is full then.
    `start_is_known` is False where the unit had stored the code before we first looked: the bar begins ragged.
    """

    start: float
    end: float | None
    state: FlagState
    start_is_known: bool = True
    seen_to: float | None = None

    def is_known_throughout(self, now: float | None) -> bool:
        """Whether it was seen to the very end of the bar; an open one ends at ``now``, the picture's right edge."""
        end = now if self.end is None else self.end
        return self.seen_to is None or (end is not None and self.seen_to >= end)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearMark:
    """A clear: a notch in the lane."""

    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnLoop:
    """The thin loop from the end of one episode to the beginning of the next, labeled with the gap ("84 h")."""

    ended_at: float
    returned_at: float
    gap: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldLine:
    """The stretch after a clear over which complete scans have shown that the code stayed away."""

    start: float
    end: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One fault. `status_now` is the unit's word where the state is *returned* or *not fixed yet*.

    `note` says in the lane what cannot be placed on it, for example "2 sightings without hours".
    """

    code: str
    name: str
    state: FlagState
    status_now: str = ""
    bars: Sequence[Bar] = ()
    clears: Sequence[ClearMark] = ()
    returns: Sequence[ReturnLoop] = ()
    holds: Sequence[HoldLine] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRule:
    """A job, drawn as a vertical rule through all lanes with its number above."""

    at: float
    number: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedMark:
    """Parts that were fitted at one place of the axis, drawn as a wedge on it; ``words`` are for who points at it."""

    at: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LanesPicture:
    """The picture of a hull's or an engine's history.

    `key` tells pictures on one page apart (it goes into ids, so letters, digits and hyphens are kept of it).
    `title` names the picture for those who hear it; `now` is the right edge: the latest hours or today.
    """

    key: str
    title: str
    lanes: Sequence[Lane]
    axis: Axis = Axis.HOURS
    jobs: Sequence[JobRule] = ()
    fitted: Sequence[FittedMark] = ()
    now: float | None = None
    start: float | None = None

    @property
    def is_known_throughout(self) -> bool:
        """Whether every code was seen to the very end of its bars."""
        return all(bar.is_known_throughout(self.now) for lane in self.lanes for bar in lane.bars)


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeStrip:
    """A reading beside its limits. All values are in `unit`, which is the unit that the reading is shown in.

    `sentence` says the same in words ("13.1 V, 0.4 V below the band, engine at 2000 rpm"); the drawing makes a
    plain one of its own when it is left empty. `by` names the extremes that the verdict comes from ("lowest"), where
    that is not the value; `seen` says of what lowest and highest are ("over the whole log").
    """

    key: str
    parameter: str
    value: float
    unit: str
    verdict: Verdict
    low: float | None = None
    high: float | None = None
    minimum: float | None = None
    maximum: float | None = None
    nominal: float | None = None
    decimals: int | None = None
    sentence: str = ""
    by: tuple[str, ...] = ()
    seen: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Palette:
    """The colors of a picture on paper; the screen replaces them through classes. Equal to tokens.css, light.

    Told apart by which one it is, not by its colors: every shape of a picture asks how this palette paints it.
    """

    surface: str = "#fffdf7"
    ink: str = "#1c2530"
    soft_ink: str = "#4b5761"
    rule: str = "#d6cfbb"
    action: str = "#0b5a5e"
    signal: str = "#a63c12"
    second_signal: str = "#663a8f"
    kept: str = "#28518c"
    on_signal: str = "#ffffff"
    on_second_signal: str = "#ffffff"


PRINT = Palette()
"""The house's colors in print."""
