"""What became different between two records of one job, in sentences. Pure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypeVar

from engineering.hours import hours_words
from engineering.measures import show
from findings.reports.amounts import judged_by, why_unjudged
from findings.reports.field_names import CHOICES, name_of
from findings.reports.record import (
    ClearFacts,
    CorrectionFacts,
    EngineFacts,
    FaultFacts,
    Findings,
    FunctionTestFacts,
    LineFacts,
    ReadingFacts,
    Recommendation,
    ScanFacts,
    SettingFacts,
    VisualFacts,
    WorkFacts,
)

MOST = 40
TEXTS = {"summary": "summary was", "remarks": "remarks were", "not_inspected": "list of what was not inspected was"}
SAME_FACTS = (
    "customer",
    "vessel",
    "job",
    "engines",
    "units",
    "scans",
    "faults",
    "readings",
    "lines",
    "work",
    "clears",
    "results",
    "visual",
    "tests",
    "settings",
)
LATER = {"changed_since", "is_correction"}
TOLD = {
    "Scan": {"unit", "at", "phase", "is_complete", "seen"},
    "Code": {"code", "unit", "state"},
    "Clear": {"unit", "at", "codes"},
    "Reading": {"parameter", "engine", "phase", "value", "unit", "unit_label", "verdict", "says"},
    "Engine": {"position", "maker", "model", "serial", "hours"},
    "Concern": {"concern", "cause", "correction"},
    "Recommendation": {"urgency", "text"},
    "Visual finding": {"place", "severity", "recommendation", "engine"},
    "Setting": {"setting", "engine", "before", "after", "set_back_to"},
    "Function test": {"operated", "lasted", "verdict", "engine"},
}
"""Of each kind of row what its own sentence says."""
ALWAYS = {"corrected_by", "corrections", "by_hand"}
"""Told though the old row could not say it: who corrected it since."""
LONGEST_CORRECTION = 300
T = TypeVar("T")


def differences(old: Findings, new: Findings) -> list[str]:
    """A sentence for each thing that the new record says otherwise than the old one; the first forty of them.

    What the old record did not say at all, such as one of an older form, is told in one sentence.
    """
    found = list(_all(old, new))
    if not found and any(getattr(old, name) != getattr(new, name) for name in SAME_FACTS):
        return ["Details are given that the earlier report did not give: compare the two records (record.json)."]
    left = len(found) - MOST
    return found if left <= 0 else [*found[:MOST], f"{left} more differences: compare the two records (record.json)."]


def _all(old: Findings, new: Findings) -> Iterator[str]:
    yield from _fields("Shop", old.shop, new.shop, but={"units", "time_zone"})
    yield from _fields("Prepared for", old.customer, new.customer)
    yield from _fields("Vessel", old.vessel, new.vessel, but={"owner"})
    for name, words in TEXTS.items():
        if changed := _changed(getattr(old, name), getattr(new, name)):
            yield f"The {words} {changed}."
    if changed := _changed(old.job.condition_on_arrival, new.job.condition_on_arrival):
        yield f"The condition on arrival was {changed}."
    yield from _end(old, new)
    yield from _inspection(old, new)
    yield from _rows(old.engines, new.engines, _engine_key, _engine_words, "Engine")
    yield from _rows(old.units, new.units, lambda one: one.name, lambda one: one.name, "Control unit")
    yield from _rows(old.scans, new.scans, lambda one: (one.at, one.unit), _scan_words, "Scan")
    if old.clears is not None:
        yield from _rows(old.clears, new.clears or (), lambda one: (one.at, one.unit), _clear_words, "Clear")
    yield from _rows(old.faults, new.faults, lambda one: (one.unit, one.code), _fault_words, "Code")
    yield from _rows(old.readings, new.readings, _reading_key, _reading_words, "Reading")
    yield from _rows(old.results, new.results, lambda one: (one.at, one.title), lambda one: one.title, "Result")
    yield from _rows(old.work, new.work, lambda one: (one.at, one.text), _work_words, "Work")
    yield from _rows(old.visual, new.visual, lambda one: (one.at, one.place), _visual_words, "Visual finding")
    yield from _rows(old.tests, new.tests, lambda one: (one.at, one.operated), _test_words, "Function test")
    yield from _rows(old.settings, new.settings, lambda one: (one.at, one.setting), _setting_words, "Setting")
    yield from _rows(old.lines, new.lines, lambda one: one.concern, _line_words, "Concern")
    if old.other_parts != new.other_parts and old.coverage:
        yield "The parts that belong to no one concern were changed."
    yield from _rows(
        old.recommendations, new.recommendations, lambda one: one.text, _recommendation_words, "Recommendation"
    )


def _changed(before: Any, after: Any) -> str:
    """What was done to a text or a list of them; empty where nothing was."""
    if before == after:
        return ""
    return "changed" if before and after else "added" if after else "removed"


def _end(old: Findings, new: Findings) -> Iterator[str]:
    """A record of the first form does not say when its job ended; it has no coverage table either."""
    before, after = old.job.ended_at, new.job.ended_at
    if before == after or not old.coverage:
        return
    yield f"The job {_ended(after)}; it {_ended(before)} when the earlier report was signed."


def _ended(at: datetime | None) -> str:
    return "had not ended" if at is None else f"ended {_said(at)}"


def _inspection(old: Findings, new: Findings) -> Iterator[str]:
    """A record of the first form says nothing of the inspection, so nothing of it can differ."""
    if old.inspection and new.inspection:
        yield from _fields("Inspection", old.inspection, new.inspection, but={"first_at", "last_at"})


def _fields(whose: str, old: Any, new: Any, *, but: Iterable[str] = ()) -> Iterator[str]:
    for field in fields(new):
        before, after = getattr(old, field.name), getattr(new, field.name)
        if before != after and field.name not in {*but, *LATER}:
            yield f"{whose}, {_became(field.name, before, after, '; ')}."


def _rows(
    old: Sequence[T],
    new: Sequence[T],
    key: Callable[[T], Any],
    words: Callable[[T], str],
    kind: str,
) -> Iterator[str]:
    before = {key(one): one for one in old}
    after = {key(one): one for one in new}
    for name, one in after.items():
        if name not in before:
            yield f"{kind} added: {words(one)}."
            continue
        told = words(one) != words(before[name])
        changed = list(_details(before[name], one, but=TOLD.get(kind, ()) if told else ()))
        if told or changed:
            was = [f"it was {words(before[name])}"] if told else []
            yield f"{kind}: {'; '.join([words(one), *was, *changed])}."
    for name, one in before.items():
        if name not in after:
            yield f"{kind} no longer in the report: {words(one)}."


def _details(before: Any, after: Any, *, but: Collection[str]) -> Iterator[str]:
    """What differs in one row beside what its sentence says. What an old row does not say may not have been asked."""
    for field in fields(after):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if old == new or field.name in LATER or field.name in but:
            continue
        if field.default is not MISSING and old == field.default and field.name not in ALWAYS:
            continue
        if field.name == "corrections":
            yield from _corrections(old, new)
        elif isinstance(new or old, tuple) or is_dataclass(new or old):
            yield f"{name_of(field.name)} {_changed(old, new)}"
        else:
            yield _became(field.name, old, new, ", ")


def _corrections(old: Sequence[CorrectionFacts], new: Sequence[CorrectionFacts]) -> Iterator[str]:
    """The notes that say what is right, which the old row did not have; and those that were voided since."""
    for one in new:
        if one not in old:
            yield f"corrected by {one.by}, {_said(one.at)}: “{_short(one.text, LONGEST_CORRECTION)}”"
    for one in old:
        if one not in new:
            yield f"no longer corrected by {one.by}: “{_short(one.text, LONGEST_CORRECTION)}”"


def _became(field: str, before: Any, after: Any, pause: str) -> str:
    """What one field says now, and what it said: "serial: “77”, it was “4471-B”"."""
    label, words = name_of(field), CHOICES.get(field, {})
    said, was = (words.get(one, _said(one)) if isinstance(one, str) else _said(one) for one in (after, before))
    if not said:
        return f"{label}: removed{pause}it was {was}"
    return f"{label}: {said}{pause}{f'it was {was}' if was else 'not given before'}"


def _said(value: Any) -> str:
    """A value in words; empty where there is none."""
    if value is None or value in ("", ()):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime | date):
        return f"{value:%b} {value.day}, {value.year}"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return f"“{' '.join(str(value).split())}”"


def _short(text: str, most: int = 60) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _engine_key(one: EngineFacts) -> str:
    return one.position


def _engine_words(one: EngineFacts) -> str:
    hours = hours_words(one.hours) if one.hours is not None else "hours not known"
    serial = f"serial {one.serial}" if one.serial else "serial not known"
    return f"{one.position}, {' '.join(word for word in [one.maker, one.model] if word)}, {serial}, {hours}"


def _scan_words(one: ScanFacts) -> str:
    codes = ", ".join(f"{seen.code} {seen.status}" for seen in one.seen) or "no code listed"
    extent = "complete" if one.is_complete else "partial"
    return f"{one.unit}, {_said(one.at)}, {one.phase.lower()}, {extent}: {codes}"


def _clear_words(one: ClearFacts) -> str:
    return f"{one.unit}, {_said(one.at)}: {', '.join(one.codes) or 'all codes'} cleared"


def _fault_words(one: FaultFacts) -> str:
    return f"{one.code} of {one.unit}, {one.state}"


def _reading_key(one: ReadingFacts) -> tuple[str, str, str, str, datetime]:
    return one.engine, one.parameter, one.condition, one.phase, one.at


def _reading_words(one: ReadingFacts) -> str:
    where = f", {one.engine.lower()}" if one.engine else ""
    return f"{one.parameter}{where}, {one.phase.lower() or 'no phase'}: {show(one.value, one.unit)}, {_verdict(one)}"


def _verdict(one: ReadingFacts) -> str:
    if why_unjudged(one):
        return "not judged"
    by = judged_by(one)
    return f"{one.verdict} by its {' and '.join(by)}" if by else one.verdict


def _work_words(one: WorkFacts) -> str:
    return f"{_said(one.at)}, “{_short(one.text)}”"


def _visual_words(one: VisualFacts) -> str:
    where = f", {one.engine.lower()}" if one.engine else ""
    recommended = f", recommended “{_short(one.recommendation)}”" if one.recommendation else ""
    return f"{_short(one.place)}{where}, {_said(one.at)}: {one.severity.lower()}{recommended}"


def _test_words(one: FunctionTestFacts) -> str:
    where = f", {one.engine.lower()}" if one.engine else ""
    how_long = f", for {one.lasted}" if one.lasted else ""
    return f"{_short(one.operated)}{where}{how_long}, {_said(one.at)}: {one.verdict.lower()}"


def _setting_words(one: SettingFacts) -> str:
    where = f", {one.engine.lower()}" if one.engine else ""
    before = f"before {one.before}" if one.before else "before not known"
    back = f", set back to {one.set_back_to}" if one.set_back_to else ""
    return f"{_short(one.setting)}{where}, {_said(one.at)}: {one.after}, {before}{back}"


def _line_words(one: LineFacts) -> str:
    cause = f"cause “{_short(one.cause)}”" if one.cause else "no cause"
    correction = f"correction “{_short(one.correction)}”" if one.correction else "no correction"
    return f"“{_short(one.concern)}”, {cause}, {correction}"


def _recommendation_words(one: Recommendation) -> str:
    return f"{one.urgency}, “{_short(one.text)}”"
