"""From the place in a list of values back to the row of the form that it was typed into."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from engineering.amounts import AmountProblem
from findings.bench.given import Given


@contextmanager
def rows_of(given: Given, name: str) -> Iterator[None]:
    """Around a calculation on the filled rows of a field: what it refuses is shown by the row, empty ones counted.

    Raises:
        AmountProblem: what the calculation refused.
    """
    try:
        yield
    except AmountProblem as problem:
        numbers = given.row_numbers(name)
        if problem.row is None or not 0 < problem.row <= len(numbers):
            raise
        raise AmountProblem(problem.sentence, field=name, row=numbers[problem.row - 1]) from problem
