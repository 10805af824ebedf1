"""What the log, the job's page and the paper say of these entries."""

from __future__ import annotations

from decimal import Decimal

from engineering.canonical import plain_decimal
from findings.happenings.models import Severity, Verdict, VisualFinding
from vessels.models import Engine


def one_line(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def bare(text: str) -> str:
    """A text as it is compared with another: on one line, without its period, in lower case."""
    return one_line(text).rstrip(".").casefold()


def ended(text: str) -> str:
    """A sentence with its period, whatever the person ended it with."""
    text = text.strip()
    return text if text.endswith((".", "!", "?", "…")) else f"{text}."


def named(text: str) -> str:
    """A thing as it is named within a sentence, without the period or colon that a person ended it with."""
    return text.rstrip(" .:;,") or text


def visual_summary(place: str, severity: str, recommendation: str) -> str:
    """The entry's line: "Raw-water hose: repair soon. Recommended: replace both hoses."."""
    said = f"{named(place)}: {Severity(severity).label.lower()}."
    return f"{said} Recommended: {ended(recommendation)}" if recommendation else said


def lasted_words(lasted: Decimal | None, unit: str) -> str:
    """How long something was driven, as it was entered: "90 s", "0.5 min"; empty where nobody said."""
    return "" if lasted is None else f"{plain_decimal(lasted)} {unit}"


def driven_summary(operated: str, lasted: Decimal | None, unit: str, verdict: str) -> str:
    """The entry's line: "Bilge blower, for 2 min: worked."; without how long where nobody said."""
    how_long = lasted_words(lasted, unit)
    return f"{named(operated)}{f', for {how_long}' if how_long else ''}: {Verdict(verdict).label.lower()}."


def recommended_words(finding: VisualFinding) -> str:
    """What a finding recommends, and where: "Replace both hoses (raw-water hose at the pump, port engine)"."""
    engine = finding.entry.engine
    where = f"{finding.place}, {engine_place(engine)}" if engine is not None else finding.place
    return f"{finding.recommendation.rstrip('.')} ({where})"


def engine_place(engine: Engine) -> str:
    """Which engine of the boat it is: "port engine", "generator"; "engine" of the only one."""
    words = engine.get_position_display().lower()
    return {"generator": words, "single": "engine"}.get(engine.position, f"{words} engine")
