"""How a result came about, as the log keeps it beside a reading: texts only, for good."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from findings.bench.answer import Answer
from findings.bench.tool import Tool


@dataclass(frozen=True)
class Working:
    """What ``Reading.worked_from`` says, for pages and the report."""

    tool: str
    title: str
    inputs: Sequence[tuple[str, str]]
    outcome: str
    figures: Sequence[tuple[str, str]]
    formula: str
    source: str


def working_of(tool: Tool, answer: Answer) -> dict[str, Any]:
    """What is kept of an answer."""
    return {
        "tool": tool.slug,
        "title": tool.title,
        "inputs": [{"label": one.label, "value": one.value, "unit": one.unit} for one in answer.entered],
        "outcome": answer.sentence,
        "figures": [{"label": label, "value": text} for label, text in answer.figures],
        "formula": tool.formula,
        "source": tool.source,
    }


def working_from_json(kept: Mapping[str, Any] | None) -> Working | None:
    """What was kept, or None for a reading that was read and not worked out."""
    if not kept:
        return None
    return Working(
        tool=kept["tool"],
        title=kept["title"],
        inputs=[(one["label"], with_unit(one["value"], one["unit"])) for one in kept["inputs"]],
        outcome=kept["outcome"],
        figures=[(one["label"], one["value"]) for one in kept["figures"]],
        formula=kept["formula"],
        source=kept["source"],
    )


def with_unit(value: str, unit: str) -> str:
    """A value as entered with its unit: "13,4 V", "10°"."""
    if not unit:
        return value
    return f"{value}{unit}" if unit == "°" else f"{value} {unit}"


def note_of(tool: Tool, answer: Answer, remark: str) -> str:
    """The words of a note, for a result that is no reading of one parameter."""
    lines = [f"{tool.title}: {answer.sentence}"]
    if answer.main is not None:
        lines.append(f"{answer.main[0]}: {answer.main[1]}")
    lines += [f"{label}: {text}" for label, text in answer.figures]
    lines += list(answer.notes)
    lines.append("From " + "; ".join(f"{one.label} {with_unit(one.value, one.unit)}" for one in answer.entered) + ".")
    lines.append(f"{tool.formula} ({tool.source})")
    return "\n".join([*lines, remark] if remark else lines)
