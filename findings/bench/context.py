"""What is at hand when a tool is opened: the job, the engine, and what is on record about them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from engineering.units import System
from findings.readings.models import SpecLimit
from findings.readings.queries import limits_of, the_one
from findings.readings.revising import source_words
from vessels.hours import shown_for, unread_since
from vessels.models import Engine, LogEntry, Vessel
from vessels.queries import latest_hours
from web.sentences import within
from workorders.models import Job


@dataclass(frozen=True)
class ToolContext:
    """The job and the engine of a tool's page. Everything read from the database is read when first asked for."""

    job: Job
    engine: Engine | None
    system: System
    today: date

    @property
    def vessel(self) -> Vessel:
        """The boat on the job."""
        return self.job.vessel

    @cached_property
    def limits(self) -> list[SpecLimit]:
        """Every limit of the spec cards in use for the engine's family, with card and parameter."""
        return limits_of(self.engine) if self.engine is not None else []

    def limits_for(self, parameter: str) -> list[SpecLimit]:
        """The limits of one parameter, by its name."""
        return [limit for limit in self.limits if limit.parameter.name.casefold() == parameter.casefold()]

    def limit(self, parameter: str, condition: str = "") -> SpecLimit | None:
        """The one limit to fill in: under the same condition, else without condition, else the only one there is.

        Of several under conditions of their own, or of cards that differ, none is filled in: which one holds, only the
        person knows.
        """
        found = self.limits_for(parameter)
        words = " ".join(condition.split()).casefold()
        same = [limit for limit in found if limit.condition.casefold() == words]
        only = found if len(found) == 1 else []
        return the_one(same or [limit for limit in found if not limit.condition] or only)

    @staticmethod
    def source_of(limit: SpecLimit) -> str:
        """The card, document and page of a limit, with the condition that it is for."""
        under = f", {limit.condition}" if limit.condition else ""
        return f"{within(limit.card.title)}: {source_words(limit)}{under}"

    @cached_property
    def hours(self) -> Decimal | None:
        """The engine's true hours as last logged; None where its meter was replaced unread since."""
        if self.engine is None or unread_since(self.engine) is not None:
            return None
        return self._last_hours.engine_hours if self._last_hours is not None else None

    @cached_property
    def _last_hours(self) -> LogEntry | None:
        """The entry that tells the engine's hours last."""
        return None if self.engine is None else latest_hours(self.engine)

    @property
    def hours_are_corrected(self) -> bool:
        """Whether those hours stand in the place of others that were logged first."""
        return self._last_hours is not None and self._last_hours.amends_id is not None

    @property
    def shown_hours(self) -> Decimal | None:
        """What the hour meter shows at those hours."""
        return shown_for(self.engine, self.hours)
