"""Does this repair hold better than that one? The repairs of one code, by what the technicians wrote that they did."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from engineering.plurals import plural
from engineering.recurrence import (
    FEWEST_AT_RISK,
    FEWEST_REPAIRS,
    Held,
    NotEnough,
    compare_holding,
    holding_curve,
)
from findings.insight.holding_times import is_placed
from findings.insight.queries import Scope, repairs_in
from vessels.log.afterwards import afterwards

MOST_SORTS = 6


@dataclass(frozen=True)
class RepairSort:
    """Repairs of one code that are described alike. Shares in words; empty where nothing can be told."""

    text: str
    repairs: int
    came_back: int
    share: str
    bounds: str


@dataclass(frozen=True)
class RepairSorts:
    """The sorts of repairs of one code, those with the most first, and what the first two say of each other."""

    sorts: Sequence[RepairSort]
    sentence: str


def repair_sorts(scope: Scope, hold_hours: Decimal) -> RepairSorts | None:
    """The repairs of a scope with one code by their text; None where no two sorts have enough. One query.

    Texts are taken as the same where they differ in spaces and capitals only: what was meant, nobody but their author
    knows. Repairs whose words were corrected are left out.
    """
    found = repairs_in(Scope(scope.family_id, scope.since, scope.code))
    rows = (
        found.annotate(later=afterwards("work_id"))
        .order_by()
        .values_list("work__entry__text", "outcome_hours", "outcome_least_hours", "outcome", "fault__vessel", "later")
    )
    held: dict[str, list[Held]] = defaultdict(list)
    texts: dict[str, str] = {}
    unplaced: dict[str, int] = defaultdict(int)
    corrected = 0
    for text, hours, least, outcome, hull, later in rows:
        if later.notes:
            corrected += 1
            continue
        key = " ".join(text.casefold().split()).rstrip(".")
        texts.setdefault(key, text)
        if not is_placed(outcome, hours):
            unplaced[key] += 1
            continue
        held[key].append(Held(float(hours or 0), outcome == "returned", 1, hull, float(least or 0)))
    known = sorted(held, key=lambda key: (-len(held[key]), key))
    told = [key for key in known if len(held[key]) >= FEWEST_REPAIRS][:MOST_SORTS]
    if len(told) < 2:
        return None
    compared = compare_holding(held[told[0]], held[told[1]], at_hours=float(hold_hours))
    if left := unplaced[told[0]] + unplaced[told[1]]:
        sentence = f"Not compared: {left} of them came back at hours that nobody read."
    elif isinstance(compared, NotEnough):
        sentence = compared.sentence
    else:
        sentence = compared.sentence(f"“{_short(texts[told[0]])}”", f"“{_short(texts[told[1]])}”")
        sentence += " Which boat got which repair was not left to chance, so that other causes may be behind it."
    if corrected:
        sentence += f" Left out: {corrected} {plural(corrected, 'repair')} whose words were corrected."
    sorts = [_sort(texts[key], held[key], unplaced[key], float(hold_hours)) for key in told]
    return RepairSorts(sorts, sentence)


def _short(text: str) -> str:
    words = text.split()
    return " ".join(words[:8]).rstrip(".") + ("…" if len(words) > 8 else "")


def _sort(text: str, held: Sequence[Held], unplaced: int, hold_hours: float) -> RepairSort:
    curve = holding_curve(held, fewest_at_risk=FEWEST_AT_RISK) if not unplaced else NotEnough("")
    point = None if isinstance(curve, NotEnough) else curve.at(hold_hours)
    return RepairSort(
        text=text,
        repairs=len(held) + unplaced,
        came_back=sum(one.came_back for one in held) + unplaced,
        share="" if point is None else point.words,
        bounds="" if point is None else point.bounds_words,
    )
