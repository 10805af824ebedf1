"""What a set of judged compression readings points to: never a finding by itself, but the next thing to test."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Oil(StrEnum):
    """What a spoonful of oil did to a cylinder."""

    NOT_TRIED = "not tried"
    ROSE = "rose"
    UNCHANGED = "unchanged"
    FELL = "fell"


class Cause(StrEnum):
    """What a set of readings points to. A pointer for the next test, never a finding by itself."""

    WHOLE_ENGINE = "all cylinders low"
    HEAD_GASKET = "head gasket between neighbors"
    RINGS = "rings or cylinder wall"
    VALVES = "valves or seats"
    NO_SEAL = "no compression at all"
    UNKNOWN = "not told apart yet"
    DEPOSITS = "deposits or oil in the chamber"
    ODD_HIGH = "one cylinder far above the others"
    REPEAT = "readings that contradict each other"


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A cause that the readings of some cylinders point to, in a sentence."""

    cause: Cause
    cylinders: tuple[int, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Cylinder:
    """One cylinder: its readings in kPa, its share of the highest one, and how it stands to the rule."""

    number: int
    dry_kpa: float
    wet_kpa: float | None
    share: float
    below_share: bool
    below_least: bool
    above_most: bool
    oil: Oil
    is_odd_high: bool = False
    """Whether it alone makes the others look low, which are even among themselves."""

    @property
    def is_low(self) -> bool:
        """Whether either rule finds it too low."""
        return self.below_share or self.below_least


def suggest(
    cylinders: Sequence[Cylinder], banks: Sequence[Sequence[int]], *, oil_is_used: bool = True
) -> tuple[Suggestion, ...]:
    """What the judged cylinders of the named banks point to. Source: as :func:`judge_compression`.

    A diesel is never given oil, as what little room there is above its piston can fill with it: then nothing suggests
    it (``oil_is_used`` is False).
    """
    by_number = {cylinder.number: cylinder for cylinder in cylinders}
    found: list[Suggestion] = []
    explained: set[int] = set()
    if len(cylinders) > 1 and all(cylinder.below_least for cylinder in cylinders):
        explained = set(by_number)
        found.append(_whole_engine(cylinders, oil_is_used=oil_is_used))
    for number in (c.number for c in cylinders if c.dry_kpa == 0 and c.number not in explained):
        explained.add(number)
        found.append(_suggestion(Cause.NO_SEAL, number))
    if either := _either_two_or_one(cylinders, explained):
        explained |= set(either.cylinders)
        found.append(either)
    for run in _neighbors_low(by_number, banks, explained):
        raised = [number for number in run if by_number[number].oil is Oil.ROSE]
        explained |= set(run).difference(raised)
        tried = all(by_number[number].oil is not Oil.NOT_TRIED for number in run)
        and_also = _RAISED.format(who=name_cylinders(raised)) if raised else "" if tried else _TRY_OIL
        found.append(_suggestion(Cause.HEAD_GASKET, *run, and_also=and_also if oil_is_used else ""))
    for cylinder in cylinders:
        if cylinder.oil is Oil.FELL:
            found.append(_suggestion(Cause.REPEAT, cylinder.number))
        elif cylinder.is_low and cylinder.number not in explained and _oil_raised_sound_ones(cylinder, cylinders):
            who = f"Cylinder {cylinder.number}"
            found.append(Suggestion(Cause.UNKNOWN, (cylinder.number,), _RAISED_ALIKE.format(who=who)))
        elif cylinder.is_low and cylinder.number not in explained:
            cause = _CAUSE_BY_OIL[cylinder.oil]
            found.append(
                Suggestion(cause, (cylinder.number,), _UNKNOWN_DIESEL.format(who=f"Cylinder {cylinder.number}"))
                if cause is Cause.UNKNOWN and not oil_is_used
                else _suggestion(cause, cylinder.number)
            )
        if cylinder.is_odd_high:
            found.append(_suggestion(Cause.ODD_HIGH, cylinder.number))
    high = [cylinder.number for cylinder in cylinders if cylinder.above_most]
    if high:
        everyone = len(high) == len(cylinders) > 1
        found.append(_suggestion(Cause.DEPOSITS, *high, and_also=_ALL_HIGH if everyone else ""))
    return tuple(found)


def _oil_raised_sound_ones(low: Cylinder, cylinders: Sequence[Cylinder]) -> bool:
    """Whether oil raised one that is not low by as large a share as this one: then it tells nothing of its rings."""
    if low.oil is not Oil.ROSE or low.wet_kpa is None:
        return False
    rise = low.wet_kpa / low.dry_kpa
    return any(
        one.oil is Oil.ROSE and not one.is_low and one.wet_kpa is not None and one.wet_kpa / one.dry_kpa >= rise
        for one in cylinders
    )


def _either_two_or_one(cylinders: Sequence[Cylinder], explained: set[int]) -> Suggestion | None:
    """Two of three cylinders that only the third makes look low: nobody can say which is wrong."""
    low = [cylinder for cylinder in cylinders if cylinder.is_low and cylinder.number not in explained]
    if len(cylinders) != _NOBODY_CAN_SAY or len(low) != _NOBODY_CAN_SAY - 1:
        return None
    if any(cylinder.below_least or cylinder.oil is not Oil.NOT_TRIED for cylinder in low):
        return None
    other = next(cylinder.number for cylinder in cylinders if not cylinder.is_low)
    numbers = tuple(cylinder.number for cylinder in low)
    return Suggestion(
        Cause.UNKNOWN,
        numbers,
        f"{name_cylinders(numbers).capitalize()} are low, or cylinder {other} is too high (carbon, oil or water in "
        "it): of three nobody can say which. Repeat all of them.",
    )


_NOBODY_CAN_SAY = 3


def name_cylinders(numbers: Sequence[int]) -> str:
    """Cylinders as they are said: "cylinder 4", "cylinders 2, 3 and 5"."""
    words = [str(number) for number in numbers]
    return f"cylinder {words[0]}" if len(words) == 1 else f"cylinders {', '.join(words[:-1])} and {words[-1]}"


def _suggestion(cause: Cause, *numbers: int, and_also: str = "") -> Suggestion:
    who = name_cylinders(numbers).capitalize()
    sentence = _SENTENCES[cause].format(who=who, verb="is" if len(numbers) == 1 else "are")
    return Suggestion(cause, numbers, sentence + and_also)


def _neighbors_low(
    by_number: dict[int, Cylinder], banks: Sequence[Sequence[int]], explained: set[int]
) -> list[tuple[int, ...]]:
    """Runs of two or more low neighbors in a bank.

    One that oil raised belongs to its run while another of it was not tried; then oil has told nothing of both.
    """
    runs: list[tuple[int, ...]] = []
    for bank in banks:
        low = [
            number if number in by_number and by_number[number].is_low and number not in explained else None
            for number in bank
        ]
        for run in _unbroken(low):
            is_open = any(by_number[number].oil is Oil.NOT_TRIED for number in run)
            parts = (
                [run]
                if is_open
                else _unbroken([None if by_number[number].oil is Oil.ROSE else number for number in run])
            )
            runs += [tuple(part) for part in parts if len(part) > 1]
    return runs


def _unbroken(numbers: Sequence[int | None]) -> list[list[int]]:
    """The stretches between gaps."""
    stretches: list[list[int]] = [[]]
    for number in numbers:
        if number is not None:
            stretches[-1].append(number)
        elif stretches[-1]:
            stretches.append([])
    return [stretch for stretch in stretches if stretch]


def _whole_engine(cylinders: Sequence[Cylinder], *, oil_is_used: bool) -> Suggestion:
    numbers = tuple(cylinder.number for cylinder in cylinders)
    worn = all(cylinder.oil is Oil.ROSE for cylinder in cylinders)
    sentence = _SENTENCES[Cause.WHOLE_ENGINE] if oil_is_used else _WHOLE_DIESEL
    return Suggestion(Cause.WHOLE_ENGINE, numbers, _WORN if worn else sentence)


_CAUSE_BY_OIL = {Oil.NOT_TRIED: Cause.UNKNOWN, Oil.ROSE: Cause.RINGS, Oil.UNCHANGED: Cause.VALVES}
_ALL_HIGH = " All of them together: check the gauge against another one first."
_TRY_OIL = " Repeat with oil: a clear rise would point to rings instead."
_RAISED = (
    " Oil raised {who}, which points to rings there and does not rule the gasket out: repeat with oil in all of them "
    "before you judge."
)
_RAISED_ALIKE = (
    "{who} is low and higher with oil, but oil raised a cylinder that is not low as much: it tells nothing of the "
    "rings. Do a leak-down test."
)
_WORN = (
    "All cylinders are low and all rise with oil: rings and cylinders worn. "
    "Rule out throttle, cranking speed and gauge before relying on this."
)
_WHOLE_DIESEL = (
    "All cylinders are low, which is seldom all cylinders' fault: check the battery and cranking speed, whether the "
    "engine was warm, the gauge and its adapter, the air filter, and the valve timing; then a leak-down test."
)
_UNKNOWN_DIESEL = "{who} is low: a leak-down test tells rings from valves. No oil is put into a diesel."
_SENTENCES = {
    Cause.WHOLE_ENGINE: (
        "All cylinders are low, which is seldom all cylinders' fault: check that the throttle was wide open, the "
        "battery and cranking speed, the gauge, and the valve timing; then repeat with oil."
    ),
    Cause.HEAD_GASKET: "{who} are neighbors and low together: the head gasket may leak between them.",
    Cause.RINGS: "{who} is low and clearly higher with oil: rings or cylinder wall.",
    Cause.VALVES: "{who} is low and oil changes little: a valve or its seat, the head gasket or the piston's crown. A "
    "leak-down test tells which.",
    Cause.NO_SEAL: (
        "{who} has no compression at all: a valve held open, a broken valve train, a hole in the piston, or a gauge "
        "that does not seal."
    ),
    Cause.UNKNOWN: "{who} is low: repeat with a spoonful of oil, or do a leak-down test, to tell rings from valves.",
    Cause.ODD_HIGH: (
        "{who} stands far above the others, which are even among themselves: carbon or oil in its chamber, water, or a "
        "reading to repeat. Do not blame the others before that is settled."
    ),
    Cause.DEPOSITS: "{who} {verb} higher than the manual allows: carbon or oil in the chamber, or a wrong gasket.",
    Cause.REPEAT: (
        "{who} reads lower with oil than without: repeat both readings, with the battery charged and the gauge sealed."
    ),
}
