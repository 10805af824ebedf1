"""The kinds of log entry that jobs write."""

from vessels.log.registry import LogKind, register


def register_kinds() -> None:
    """Make them known."""
    register(
        LogKind(
            "job-opened",
            "Job opened",
            icon="jobs",
            model="workorders.JobMove",
        ),
        LogKind(
            "job-moved",
            "Job moved",
            icon="route",
            model="workorders.JobMove",
        ),
        LogKind(
            "job-changed",
            "Job changed",
            icon="pencil",
            model="workorders.JobChange",
            template="workorders/log/job_changed.html",
        ),
    )
