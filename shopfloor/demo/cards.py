"""A spec card that was revised when the maker's next edition came, as a table; what was judged before stays."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from findings.readings.actions import CardRows, NewLimit, change_card, revise_limits
from findings.readings.models import SpecCard, SpecLimit
from shopfloor.demo.stage import Stage, scenario_id

REVISED_AGO = 220


def revise_card(stage: Stage) -> None:
    """The six-cylinder diesel's card: another highest boost pressure and another nominal charging voltage."""
    stage.clock.turn(stage.clock.at(REVISED_AGO, "07:45"))
    card = SpecCard.objects.get(family=stage.families["N6"], title="Running checks", engine_models="")
    revised: dict[str, dict[str, Any]] = {
        "Boost pressure": {"high": Decimal("29.5"), "page": "23"},
        "Charging voltage": {"nominal": Decimal("28.2"), "page": "31"},
    }
    source = card.document.replace("2nd edition, table 4", "supplement to the 2nd edition")
    limits = [
        replace(_as_written(limit), source=source, **revised[limit.parameter.name])
        for limit in card.limits.filter(ended_at=None).select_related("parameter")
        if limit.parameter.name in revised
    ]
    gail = stage.people["gail"]
    rows = [CardRows(card, card.version, limits)]
    revise_limits(by=gail, family=card.family, cards=rows, entry_id=scenario_id("card", "revised"))
    card.refresh_from_db()
    change_card(
        by=gail,
        card=card,
        changes={"notes": "Boost is read at the intake manifold, not at the compressor."},
        limits=[_as_written(limit) for limit in card.limits.filter(ended_at=None).select_related("parameter")],
        entry_id=scenario_id("card", "noted"),
    )


def _as_written(limit: SpecLimit) -> NewLimit:
    return NewLimit(
        parameter=limit.parameter,
        unit=limit.unit,
        condition=limit.condition,
        low=limit.low,
        nominal=limit.nominal,
        high=limit.high,
        near_percent=limit.near_percent,
        source=limit.source,
        page=limit.page,
    )
