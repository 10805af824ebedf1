"""From what a person types to one canonical code."""

from engineering.codes.code import Code, CodeSystem


def make_code(system: CodeSystem, text: str) -> Code:
    """The code of ``system`` written as ``text``, in canonical spelling. Raises :class:`CodeProblem` with a sentence."""
    raise NotImplementedError


def recognize(text: str, *, preferred: CodeSystem | None = None) -> Code | None:
    """The code that ``text`` is, whole, or None. ``preferred`` decides only where a notation fits several systems."""
    raise NotImplementedError
