"""Report numbers."""

from __future__ import annotations


def tidy_number(text: str) -> str:
    """A report number as a person types it, in the spelling of the paper."""
    return text.strip().replace(" ", "").replace("–", "-").lower().removeprefix("no.").removeprefix("#")[:16]


def report_number(job_number: int, sequence: int) -> str:
    """The number of a job's report: "1032-1"."""
    return f"{job_number}-{sequence}"
