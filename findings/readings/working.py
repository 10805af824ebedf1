"""How a reading was worked out, where it was not simply read: what ``Reading.worked_from`` keeps, for good."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

NOT_JUDGED = "Not judged:"
"""What an outcome's words say before the reason."""


@dataclass(frozen=True)
class Input:
    """One input as it was entered."""

    label: str
    value: str
    unit: str = ""

    @property
    def shown(self) -> str:
        """The value with its unit: "13,4 V", "10°"."""
        if not self.unit:
            return self.value
        return f"{self.value}{self.unit}" if self.unit == "°" else f"{self.value} {self.unit}"


@dataclass(frozen=True)
class Working:
    """The tool, what it was given, what it said, and by what formula from which source."""

    tool: str
    title: str
    inputs: Sequence[Input]
    outcome: str
    figures: Sequence[tuple[str, str]]
    formula: str
    source: str
    is_measured: bool = False
    """Whether it was worked out of what instruments showed of that engine, and not of figures alone."""
    not_judged: str = ""
    """Why the tool gave no verdict where one would be expected; empty where it judged, or had nothing to judge by."""

    def as_json(self) -> dict[str, Any]:
        """What the log keeps: texts only."""
        return {
            "tool": self.tool,
            "title": self.title,
            "inputs": [{"label": one.label, "value": one.value, "unit": one.unit} for one in self.inputs],
            "outcome": self.outcome,
            "figures": [{"label": label, "value": text} for label, text in self.figures],
            "formula": self.formula,
            "source": self.source,
            "is_measured": "yes" if self.is_measured else "",
            "not_judged": self.not_judged,
        }


def working_from_json(kept: Mapping[str, Any] | None) -> Working | None:
    """What was kept, or None for a reading that was read and not worked out."""
    if not kept:
        return None
    return Working(
        tool=kept["tool"],
        title=kept["title"],
        inputs=[Input(one["label"], one["value"], one["unit"]) for one in kept["inputs"]],
        outcome=kept["outcome"],
        figures=[(one["label"], one["value"]) for one in kept["figures"]],
        formula=kept["formula"],
        source=kept["source"],
        is_measured=bool(kept.get("is_measured")),
        not_judged=why_not_judged(kept),
    )


def why_not_judged(kept: Mapping[str, Any]) -> str:
    """Why a result that was kept has no verdict. What was kept before this had a place of its own ends with it."""
    if "not_judged" in kept:
        return str(kept["not_judged"])
    return str(kept["outcome"]).partition(f" {NOT_JUDGED} ")[2].removesuffix(".")
