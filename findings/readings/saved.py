"""Saved sheets as they are asked for: those offered to a person, one version by its key, a version as text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from engineering.measures import UNITS, unit_written
from findings.readings.actions.saving import NewRow, may_change
from findings.readings.cells import usual_unit
from findings.readings.models import Parameter, ReadingSheet, SheetVersion
from staff.policy import Permission, may
from vessels.models import EngineFamily
from web.typed import whole_number


@dataclass(frozen=True)
class Offered:
    """A sheet with its newest version, and whether the person may change it."""

    sheet: ReadingSheet
    version: SheetVersion
    may_change: bool


def offered_sheets(person: object, family: EngineFamily | None = None) -> list[Offered]:
    """The sheets that are shared or the person's own (a manager sees all), of one family or of every one."""
    found = ReadingSheet.objects.filter(ended_at=None)
    # The list of all of them says of what family each is, and whose; where a family is asked for, it is known.
    found = found.select_related("family", "made_by") if family is None else found.filter(family=family)
    if family is not None or not may(person, Permission.SHARE_SHEETS):
        found = found.filter(Q(is_shared=True) | Q(made_by=getattr(person, "pk", None)))
    sheets = list(found)
    newest: dict[int, SheetVersion] = {}
    versions = SheetVersion.objects.filter(sheet__in=sheets)
    if family is None:  # the list of all of them shows how long each is
        versions = versions.prefetch_related("rows")
    for version in versions.order_by("sheet_id", "-number").distinct("sheet_id"):
        newest[version.sheet_id] = version
    return [Offered(one, newest[one.pk], may_change(person, one)) for one in sheets if one.pk in newest]


def version_by_key(key: str) -> SheetVersion | None:
    """A version by its key in an address, with its rows; None for nonsense."""
    number = whole_number(key)
    found = SheetVersion.objects.select_related("sheet__family").prefetch_related("rows__parameter")
    return None if number is None else found.filter(pk=number).first()


def rows_as_text(version: SheetVersion) -> str:
    """One row a line: "Oil pressure, psi"."""
    return "\n".join(", ".join(filter(None, [row.parameter.name, row.unit_label])) for row in version.rows.all())


@dataclass(frozen=True)
class Understood:
    """What the lines of a text are: rows, and the lines that name nothing known or a unit that does not fit."""

    rows: Sequence[NewRow]
    problems: Sequence[str]


def rows_from_text(text: str, system: str) -> Understood:
    """The rows that a text names, one a line, with the unit behind a comma; else in the shop's unit."""
    lines = [" ".join(line.replace("\0", "").split()) for line in text.splitlines()]
    known = {one.name.casefold(): one for one in Parameter.objects.all()}
    rows: list[NewRow] = []
    problems: list[str] = []
    for line in filter(None, lines):
        whole = known.get(line.casefold())
        name, _, written = line.rpartition(",")
        parameter = whole or known.get(name.strip().casefold())
        if parameter is None:
            problems.append(f"“{line[:80]}” is no name known here. Enter it as the list of readings has it.")
            continue
        unit = usual_unit(parameter, system) if whole else unit_written(written)
        if unit is None or UNITS[unit].kind != parameter.kind:
            problems.append(f"“{written.strip()[:20]}” does not measure {parameter.name.lower()}.")
            continue
        rows.append(NewRow(parameter, unit))
    return Understood(rows, problems)
