"""What is done to the parts catalog. Parts are never deleted: they stand on jobs."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from commands.envelope import command, tell
from commands.refusals import Refused, refusal_of
from engineering.canonical import plain_decimal
from parts.models import Part
from staff.models import Person
from staff.policy import Permission
from web.versions import apply_changes

FIELDS = frozenset({"number", "maker", "description", "unit_price", "is_active"})
KNOWN_ALREADY = "This part number of this maker is already in the catalog."


def _check(part: Part) -> None:
    try:
        part.full_clean(validate_constraints=False)
    except ValidationError as error:
        raise refusal_of(error) from error
    twins = Part.objects.filter(number__iexact=part.number, maker__iexact=part.maker).exclude(pk=part.pk)
    if twins.exists():
        raise Refused(KNOWN_ALREADY, fields={"number": KNOWN_ALREADY})


def _nothing_more(given: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    """What a change that was made before changes now."""
    given["part"].refresh_from_db()
    return {}


@command("add_part", needs=Permission.EDIT_PARTS)
def add_part(
    *, by: Person, number: str, maker: str, description: str, unit_price: Decimal, entry_id: UUID | None = None
) -> Part:
    """Put a part into the catalog."""
    part = Part(
        number=number.strip(),
        maker=maker.strip(),
        description=description.strip(),
        unit_price=unit_price,
        changed_by=by,
    )
    _check(part)
    try:
        with transaction.atomic():
            part.save()
    except IntegrityError as error:
        raise Refused(KNOWN_ALREADY, fields={"number": KNOWN_ALREADY}) from error
    tell(unit_price=[None, plain_decimal(part.unit_price)])
    return part


@command("change_part", needs=Permission.EDIT_PARTS, again=_nothing_more)
def change_part(
    *, by: Person, part: Part, changes: Mapping[str, Any], seen_version: int | None = None, entry_id: UUID | None = None
) -> dict[str, tuple[Any, Any]]:
    """Change what the catalog says of a part. Jobs keep the price that was charged.

    Raises:
        Conflict: somebody else saved something else in the meantime.
    """
    unknown = set(changes) - FIELDS
    if unknown:
        raise ValueError(f"not to be changed here: {', '.join(sorted(unknown))}")
    wanted = copy.copy(part)
    for name, value in changes.items():
        setattr(wanted, name, value)
    _check(wanted)
    try:
        with transaction.atomic():
            return apply_changes(
                part, seen_version=part.version if seen_version is None else seen_version, changes=changes, by=by
            )
    except IntegrityError as error:
        raise Refused(KNOWN_ALREADY, fields={"number": KNOWN_ALREADY}) from error
