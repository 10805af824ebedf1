"""The shop says what it allows on top, and which rules it follows."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from billing.authorizations.models import AuthorizationRules
from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound

RULES = (
    "tolerance_percent", "tolerance_amount", "nothing_on_top", "estimate_first", "estimate_from", "specify_more",
    "time_and_materials", "citation",
)  # fmt: skip


@command("change_authorization_rules", needs=Permission.MANAGE_SHOP, writes_to="rules")
def change_authorization_rules(
    *, by: Person, rules: AuthorizationRules, seen_version: int, changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> AuthorizationRules:  # fmt: skip
    """Say what the shop allows on top of an authorized sum, and where that is from.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it cannot be.
        ValueError: a field is not one of the rules.
    """
    if strange := set(changes) - set(RULES):
        raise ValueError(f"not a rule of authorization: {', '.join(sorted(strange))}")
    stored = AuthorizationRules.objects.get(pk=rules.pk)
    for name, value in changes.items():
        setattr(stored, name, value.strip() if isinstance(value, str) else value)
    refuse_unsound(stored, RULES)
    if stored.nothing_on_top and (stored.tolerance_percent or stored.tolerance_amount):
        sentence = "Leave what is allowed on top empty, or do not select that nothing is."
        raise Refused(sentence, fields={"nothing_on_top": sentence})
    if stored.estimate_from is not None and not stored.estimate_first:
        sentence = "Select that an estimate comes first, or leave this empty."
        raise Refused(sentence, fields={"estimate_from": sentence})
    apply_changes(rules, seen_version=seen_version, changes={name: getattr(stored, name) for name in changes}, by=by)
    return rules
