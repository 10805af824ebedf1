"""The kinds of log entry that scans, clears and work write."""

from vessels.log.registry import LogKind, register


def register_kinds() -> None:
    """Make them known."""
    register(
        LogKind(
            "scan",
            "Scan",
            icon="scan",
            model="findings.Scan",
            template="findings/log/scan.html",
            prefetch=("sightings",),
            children=("sightings",),
            evidence=True,
        ),
        LogKind(
            "clear",
            "Codes cleared",
            icon="clear",
            model="findings.Clear",
            template="findings/log/clear.html",
            prefetch=("cleared",),
            children=("cleared",),
            evidence=True,
        ),
        LogKind(
            "work-done",
            "Work done",
            icon="wrench",
            model="findings.WorkDone",
            template="findings/log/work.html",
            select=("line",),
            prefetch=("about",),
            children=("about",),
            evidence=True,
        ),
    )
