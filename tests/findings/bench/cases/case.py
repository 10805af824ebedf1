"""One case from the trade with the judgment that a careful mechanic gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass

from findings.bench.fields import Inputs

GOOD, NEAR, OUT = "in range", "near", "out"
NOT_JUDGED = "no limits"
"""No verdict anywhere: nothing to judge by, or the table is for something else."""
REFUSED = "refused"
"""No result: the inputs cannot be, and a sentence beside the field says so."""
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Case:
    """``says`` are words of all that the result says (or of the refusal), ``never`` words that would be false.

    ``field`` is the control that a refusal stands beside. ``why`` names the source, or says how the case is judged.
    ``has_engine_of`` sets the fuel of the engine at hand.
    """

    inputs: Inputs
    verdict: str
    says: Sequence[str] = ()
    _: KW_ONLY
    never: Sequence[str] = ()
    field: str = ""
    why: str = PRACTICE
    fuel: str = ""
    readings: Sequence[tuple[str, str, str, str]] = ()
    """On record before: engine hours, value, unit and instrument of a fuel pressure that is to be 38 to 46 psi."""
    away: Sequence[tuple[float, float]] | None = None
    """On record before: of each return of the fault, the hours away that a scan proves and those at which it was seen."""
    away_now: float | None = None
    is_slip: bool = False
    """Typed over the tool's own example."""
