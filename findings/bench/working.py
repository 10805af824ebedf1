"""What the log keeps of an answer: beside a reading, or as the words of a note."""

from __future__ import annotations

from findings.bench.answer import Answer
from findings.bench.tool import Tool
from findings.readings.working import Working


def working_of(tool: Tool, answer: Answer) -> Working:
    """How an answer came about."""
    return Working(
        tool=tool.slug,
        title=tool.title,
        inputs=answer.entered,
        outcome=answer.words,
        figures=answer.figures,
        formula=tool.formula,
        source=tool.source,
        is_measured=answer.is_as_read or tool.is_of_instruments,
        not_judged=answer.not_judged,
    )


def note_of(tool: Tool, answer: Answer, remark: str) -> str:
    """The words to log, for a result that is no reading of one parameter."""
    lines = [answer.words]
    if answer.main is not None:
        lines.append(f"{answer.main[0]}: {answer.main[1]}")
    lines += [f"{label}: {text}" for label, text in answer.figures]
    lines += list(answer.notes)
    lines.append("From " + "; ".join(f"{one.label} {one.shown}" for one in answer.entered) + ".")
    lines.append(f"{tool.formula} ({tool.source})")
    return "\n".join([*lines, remark] if remark else lines)
