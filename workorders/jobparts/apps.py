"""Parts on the job, an app of its own inside jobs."""

from django.apps import AppConfig


class JobPartsConfig(AppConfig):
    """Set-up of parts on the job."""

    name = "workorders.jobparts"
    label = "jobparts"

    def ready(self) -> None:
        """Make the kind of entry, the tab and the sections known, and what answers why a job waits for parts."""
        from workorders.jobparts.setup import set_up

        set_up()
