"""Temperature sensors by a maker's table of resistances."""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from engineering.amounts import AmountProblem, require_positive
from engineering.sensors.thermistor import ZERO_C_IN_K, ohms

_FAR = 10.0

MISPRINT_C = 0.4
"""How far off its neighbors an entry may lie before it is called doubtful (own rule, for steps of 10 to 25 °C)."""


@dataclass(frozen=True, slots=True)
class DoubtfulEntry:
    """An entry of a table that lies ``error_c`` off the curve through its neighbors, where ``expected_ohm`` is."""

    temperature_c: float
    resistance_ohm: float
    expected_ohm: float
    error_c: float


class SensorTable:
    """A maker's table: pairs of temperature in °C and resistance in ohms, in any order.

    Between two entries of a thermistor, ln R is taken as straight over 1/T: that is the beta equation with the beta
    of those two entries. R taken as straight over T is far worse: with a published table thinned to 0 and 20 °C, the
    entry at 10 °C comes out 2.7 °C too warm that way, and 0.04 °C off this way. Where the resistance rises with the
    temperature (platinum and other metals) R is nearly straight over T, and is taken so. Outside of the table nothing
    is guessed. Raises :class:`AmountProblem` unless the resistance always falls, or always rises.
    """

    def __init__(self, entries: Sequence[tuple[float, float]]) -> None:
        """Put the entries in order and refuse a table that turns."""
        if len(entries) < 2:
            raise AmountProblem("A table needs two entries at least.", field="entries")
        for row, (celsius, ohm) in enumerate(entries, start=1):
            if not math.isfinite(celsius) or celsius <= -ZERO_C_IN_K:
                raise AmountProblem(
                    "A temperature of the table is below absolute zero, or no number.", field="entries", row=row
                )
            require_positive("entries", ohm, "The resistance of each entry", row=row)
        self.entries = tuple(sorted(entries))
        self.falls = self.entries[0][1] > self.entries[-1][1]
        for (cold_c, cold_ohm), (warm_c, warm_ohm) in pairwise(self.entries):
            row = entries.index((warm_c, warm_ohm)) + 1
            if cold_c == warm_c:
                raise AmountProblem(f"The table has {cold_c:g} °C twice.", field="entries", row=row)
            if cold_ohm == warm_ohm or (cold_ohm > warm_ohm) is not self.falls:
                way = "fall" if self.falls else "rise"
                raise AmountProblem(
                    f"The resistance does not {way} from {cold_c:g} to {warm_c:g} °C as it does elsewhere. Check it.",
                    field="entries",
                    row=row,
                )

    def temperature_c(self, resistance_ohm: float) -> float:
        """The temperature in °C at a resistance in ohms; raises :class:`AmountProblem` outside of the table."""
        require_positive("resistance_ohm", resistance_ohm, "The resistance")
        resistances = [ohm for _, ohm in self.entries]
        least, most = min(resistances), max(resistances)
        if not least <= resistance_ohm <= most:
            raise AmountProblem(self._outside(resistance_ohm, least, most), field="resistance_ohm")
        if self.falls:
            at = bisect_left([-ohm for ohm in resistances], -resistance_ohm)
        else:
            at = bisect_left(resistances, resistance_ohm)
        return self.entries[at][0] if self.entries[at][1] == resistance_ohm else self._between(at, resistance_ohm)

    def resistance_ohm(self, temperature_c: float) -> float:
        """The resistance in ohms to expect at a temperature in °C; :class:`AmountProblem` outside of the table."""
        coldest, warmest = self.entries[0][0], self.entries[-1][0]
        if not coldest <= temperature_c <= warmest:  # also refuses what is no number
            raise AmountProblem(
                f"The table goes from {coldest:g} to {warmest:g} °C. Outside of it nothing is guessed.",
                field="temperature_c",
            )
        at = bisect_left([celsius for celsius, _ in self.entries], temperature_c)
        if self.entries[at][0] == temperature_c:
            return self.entries[at][1]
        return _resistance_on(self.entries[at - 1], self.entries[at], temperature_c, falls=self.falls)

    def is_near(self, resistance_ohm: float) -> bool:
        """Whether a resistance in ohms lies in the table, or beyond its end by less than a sensor can be off in use.

        Ten times the end's resistance is more than any sensor changes beyond its table (common practice, no source).
        """
        resistances = [ohm for _, ohm in self.entries]
        return min(resistances) / _FAR <= resistance_ohm <= max(resistances) * _FAR

    def doubtful_entries(self, *, within_c: float = MISPRINT_C) -> tuple[DoubtfulEntry, ...]:
        """The entries that lie more than ``within_c`` off the curve through their two neighbors.

        Such an entry is often misprinted. An error also shows, smaller, at its neighbors. The first and the last entry
        have no two neighbors and are not looked at.
        """
        found = []
        for before, (celsius, ohm), after in zip(self.entries, self.entries[1:], self.entries[2:], strict=False):
            without = SensorTable([before, after])
            error = without.temperature_c(ohm) - celsius
            if abs(error) > within_c:
                found.append(DoubtfulEntry(celsius, ohm, without.resistance_ohm(celsius), error))
        return tuple(found)

    def _between(self, at: int, resistance_ohm: float) -> float:
        (cold_c, cold_ohm), (warm_c, warm_ohm) = self.entries[at - 1], self.entries[at]
        if not self.falls:
            return cold_c + (warm_c - cold_c) * (resistance_ohm - cold_ohm) / (warm_ohm - cold_ohm)
        share = math.log(cold_ohm / resistance_ohm) / math.log(cold_ohm / warm_ohm)
        cold, warm = 1 / (cold_c + ZERO_C_IN_K), 1 / (warm_c + ZERO_C_IN_K)
        return 1 / (cold + share * (warm - cold)) - ZERO_C_IN_K

    def _outside(self, resistance_ohm: float, least: float, most: float) -> str:
        coldest, warmest = self.entries[0][0], self.entries[-1][0]
        is_colder = (resistance_ohm > most) is self.falls
        where = f"colder than {coldest:g} °C" if is_colder else f"warmer than {warmest:g} °C"
        fault = "an open circuit" if resistance_ohm > most else "a short"
        return (
            f"{ohms(resistance_ohm)} is outside of the table ({least:g} to {most:g} Ω): {where}, or {fault}. "
            "Outside of it nothing is guessed."
        )


def _resistance_on(
    before: tuple[float, float], after: tuple[float, float], temperature_c: float, *, falls: bool
) -> float:
    (cold_c, cold_ohm), (warm_c, warm_ohm) = before, after
    if not falls:
        return cold_ohm + (warm_ohm - cold_ohm) * (temperature_c - cold_c) / (warm_c - cold_c)
    cold, warm = 1 / (cold_c + ZERO_C_IN_K), 1 / (warm_c + ZERO_C_IN_K)
    share = (1 / (temperature_c + ZERO_C_IN_K) - cold) / (warm - cold)
    return cold_ohm * math.exp(share * math.log(warm_ohm / cold_ohm))
