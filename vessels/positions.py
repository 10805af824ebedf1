"""Where in a boat an engine stands: one in each place."""

from __future__ import annotations

from collections.abc import Collection

from vessels.models import Engine, Vessel

_AMONG_SEVERAL = ("port", "starboard", "center", "generator")


def next_position(taken: Collection[str]) -> str:
    """The position to begin with where these are taken: a suggestion, which the person may change.

    A boat without a propulsion engine begins with a single one; beside others there is no single one.
    """
    if not set(taken) - {"generator"}:
        return "single"
    return next((position for position in _AMONG_SEVERAL if position not in taken), "generator")


def taken_words(vessel: Vessel, position: str, *, but: Engine | None = None) -> str:
    """Why no other engine can stand there; empty where it can. A generator may stand beside another."""
    if position == "generator":
        return ""
    others = vessel.engines.filter(position=position, removed_on=None)
    there = (others if but is None or but.pk is None else others.exclude(pk=but.pk)).first()
    if there is None:
        return ""
    return f"There is already an engine in this position: {there}. Remove that one first, or choose another."
