"""Fault codes: recognizing, explaining and reading them out of text, CAN frames and service replies."""

from engineering.codes.code import Code, CodeProblem, CodeStatus, CodeSystem
from engineering.codes.explanation import Explanation, explain
from engineering.codes.likeness import likeness, lists_other_kinds_only, may_be_the_same, same_words
from engineering.codes.notation import beyond_range, make_code, recognize
from engineering.codes.readout import ReadLine, Readout, SeenCode, read_text
from engineering.codes.typed import count_behind, number_left_over, says_more_than_a_code, unit_beside

__all__ = [
    "Code",
    "CodeProblem",
    "CodeStatus",
    "CodeSystem",
    "Explanation",
    "ReadLine",
    "Readout",
    "SeenCode",
    "beyond_range",
    "count_behind",
    "explain",
    "likeness",
    "lists_other_kinds_only",
    "make_code",
    "may_be_the_same",
    "number_left_over",
    "read_text",
    "recognize",
    "same_words",
    "says_more_than_a_code",
    "unit_beside",
]
