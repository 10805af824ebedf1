"""Where the facts of a job's report come from, and what every kind of finding says of itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Model

from findings.instruments.models import MadeWith
from findings.instruments.wording import instrument_words
from findings.reports.aboard import Aboard
from findings.reports.record import CorrectionFacts
from vessels.log.afterwards import Afterwards
from vessels.log.originals import first_authors
from vessels.models import LogEntry
from workorders.models import Job

_Row = TypeVar("_Row", bound=Model)


@dataclass(frozen=True)
class Source:
    """Where the facts of one job come from. Times come out in the shop's zone."""

    job: Job
    zone: ZoneInfo
    aboard: Aboard

    def engine_name(self, engine_id: int | None) -> str:
        """What the paper calls an engine; empty for the vessel itself."""
        return self.aboard.names.get(engine_id, "") if engine_id else ""

    def told(self, later: Afterwards) -> tuple[CorrectionFacts, ...]:
        """The notes that correct what is written of a finding, whenever they were written."""
        return tuple(CorrectionFacts(by=one.by, at=self.at(one.at), text=one.text) for one in later.notes)

    def at(self, value: datetime) -> datetime:
        """A moment in the shop's zone."""
        return value.astimezone(self.zone)

    def at_if_known(self, value: datetime | None) -> datetime | None:
        """The same of one that may be missing."""
        return value.astimezone(self.zone) if value else None


def as_written(rows: Iterable[_Row]) -> list[_Row]:
    """Rows of one entry in the order in which they were written, which a database promises to nobody."""
    return sorted(rows, key=lambda row: row.pk)


def made_with(finding: MadeWith) -> dict[str, Any]:
    """What the record says of the instrument of a finding."""
    return {
        "instrument": instrument_words(finding.registered_as or "", finding.instrument),
        "instrument_serial": finding.instrument_serial or "",
        "calibrated_on": finding.calibrated_on,
        "calibrated_until": finding.calibrated_until,
    }


def authors_before(entries: Iterable[LogEntry]) -> Mapping[UUID, str]:
    """Who found what these entries say, by the entries that correct an earlier one."""
    return first_authors(entry.pk for entry in entries if entry.amends_id is not None)


def witnesses(entry: LogEntry, first: Mapping[UUID, str]) -> dict[str, Any]:
    """Who found it, and who corrected what was written of it."""
    author = entry.author.name
    return {"by": first[entry.pk], "corrected_by": author} if entry.pk in first else {"by": author}
