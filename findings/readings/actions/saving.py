"""What people do with saved sheets: save one, save its next version, offer it to everybody, end it."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from commands.envelope import command, tell, tell_unchanged
from commands.refusals import Refused
from engineering.measures import UNITS
from findings.readings.layout import MOST_CONDITIONS, MOST_LINES, one_condition
from findings.readings.models import Parameter, ReadingSheet, SheetRow, SheetVersion
from staff.models import Person
from staff.policy import Permission, may
from vessels.models import EngineFamily

_LONGEST = 80


@dataclass(frozen=True)
class NewRow:
    """One row of a sheet as it is saved."""

    parameter: Parameter
    unit: str


@command("save_sheet", needs=Permission.LOG_FINDINGS)
def save_sheet(
    *,
    by: Person,
    family: EngineFamily,
    name: str,
    rows: Sequence[NewRow],
    conditions: Sequence[str] = (),
    entry_id: uuid.UUID | None = None,
) -> ReadingSheet:
    """Save rows under a name for a family. It is offered to whoever saved it until it is shared.

    Raises:
        Refused: no name, a name that another sheet of the family has, no row, a row twice, a unit that does not fit.
    """
    name = _named(family, name)
    _refuse_odd_rows(rows, kept := _conditions(conditions))
    sheet = ReadingSheet.objects.create(family=family, name=name, made_by=by)
    _add_version(sheet, 1, rows, kept, by)
    return sheet


@command("save_sheet_version", needs=Permission.LOG_FINDINGS)
def save_sheet_version(
    *,
    by: Person,
    sheet: ReadingSheet,
    seen_number: int,
    name: str,
    rows: Sequence[NewRow],
    conditions: Sequence[str] = (),
    entry_id: uuid.UUID | None = None,
) -> ReadingSheet:
    """Save the next version of a sheet. What was logged, and what is still open, stays with the version it was on.

    Rows and conditions that are those of the newest version make no other one; a name alone is changed without.

    Raises:
        Refused: it is shared and not theirs to change, it has ended, another version was saved since, or as for a new
            sheet.
    """
    sheet = _to_change(sheet, by)
    number = sheet.versions.order_by("-number").values_list("number", flat=True)[0]
    if number != seen_number:
        raise Refused(f"Version {number} of “{sheet}” was saved meanwhile. Open the sheet again, and save after that.")
    before, sheet.name = sheet.name, _named(sheet.family, name, but=sheet)
    if before != sheet.name:
        sheet.save(update_fields=["name"])
        tell(name=[])
    _refuse_odd_rows(rows, kept := _conditions(conditions))
    newest = sheet.versions.prefetch_related("rows").get(number=number)
    as_it_was = [(one.parameter_id, one.unit) for one in newest.rows.all()]
    if kept != newest.conditions or as_it_was != [(one.parameter.pk, one.unit) for one in rows]:
        _add_version(sheet, number + 1, rows, kept, by)
    elif before == sheet.name:
        tell_unchanged()
    return sheet


@command("share_sheet", needs=Permission.SHARE_SHEETS)
def share_sheet(*, by: Person, sheet: ReadingSheet, is_shared: bool, entry_id: uuid.UUID | None = None) -> ReadingSheet:
    """Offer a sheet to everybody on every engine of its family, or to whoever made it alone."""
    sheet = _open(sheet)
    sheet.is_shared = is_shared
    sheet.save(update_fields=["is_shared"])
    tell(is_shared=is_shared)
    return sheet


@command("end_sheet", needs=Permission.LOG_FINDINGS)
def end_sheet(*, by: Person, sheet: ReadingSheet, entry_id: uuid.UUID | None = None) -> ReadingSheet:
    """Offer a sheet no more. Its versions stay, for what is still open on one of them.

    Raises:
        Refused: it is not theirs to change, or has ended.
    """
    sheet = _to_change(sheet, by)
    sheet.ended_at = timezone.now()
    sheet.save(update_fields=["ended_at"])
    return sheet


def may_change(person: object, sheet: ReadingSheet) -> bool:
    """Whether a person may save versions of a sheet and end it: their own until it is shared, a manager every one."""
    is_own = sheet.made_by_id == getattr(person, "pk", None) and not sheet.is_shared
    return may(person, Permission.SHARE_SHEETS) or (is_own and may(person, Permission.LOG_FINDINGS))


def _open(sheet: ReadingSheet) -> ReadingSheet:
    sheet = ReadingSheet.objects.select_for_update().get(pk=sheet.pk)
    if sheet.ended_at is not None:
        raise Refused(f"“{sheet}” is no longer offered. Save its rows as a new sheet.")
    return sheet


def _to_change(sheet: ReadingSheet, by: Person) -> ReadingSheet:
    sheet = _open(sheet)
    if not may_change(by, sheet):
        raise Refused(f"“{sheet}” is not yours to change. Save its rows as a sheet of your own.")
    return sheet


def _named(family: EngineFamily, name: str, *, but: ReadingSheet | None = None) -> str:
    name = " ".join(name.replace("\0", "").split())
    if not name:
        raise Refused("Give the sheet a name.", fields={"name": "A few words, such as: Sea trial."})
    if len(name) > _LONGEST:
        raise Refused(
            f"The name is too long: at most {_LONGEST} letters.", fields={"name": f"At most {_LONGEST} letters."}
        )
    same = ReadingSheet.objects.filter(family=family, name__iexact=name, ended_at=None)
    if (same if but is None else same.exclude(pk=but.pk)).exists():
        raise Refused(
            f"There is a sheet “{name}” for {family} already.",
            fields={"name": "Give another name, or change that sheet."},
        )
    return name


def _conditions(conditions: Sequence[str]) -> list[str]:
    """The conditions of the columns as they are kept, each once."""
    return list(dict.fromkeys(filter(None, map(one_condition, conditions))))


def _refuse_odd_rows(rows: Sequence[NewRow], conditions: Sequence[str]) -> None:
    """Refuse rows and conditions that make no sheet."""
    if not rows:
        raise Refused("A sheet needs at least one row.", fields={"rows": "Enter one name a line."})
    if len(rows) > MOST_LINES or len(conditions) > MOST_CONDITIONS:
        raise Refused(f"A sheet has at most {MOST_LINES} rows and {MOST_CONDITIONS} conditions.")
    if len({row.parameter.pk for row in rows}) < len(rows):
        raise Refused("A row stands on the sheet twice.", fields={"rows": "Each name once."})
    for row in rows:
        if row.unit not in UNITS or UNITS[row.unit].kind != row.parameter.kind:
            said = f"{row.unit or 'No unit'} does not measure {row.parameter.name.lower()}."
            raise Refused(said, fields={"rows": said})


def _add_version(
    sheet: ReadingSheet, number: int, rows: Sequence[NewRow], conditions: Sequence[str], by: Person
) -> SheetVersion:
    version = SheetVersion.objects.create(sheet=sheet, number=number, conditions=list(conditions), saved_by=by)
    SheetRow.objects.bulk_create(
        SheetRow(version=version, place=place, parameter=row.parameter, unit=row.unit)
        for place, row in enumerate(rows, start=1)
    )
    tell(rows=[[row.parameter.name, row.unit] for row in rows])
    return version
