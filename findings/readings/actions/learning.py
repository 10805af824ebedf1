"""What a name on an instrument means."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from commands.envelope import command, tell
from commands.refusals import Refused
from findings.instruments.models import Instrument
from findings.readings.models import LearnedName, Parameter
from findings.readings.pasting import folded
from staff.models import Person
from staff.policy import Permission


@dataclass(frozen=True)
class NameMeans:
    """A name that an instrument gives, and what it is of."""

    name: str
    parameter: Parameter


@command("learn_names", needs=Permission.LOG_FINDINGS)
def learn_names(
    *,
    by: Person,
    names: Sequence[NameMeans],
    registered: Instrument | None = None,
    instrument: str = "",
    entry_id: uuid.UUID | None = None,
) -> LearnedName:
    """Remember what names mean on an instrument; what one meant before is replaced.

    Raises:
        Refused: there is no name.
    """
    kept = [NameMeans(folded(one.name), one.parameter) for one in names if folded(one.name)]
    if not kept:
        raise Refused("There is no name to remember.")
    typed = "" if registered else folded(instrument)[:80]
    made = [
        LearnedName.objects.update_or_create(
            registered=registered,
            instrument=typed,
            name=one.name,
            defaults={"parameter": one.parameter, "learned_by": by},
        )[0]
        for one in kept
    ]
    tell(names=[[one.name, one.parameter.name] for one in made])
    return made[0]


@command("forget_name", needs=Permission.LOG_FINDINGS)
def forget_name(
    *,
    by: Person,
    name: str,
    registered: Instrument | None = None,
    instrument: str = "",
    entry_id: uuid.UUID | None = None,
) -> None:
    """Take a name of an instrument for nothing any more. What was logged by it stays as it is."""
    typed = "" if registered else folded(instrument)[:80]
    tell(name=folded(name))
    LearnedName.objects.filter(registered=registered, instrument=typed, name=folded(name)).delete()
