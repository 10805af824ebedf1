"""What a tank, its sender, a dipstick and an ohmmeter say together, for the tools that know the tank differently."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engineering.amounts import AmountProblem
from engineering.measures import Kind
from engineering.sensors.level_sender import AMERICAN, EUROPEAN, LevelSender, SenderState
from engineering.tanks.calibration import SenderInTank, table_by_height, table_by_share
from engineering.tanks.shapes import Tank
from findings.bench.filled_rows import rows_of
from findings.bench.tool import (
    Choice,
    Column,
    Field,
    Figure,
    Given,
    Outcome,
    Quantity,
    Rows,
    Table,
    ToolProblem,
    Verdict,
    Words,
)

LITERS = 1000.0
BY_HEIGHT = "height"
DIVIDED_BY_ITSELF = 10
"""Steps of the height where no step was written."""
_LARGEST_M3 = 100.0
"""26,000 gal: more is a foot for an inch. Common practice, no source."""
APART = 0.05
"""Share of the capacity by which dipstick and sender may differ before it is said (common practice, no source)."""

CURVE = Rows(
    "curve", "The sender's own curve",
    (Quantity("level", "Float", Kind.PERCENT, "%"), Quantity("ohm", "Resistance", Kind.RESISTANCE, "ohm")),
    row_label="Point", start=3, least=2, most=20, required=False, argument="points", section="Sender",
    hint="0 % and 100 % of the float's travel at least; only for a sender with its own curve.",
)  # fmt: skip
SENDERS = (("us", "240–33 Ω"), ("eu", "10–180 Ω"), ("own", "Own curve"), ("none", "None"))
TANK = Words("tank", "Which tank", required=False, hint="Such as port fuel.")
USED: tuple[Field, ...] = (
    Quantity(
        "dip", "Height of the contents", Kind.LENGTH, "m", us="in", metric="cm",
        argument="height_m", required=False, section="Measured", hint="By a clean stick from the lowest point.",
    ),
    Quantity(
        "reads", "Sender reads", Kind.RESISTANCE, "ohm",
        argument="resistance_ohm", required=False, section="Measured", least=0, hint="Unplugged, key off.",
    ),
    Choice("sender", "Sender", SENDERS, required=False, section="Sender"),
    Quantity(
        "lowest", "Float at its lowest", Kind.LENGTH, "m", us="in", metric="cm",
        argument="lowest_m", required=False, section="Sender", hint="Above the lowest point. Empty: at the bottom.",
    ),
    Quantity(
        "highest", "Float at its highest", Kind.LENGTH, "m", us="in", metric="cm",
        argument="highest_m", required=False, section="Sender", hint="Empty: at the top.",
    ),
    CURVE,
    Choice(
        "lines", "A line for each",
        (("4", "quarter"), ("8", "eighth"), ("16", "sixteenth"), (BY_HEIGHT, "step of height")),
        default="8", section="Table to print",
    ),
    Quantity(
        "step", "Step of height", Kind.LENGTH, "m", us="in", metric="cm",
        argument="step_m", required=False, section="Table to print", hint="Empty: a tenth of the height.",
    ),
)  # fmt: skip


@dataclass(frozen=True)
class _Contents:
    """What is in the tank by one way of looking: cubic meters, share of the capacity, height in meters."""

    volume_m3: float
    share: float
    height_m: float


def chosen_sender(given: Given) -> LevelSender | None:
    """The sender chosen, with its own curve where that was.

    Raises:
        ToolProblem: its own curve was chosen and not written.
    """
    chosen = given.choice("sender")
    if chosen != "own":
        return {"us": AMERICAN, "eu": EUROPEAN}.get(chosen)
    pairs = given.pairs("curve") if given.values.get("curve") else []
    if not pairs:
        raise ToolProblem("Enter the sender's curve, or choose another sender.", field="curve")
    with rows_of(given, "curve"):
        return LevelSender(tuple((level / 100, ohm) for level, ohm in pairs))


def tank_outcome(given: Given, tank: Tank, *, notes: Sequence[str] = (), is_by_fills: bool = False) -> Outcome:
    """The answer from a tank and the fields ``USED``; by fills it is known up to the highest of them only.

    Raises:
        ToolProblem: a sender's reading without a sender, or a sender without its curve.
    """
    placed = _placed(given, tank)
    dip_m, reads_ohm = given.number_or_none("dip"), given.number_or_none("reads")
    if dip_m is not None and not 0 <= dip_m <= tank.height_m:
        top = given.show(tank.height_m, "m", us="in", metric="cm", significant=4)
        if is_by_fills:
            raise ToolProblem(f"The fills go up to {top}. Above that nothing is guessed.", field="dip")
        raise ToolProblem(f"The tank is {top} high inside. Check the stick and the tank's measures.", field="dip")
    if tank.capacity_m3 > _LARGEST_M3:
        raise ToolProblem(
            f"That makes a tank of {_volume(given, tank.capacity_m3)}. Check the measures and their units."
        )
    capacity = Figure("Capacity", tank.capacity_m3 * LITERS, "L", significant=4)
    holds = f"{_volume(given, tank.capacity_m3)} {'at the highest fill' if is_by_fills else 'when full'}"
    figures = [capacity]
    said = list(notes)
    by_stick = None if dip_m is None else _at(tank, dip_m)
    by_sender, state = _by_sender(tank, placed, reads_ohm, said)
    if by_sender is not None:
        figures.append(Figure("By the sender", by_sender.volume_m3 * LITERS, "L", significant=4))
    if by_stick is not None and by_sender is not None:
        apart = by_sender.share - by_stick.share
        if abs(apart) > APART:
            way = "more" if apart > 0 else "less"
            said.append(f"The sender says {abs(apart) * 100:.0f} % of the tank {way} than the stick.")
    failed = state in (SenderState.OPEN, SenderState.SHORTED)
    verdict = Verdict.OUT if failed else None
    tables = (_table(given, tank, placed),)
    found = by_stick or by_sender
    if found is None:
        sentence = "The sender tells no level." if failed else "The table gives the contents at each height."
        return Outcome(
            f"It holds {holds}. {sentence}",
            main=Figure("Sender", reads_ohm or 0.0, "ohm", significant=4, entered="reads") if failed else capacity,
            figures=figures if failed else figures[1:],
            verdict=verdict,
            notes=said,
            tables=tables,
            logs_as="Level sender resistance" if failed else "",
            condition=given.words("tank"),
        )
    figures.append(Figure("Share of the capacity", found.share * 100, "%"))
    if by_stick is None:
        figures.append(Figure("Height", found.height_m, "m", us="in", metric="cm"))
    return Outcome(
        f"It holds {_volume(given, found.volume_m3)} now, {given.show(found.share * 100, '%')}, and {holds}.",
        main=Figure("Contents", found.volume_m3 * LITERS, "L", significant=4),
        figures=figures,
        verdict=verdict,
        notes=said,
        tables=tables,
        logs_as="Tank contents",
        condition=", ".join(filter(None, (given.words("tank"), "by stick" if by_stick else "by sender"))),
    )


def _placed(given: Given, tank: Tank) -> SenderInTank | None:
    """The sender in the tank, its float from the bottom to the top unless it was written otherwise."""
    sender = chosen_sender(given)
    lowest, highest = given.number_or_none("lowest"), given.number_or_none("highest")
    if sender is None:
        if given.number_or_none("reads") is not None:
            raise ToolProblem("Choose the sender that this was read from.", field="sender")
        return None
    if highest is not None and highest > tank.height_m:
        raise ToolProblem("The float cannot be above the top of the tank.", field="highest")
    return SenderInTank(sender, 0.0 if lowest is None else lowest, tank.height_m if highest is None else highest)


def _at(tank: Tank, height_m: float) -> _Contents:
    volume = tank.volume_m3(height_m)
    return _Contents(volume, volume / tank.capacity_m3, height_m)


def _by_sender(
    tank: Tank, placed: SenderInTank | None, reads_ohm: float | None, said: list[str]
) -> tuple[_Contents | None, SenderState | None]:
    """What the sender says is in the tank, and adds to ``said`` what is odd about its reading."""
    if placed is None or reads_ohm is None:
        return None, None
    reading = placed.sender.read(reads_ohm)
    if reading.state is not SenderState.READS:
        said.append(f"The sender reads {reads_ohm:g} Ω. {reading.sentence}")
    height_m = placed.height_m(reading)
    if height_m is None:
        return None, reading.state
    if reading.fraction in (0.0, 1.0):
        said.append("The float is at its stop: the contents may be beyond it.")
    return _at(tank, height_m), reading.state


def _table(given: Given, tank: Tank, placed: SenderInTank | None) -> Table:
    """The calibration table."""
    lines = given.choice("lines")
    if lines == BY_HEIGHT:
        step_m = given.number_or_none("step")
        if step_m is not None and step_m <= 0:
            raise ToolProblem("The step of height must be more than 0.", field="step")
        step_m = step_m or tank.height_m / DIVIDED_BY_ITSELF
        rows = table_by_height(tank, step_m=step_m, sender=placed)
    elif lines.isdigit():
        rows = table_by_share(tank, parts=int(lines), sender=placed)
    else:
        raise AmountProblem("Choose how the table is divided.", field="lines")
    columns = [
        Column("Height", "m", us="in", metric="cm", decimals=1),
        Column("Contents", "L", decimals=1),
        Column("Share", "%", decimals=1),
    ]
    if placed is not None:
        columns.append(Column("Sender", "ohm", decimals=0))
    cells = [
        [row.height_m, row.volume_m3 * LITERS, row.fraction * 100, *([] if placed is None else [row.sender_ohm])]
        for row in rows
    ]
    which = given.words("tank")
    return Table(f"Calibration table{f', {which}' if which else ''}", columns, cells)


def _volume(given: Given, volume_m3: float) -> str:
    return given.show(volume_m3 * LITERS, "L", significant=4)
