"""What is asked about jobs."""

from workorders.queries.board import Board, board
from workorders.queries.jobs import JobPage, job_page, jobs_of_vessel, moves_of, open_jobs, past_promise, with_people
from workorders.queries.sums import JobSum, job_sum

__all__ = [
    "Board",
    "JobPage",
    "JobSum",
    "board",
    "job_page",
    "job_sum",
    "jobs_of_vessel",
    "moves_of",
    "open_jobs",
    "past_promise",
    "with_people",
]
