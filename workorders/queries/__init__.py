"""What is asked about jobs."""

from workorders.queries.board import Board, board
from workorders.queries.jobs import jobs_of_vessel, open_jobs, past_promise, with_people
from workorders.queries.overview import lines_in_short, moves_of, ways_to_reach
from workorders.queries.sums import JobSum, job_sum

__all__ = [
    "Board",
    "JobSum",
    "board",
    "job_sum",
    "jobs_of_vessel",
    "lines_in_short",
    "moves_of",
    "open_jobs",
    "past_promise",
    "ways_to_reach",
    "with_people",
]
