"""A fault's history between the replay and the database: as JSON, as columns, as rows of episodes. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from cattrs.gen import make_dict_structure_fn
from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.dataclass_json import dataclass_converter
from engineering.faults import Episode, FaultHistory, FaultState, Rest

_CONVERTER = dataclass_converter(forbid_extra_keys=False)  # beside what the replay says, the fault page's marks stand
_CONVERTER.register_unstructure_hook(Decimal, plain_decimal)
_CONVERTER.register_unstructure_hook(datetime, lambda at: at.astimezone(UTC).isoformat())
_CONVERTER.register_structure_hook(datetime, lambda text, _: timezone.localtime(datetime.fromisoformat(text)))
_read_episode = make_dict_structure_fn(Episode, _CONVERTER)


@_CONVERTER.register_structure_hook
def _episode(row: Mapping[str, Any], _: type[Episode]) -> Episode:
    """An episode; of one that was stored before a field was there, what stood for it then."""
    earlier = {
        "gap_most_hours": row["gap_hours"],
        "since_at": row["closed_at"],
        "since_hours": row["closed_hours"],
    }
    return _read_episode({**earlier, **row}, Episode)


def history_as_json(history: FaultHistory) -> dict[str, Any]:
    """The replay's answer as plain JSON; ``history_from_json`` gives the same history back."""
    plain: dict[str, Any] = _CONVERTER.unstructure(history)
    return plain


_NEVER_SEEN = history_as_json(
    FaultHistory(
        state=FaultState.NONE,
        status_now=None,
        episodes=(),
        last_seen_at=None,
        last_seen_hours=None,
        cleared_at=None,
        cleared_hours=None,
        proven_to_at=None,
        proven_to_hours=None,
        held=False,
        permanent_copy=False,
        unused_keys=(),
    )
)


def history_from_json(stored: Mapping[str, Any]) -> FaultHistory:
    """The history that was stored, with its times in the zone of the reader. An empty one was never seen."""
    return _CONVERTER.structure({**_NEVER_SEEN, **stored}, FaultHistory)


def rest_as_json(rest: Rest) -> dict[str, Any]:
    """What a replay that goes on from a stored history has to know beside it."""
    plain: dict[str, Any] = _CONVERTER.unstructure(rest)
    return plain


def rest_from_json(stored: Mapping[str, Any]) -> Rest:
    """The rest that was stored."""
    return _CONVERTER.structure(stored, Rest)
