"""A fault's history between the replay and the database: as JSON, as columns, as rows of episodes. Pure."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.codes import CodeStatus
from engineering.faults import Episode, FaultHistory, FaultState, Rest


def _text(value: Decimal | datetime | None) -> str | None:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return None if value is None else plain_decimal(value)


def _time(value: str | None) -> datetime | None:
    return _known_time(value) if value else None


def _known_time(value: str) -> datetime:
    return timezone.localtime(datetime.fromisoformat(value))


def _number(value: str | None) -> Decimal | None:
    return None if value is None else Decimal(value)


def history_as_json(history: FaultHistory) -> dict[str, Any]:
    """The replay's answer as plain JSON; ``history_from_json`` gives the same history back."""
    return {
        "state": history.state.value,
        "status_now": history.status_now.value if history.status_now else None,
        "last_seen_at": _text(history.last_seen_at),
        "last_seen_hours": _text(history.last_seen_hours),
        "cleared_at": _text(history.cleared_at),
        "cleared_hours": _text(history.cleared_hours),
        "proven_to_at": _text(history.proven_to_at),
        "proven_to_hours": _text(history.proven_to_hours),
        "held": history.held,
        "permanent_copy": history.permanent_copy,
        "unused_keys": list(history.unused_keys),
        "episodes": [_episode_as_json(episode) for episode in history.episodes],
    }


def rest_as_json(rest: Rest) -> dict[str, Any]:
    """What a replay that goes on from a stored history has to know beside it."""
    worked = [_text(rest.worked[0]), _text(rest.worked[1])] if rest.worked is not None else None
    return {"visit": rest.visit, "worked": worked}


def rest_from_json(stored: dict[str, Any]) -> Rest:
    """The rest that was stored."""
    worked = stored["worked"]
    return Rest(stored["visit"], (_known_time(worked[0]), _number(worked[1])) if worked else None)


def _episode_as_json(episode: Episode) -> dict[str, Any]:
    return {
        "number": episode.number,
        "opened_at": _text(episode.opened_at),
        "opened_hours": _text(episode.opened_hours),
        "opened_with": episode.opened_with.value,
        "beginning_unknown": episode.beginning_unknown,
        "last_seen_at": _text(episode.last_seen_at),
        "last_seen_hours": _text(episode.last_seen_hours),
        "last_status": episode.last_status.value,
        "closed_at": _text(episode.closed_at),
        "closed_hours": _text(episode.closed_hours),
        "closed_by": episode.closed_by,
        "sightings": episode.sightings,
        "status_changes": episode.status_changes,
        "keys": list(episode.keys),
        "gap_hours": _text(episode.gap_hours),
        "gap_days": episode.gap_days,
        "gap_least_hours": _text(episode.gap_least_hours),
        "gap_most_hours": _text(episode.gap_most_hours),
        "since_at": _text(episode.since_at),
        "since_hours": _text(episode.since_hours),
        "after_work": episode.after_work,
        "not_fixed_yet": episode.not_fixed_yet,
    }


def history_from_json(stored: dict[str, Any]) -> FaultHistory:
    """The history that was stored, with its times in the zone of the reader. An empty one was never seen."""
    return FaultHistory(
        state=FaultState(stored.get("state", "none")),
        status_now=CodeStatus(stored["status_now"]) if stored.get("status_now") else None,
        episodes=tuple(_episode_from_json(row) for row in stored.get("episodes", [])),
        last_seen_at=_time(stored.get("last_seen_at")),
        last_seen_hours=_number(stored.get("last_seen_hours")),
        cleared_at=_time(stored.get("cleared_at")),
        cleared_hours=_number(stored.get("cleared_hours")),
        proven_to_at=_time(stored.get("proven_to_at")),
        proven_to_hours=_number(stored.get("proven_to_hours")),
        held=stored.get("held", False),
        permanent_copy=stored.get("permanent_copy", False),
        unused_keys=tuple(stored.get("unused_keys", [])),
    )


def _episode_from_json(row: dict[str, Any]) -> Episode:
    return Episode(
        number=row["number"],
        opened_at=_known_time(row["opened_at"]),
        opened_hours=_number(row["opened_hours"]),
        opened_with=CodeStatus(row["opened_with"]),
        beginning_unknown=row["beginning_unknown"],
        last_seen_at=_known_time(row["last_seen_at"]),
        last_seen_hours=_number(row["last_seen_hours"]),
        last_status=CodeStatus(row["last_status"]),
        closed_at=_time(row["closed_at"]),
        closed_hours=_number(row["closed_hours"]),
        closed_by=row["closed_by"],
        sightings=row["sightings"],
        status_changes=row["status_changes"],
        keys=tuple(row["keys"]),
        gap_hours=_number(row["gap_hours"]),
        gap_days=row["gap_days"],
        gap_least_hours=_number(row.get("gap_least_hours")),
        gap_most_hours=_number(row.get("gap_most_hours", row["gap_hours"])),
        since_at=_time(row.get("since_at", row["closed_at"])),
        since_hours=_number(row.get("since_hours", row["closed_hours"])),
        after_work=row.get("after_work", False),
        not_fixed_yet=row.get("not_fixed_yet", False),
    )
