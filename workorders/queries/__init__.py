"""What is asked about jobs."""

from workorders.queries.board import Board, board
from workorders.queries.jobs import jobs_of_vessel, lines_of, open_jobs, past_promise, with_people
from workorders.queries.sums import JobSum, job_sum

__all__ = [
    "Board",
    "JobSum",
    "board",
    "job_sum",
    "jobs_of_vessel",
    "lines_of",
    "open_jobs",
    "past_promise",
    "with_people",
]
