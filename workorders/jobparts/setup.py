"""What parts on the job add to the rest of the house: a kind of entry, a tab, sections, and what a job waits for."""

from __future__ import annotations

from vessels import tabs
from vessels.log.registry import LogKind
from vessels.log.registry import register as register_kind
from workorders import guards, waiting
from workorders.jobparts import log_details, shown
from workorders.jobparts.actions.charging import part_follows
from workorders.jobparts.actions.fitting import FITTED
from workorders.jobparts.queries.waiting import AWAITED_PAST, explains, waits
from workorders.sections import LINES, OVERVIEW, Section
from workorders.sections import register as register_section
from workorders.states import JobState


def set_up() -> None:
    """Called once from the app's ``ready``."""
    register_kind(
        LogKind(
            FITTED,
            "Part fitted",
            icon="parts",
            model="jobparts.PartFitted",
            facts=log_details.FITTED,
            draw=log_details.fitted,
            evidence=True,
            aboard=True,
        )
    )
    tabs.register(tabs.Tab("Parts", "workorders:vessel_parts", 45))
    register_section(Section(LINES, "workorders/jobparts/on_lines.html", shown.on_lines, 20))
    register_section(Section(OVERVIEW, "workorders/jobparts/on_overview.html", shown.on_overview, 20))
    guards.when_charged_again(part_follows)
    waiting.register(JobState.WAITING_PARTS, waiting.Told(waits, explains, AWAITED_PAST))
