"""Who speaks in a log, and to which engine and control unit of the boat each sender belongs. Pure but for the boat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engineering.canlog import LogSummary, ParameterSpan, StatusSpan
from engineering.codes.dm import DM_NAMES
from findings.canlogs.naming import OF_THE_BOAT
from vessels.models import ControlUnit, Engine

BOAT = "boat"
LEFT_OUT = ""
MOST_SENDERS = 60
FIRST_ENGINE = 0
"""The address that the first engine's unit prefers (SAE J1939, from memory)."""
_POSITIONS = {0: ("port", "single"), 1: ("starboard",)}


@dataclass(frozen=True)
class Sender:
    """One sender (a channel and a source address), about one engine by its number, the boat, or itself."""

    channel: str
    source: int
    instance: int | None
    is_about_boat: bool = False

    @property
    def key(self) -> str:
        """The same for the same sender in another log of this boat."""
        about = BOAT if self.is_about_boat else "unit" if self.instance is None else f"engine-{self.instance}"
        return f"{self.channel}/{self.source}/{about}"

    @property
    def words(self) -> str:
        """What a person reads."""
        address = f"Address {self.source}" + (f" on {self.channel}" if self.channel else "")
        if self.is_about_boat:
            return f"{address}, batteries, tanks and places"
        return address if self.instance is None else f"{address}, engine {self.instance}"


def sender_of(span: ParameterSpan | StatusSpan) -> Sender:
    """Whose sender a value or a status bit is."""
    if span.pgn in OF_THE_BOAT:
        return Sender(span.channel, span.source, None, is_about_boat=True)
    return Sender(span.channel, span.source, span.instance)


def _number(sender: Sender) -> int:
    return -1 if sender.instance is None else sender.instance


def senders_in(summary: LogSummary) -> list[Sender]:
    """Every sender of a log, in order."""
    found = {sender_of(span) for span in summary.parameters} | {sender_of(span) for span in summary.statuses}
    found |= {Sender(span.channel, span.source, None) for span in summary.codes}
    found |= {Sender(span.channel, span.source, None) for span in summary.units}
    found |= {Sender(span.channel, span.source, None) for span in summary.incomplete or () if span.pgn in DM_NAMES}
    return sorted(found, key=lambda one: (one.channel, one.source, one.is_about_boat, _number(one)))


@dataclass(frozen=True)
class Target:
    """Where what a sender says goes: a control unit with its engine, an engine alone, the boat, or nowhere."""

    value: str
    words: str
    engine: Engine | None = None
    unit: ControlUnit | None = None

    @property
    def is_anywhere(self) -> bool:
        """Whether what the sender says can be logged at all."""
        return self.value != LEFT_OUT


def targets_of(units: Sequence[ControlUnit], engines: Sequence[Engine]) -> list[Target]:
    """All that a sender can belong to on a boat."""
    return [
        *(Target(f"unit-{unit.pk}", str(unit), unit.engine, unit) for unit in units),
        *(Target(f"engine-{engine.pk}", f"{engine}, no unit", engine) for engine in engines),
        Target(BOAT, "The boat itself"),
        Target(LEFT_OUT, "Leave it out"),
    ]


def usual_targets(
    senders: Sequence[Sender], targets: Sequence[Target], remembered: Mapping[str, str]
) -> dict[Sender, Target]:
    """Where each sender most likely belongs: as last time, else by the unit's address, else by the engine's number."""
    by_value = {target.value: target for target in targets}
    return {
        sender: by_value.get(remembered.get(sender.key, "none of them")) or _guess(sender, senders, targets)
        for sender in senders
    }


def _guess(sender: Sender, senders: Sequence[Sender], targets: Sequence[Target]) -> Target:
    boat, nowhere = targets[-2], targets[-1]
    if sender.is_about_boat:
        return boat
    at_address = [target for target in targets if target.unit is not None and target.unit.address == sender.source]
    numbers = {one.instance for one in senders if (one.channel, one.source) == (sender.channel, sender.source)} - {None}
    if len(at_address) == 1 and (sender.instance is None or len(numbers) == 1):
        return at_address[0]
    if sender.instance is not None:
        return _by_number(sender.instance, targets) or nowhere
    with_unit = [(target, target.unit.address) for target in targets if target.unit is not None]
    is_of_engine = sender.source == FIRST_ENGINE or not any(
        one.instance is None and not one.is_about_boat and one != sender for one in senders
    )
    if is_of_engine and len(with_unit) == 1 and with_unit[0][1] is None:
        return with_unit[0][0]
    return nowhere


def _by_number(instance: int, targets: Sequence[Target]) -> Target | None:
    """The first unit of the engine that has this number on a network: 0 the port or only one, 1 the starboard one.

    How three engines are numbered is not agreed upon, so that nothing is guessed there.
    """
    if any(target.engine is not None and target.engine.position == "center" for target in targets):
        return None
    fitting = [
        target
        for target in targets
        if target.engine is not None and target.engine.position in _POSITIONS.get(instance, ())
    ]
    return fitting[0] if fitting else None
