"""What floors above teach the envelope: who may do what, and which records belong together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.db import models

Policy = Callable[[Any, Any], None]
"""Asked with the actor and what an act needs; raises ``Refused`` where the person may not."""
Belonging = Callable[[models.Model, Mapping[str, Any]], None]
"""Asked with the record whose turn is held and the arguments by name; raises ``Refused`` at a stranger among them."""

_policies: list[Policy] = []
_belongings: list[Belonging] = []


def ask_with(policy: Policy) -> None:
    """Make the house's policy known; called where it is defined."""
    _policies[:] = [policy]


def check_with(belonging: Belonging) -> None:
    """Have every act's arguments looked at before it is done."""
    if belonging not in _belongings:
        _belongings.append(belonging)


def ask(actor: Any, needed: Any) -> None:
    """Refuse unless the actor may do what an act needs: one permission, or each of several."""
    for one in needed if isinstance(needed, list | tuple | set) else [needed]:
        for policy in _policies:
            policy(actor, one)


def refuse_strangers(held: models.Model, given: Mapping[str, Any]) -> None:
    """Refuse arguments that are not of the record whose turn is held."""
    for belonging in _belongings:
        belonging(held, given)
