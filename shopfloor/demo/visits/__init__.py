"""What happened to the boats: every visit of the scenario as plain data."""

from __future__ import annotations

from shopfloor.demo.visits.bellwether import BELLWETHER
from shopfloor.demo.visits.harmony import HARMONY
from shopfloor.demo.visits.marguerite import MARGUERITE
from shopfloor.demo.visits.others import OTHERS
from shopfloor.demo.visits.plover import PLOVER
from shopfloor.demo.visits.routine import routine
from shopfloor.demo.visits.saffron import SAFFRON
from shopfloor.demo.visits.skate import SKATE
from shopfloor.demo.visits.tern import TERN
from shopfloor.demo.visits.visit import Charges, Codes, Fits, Readings, Visit

__all__ = ["Charges", "Codes", "Fits", "Readings", "Visit", "all_visits"]


def all_visits() -> list[Visit]:
    """Every visit, oldest first."""
    stories = [*MARGUERITE, *PLOVER, *SKATE, *HARMONY, *TERN, *BELLWETHER, *SAFFRON, *OTHERS, *routine()]
    return sorted(stories, key=lambda visit: (-visit.days_ago, visit.boat))
