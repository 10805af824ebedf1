"""Where in a boat the next engine most likely stands."""

from __future__ import annotations

from collections.abc import Collection

_AMONG_SEVERAL = ("port", "starboard", "center", "generator")


def next_position(taken: Collection[str]) -> str:
    """The position to begin with where these are taken: a suggestion, which the person may change.

    A boat without a propulsion engine begins with a single one; beside others there is no single one.
    """
    if not set(taken) - {"generator"}:
        return "single"
    return next((position for position in _AMONG_SEVERAL if position not in taken), "generator")
