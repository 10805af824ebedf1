"""What became different between two records of one job, in sentences. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypeVar

from engineering.hours import hours_words
from engineering.measures import show
from findings.reports.record import (
    EngineFacts,
    FaultFacts,
    Findings,
    LineFacts,
    ReadingFacts,
    Recommendation,
    ScanFacts,
    WorkFacts,
)

MOST = 40
TEXTS = {"summary": "summary", "remarks": "remarks", "not_inspected": "list of what was not inspected"}
SAME_FACTS = ("customer", "vessel", "job", "engines", "units", "scans", "faults", "readings", "lines", "work")
WORDS = {"hin": "HIN", "length_m": "length, m", "rated_power_kw": "rated power, kW", "hours_at": "hours read on"}
LATER = {"changed_since"}
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
        if getattr(old, name) != getattr(new, name):
            yield f"The {words} {'were' if words.endswith('s') else 'was'} changed."
    if old.job.condition_on_arrival != new.job.condition_on_arrival:
        yield "The condition on arrival was changed."
    yield from _end(old, new)
    yield from _inspection(old, new)
    yield from _rows(old.engines, new.engines, _engine_key, _engine_words, "Engine")
    yield from _rows(old.units, new.units, lambda one: one.name, lambda one: one.name, "Control unit")
    yield from _rows(old.scans, new.scans, lambda one: (one.at, one.unit), _scan_words, "Scan")
    yield from _rows(old.faults, new.faults, lambda one: (one.unit, one.code), _fault_words, "Code")
    yield from _rows(old.readings, new.readings, _reading_key, _reading_words, "Reading")
    yield from _rows(old.work, new.work, lambda one: (one.at, one.text), _work_words, "Work")
    yield from _rows(old.lines, new.lines, lambda one: one.concern, _line_words, "Concern")
    if old.other_parts != new.other_parts and old.coverage:
        yield "The parts that belong to no one concern were changed."
    yield from _rows(
        old.recommendations, new.recommendations, lambda one: one.text, _recommendation_words, "Recommendation"
    )


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
            label = WORDS.get(field.name, field.name.replace("_", " "))
            yield f"{whose}, {label}: {_said(after)}; it was {_said(before)}."


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
        elif words(one) != words(before[name]):
            yield f"{kind}: {words(one)}; it was {words(before[name])}."
        elif changed := list(_details(before[name], one)):
            yield f"{kind}: {words(one)}; {'; '.join(changed)}."
    for name, one in before.items():
        if name not in after:
            yield f"{kind} no longer in the report: {words(one)}."


def _details(before: Any, after: Any) -> Iterator[str]:
    """What differs in one row beside what its sentence says. What an old row does not say may not have been asked."""
    for field in fields(after):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if old == new or field.name in LATER or (field.default is not MISSING and old == field.default):
            continue
        label = WORDS.get(field.name, field.name.replace("_", " "))
        if isinstance(new or old, tuple) or is_dataclass(new or old):
            yield f"{label} changed"
        else:
            yield f"{label}: {_said(new)}, it was {_said(old)}"


def _said(value: Any) -> str:
    if value is None or value in ("", ()):
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime | date):
        return f"{value:%b} {value.day}, {value.year}"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return f"“{' '.join(str(value).split())}”"


def _short(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= 60 else f"{text[:59]}…"


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


def _fault_words(one: FaultFacts) -> str:
    return f"{one.code} of {one.unit}, {one.state}"


def _reading_key(one: ReadingFacts) -> tuple[str, str, str, str, datetime]:
    return one.engine, one.parameter, one.condition, one.phase, one.at


def _reading_words(one: ReadingFacts) -> str:
    where = f", {one.engine.lower()}" if one.engine else ""
    return f"{one.parameter}{where}, {one.phase.lower() or 'no phase'}: {show(one.value, one.unit)}, {one.verdict}"


def _work_words(one: WorkFacts) -> str:
    return f"{_said(one.at)}, “{_short(one.text)}”"


def _line_words(one: LineFacts) -> str:
    cause = f"cause “{_short(one.cause)}”" if one.cause else "no cause"
    correction = f"correction “{_short(one.correction)}”" if one.correction else "no correction"
    return f"“{_short(one.concern)}”, {cause}, {correction}"


def _recommendation_words(one: Recommendation) -> str:
    return f"{one.urgency}, “{_short(one.text)}”"
