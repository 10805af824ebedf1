"""The kinds of log entry that scans, clears and work write."""

from findings.faults import log_details
from vessels.log.registry import LogKind, register


def register_kinds() -> None:
    """Make them known."""
    register(
        LogKind(
            "scan",
            "Scan",
            icon="scan",
            model="faults.Scan",
            facts=log_details.SCAN,
            draw=log_details.scan,
            hours_from=log_details.read_from,
            children=("sightings",),
            evidence=True,
            aboard=True,
        ),
        LogKind(
            "clear",
            "Codes cleared",
            icon="clear",
            model="faults.Clear",
            facts=log_details.CLEAR,
            draw=log_details.clear,
            children=("cleared",),
            evidence=True,
            aboard=True,
        ),
        LogKind(
            "work-done",
            "Work done",
            icon="wrench",
            model="faults.WorkDone",
            facts=log_details.WORK,
            draw=log_details.work,
            children=("about",),
            evidence=True,
        ),
    )
