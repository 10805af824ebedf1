"""What the public page says of a check: in words, and no more of the customer than the paper tells."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from engineering.hours import hours_words
from engineering.plurals import plural
from findings.reports.corrected_since import corrected_since, entered_since
from findings.reports.models import IssuedReport
from findings.reports.page_one import EVERY_SCAN, figures_of, hin_words, stands
from findings.reports.record import URGENCIES, Findings, Record, from_json
from findings.reports.verifying import Check, CheckResult


@dataclass(frozen=True)
class Verdict:
    """A heading, a sentence, and the facts to compare the paper with."""

    heading: str
    sentence: str
    look: str
    icon: str
    facts: list[tuple[str, str]] = field(default_factory=list)
    compare: list[tuple[str, str]] = field(default_factory=list)
    reason: str = ""
    how_to_compare: str = "This is what the signed report says. If the paper says something else, do not rely on it."
    since: list[str] = field(default_factory=list)


def verdict_of(check: Check) -> Verdict:
    """The answer in words."""
    report = check.report
    if check.result is CheckResult.NOT_AS_WRITTEN:
        return _not_as_written(report)
    if report is None:
        return _unknown(check)
    record = from_json(report.record)
    whole = "This file is, to the last byte, the report" if check.by_file else "Number and code are those of a report"
    facts = _facts(report, record)
    compare = _compare(record.findings, report)
    if check.result is CheckResult.ALTERED:
        return Verdict(
            "Altered",
            f"This file was made from report {report.number}, but it is not what was signed. Do not rely on it: "
            "ask the shop for the report, or check its number and code.",
            "notice-wrong",
            "octagon-alert",
        )
    if check.result is CheckResult.WITHDRAWN:
        return Verdict(
            "Withdrawn",
            f"{whole} that was issued here. It was withdrawn "
            f"on {_day(report.withdrawal.entry.happened_at, record.findings)} and is no longer valid."
            + (f" {successor_words(report, record.findings)}" if hasattr(report, "superseded_by") else ""),
            "notice-warn",
            "octagon-alert",
            facts,
            compare,
            report.withdrawal.reason,
            "This is what the report said when it was signed. It was withdrawn: do not rely on it.",
        )
    if check.result is CheckResult.SUPERSEDED:
        return Verdict(
            "Superseded",
            f"{whole} that was issued here. {successor_words(report, record.findings)}",
            "notice-warn",
            "info",
            facts,
            compare,
            how_to_compare="This is what the report said when it was signed. It no longer stands.",
        )
    return Verdict(
        "Authentic",
        f"{whole} that was issued here, and it is valid.",
        "notice-done",
        "circle-check",
        facts,
        compare,
        since=changed_since(report, record.findings),
    )


def changed_since(report: IssuedReport, findings: Findings) -> list[str]:
    """How much of what the report rests on changed after it was signed: no names, and nothing of what it says."""
    corrected, entered = corrected_since(report), entered_since(report)
    words = []
    if corrected:
        times = [one.later.recorded_at for one in corrected]
        said = _entries_since(len({one.entry.pk for one in corrected}), "corrected or voided", times, findings)
        words.append(f"{said} The report still says what stood there before.")
    if entered:
        said = _entries_since(len(entered), "added", [one.entry.recorded_at for one in entered], findings)
        words.append(f"{said} The report does not know of {'it' if len(entered) == 1 else 'them'}.")
    return words


def _entries_since(count: int, done: str, times: list[datetime], findings: Findings) -> str:
    """What was done to how many entries: "2 entries … were added after it was signed, last time on May 3, 2027"."""
    entries = f"{count} {plural(count, 'entry', 'entries')}"
    last = "" if len(times) == 1 else "the last time "
    return (
        f"{entries} of the record that it rests on {'was' if count == 1 else 'were'} {done} after it was signed, "
        f"{last}on {_day(max(times), findings)}."
    )


def successor_words(report: IssuedReport, findings: Findings) -> str:
    """Which report took its place, and what became of the last one that did: nobody is sent to a withdrawn report."""
    newer = report.superseded_by
    sentence = f"It was superseded by report {newer.number} on {_day(newer.signed_at, findings)}"
    newest = newer
    while (after := getattr(newest, "superseded_by", None)) is not None:
        newest = after
    withdrawal = getattr(newest, "withdrawal", None)
    if withdrawal is not None:
        which = "that one" if newest == newer else f"the last one, report {newest.number},"
        day = _day(withdrawal.entry.happened_at, findings)
        return f"{sentence}; {which} was withdrawn on {day}. Ask the shop which report is valid now."
    if newest != newer:
        return f"{sentence}, and in the end by report {newest.number}: ask for that one."
    return f"{sentence}: ask for that one."


def _not_as_written(report: IssuedReport | None) -> Verdict:
    which = f"report {report.number}" if report else "this report"
    return Verdict(
        "Not as it was written",
        f"What is kept here of {which}, or of what was logged after it, is not what was written. So this page can’t "
        "say what the report said, or whether it is valid. Do not rely on it, and tell the shop.",
        "notice-wrong",
        "octagon-alert",
    )


def _unknown(check: Check) -> Verdict:
    if check.result is CheckResult.NOT_A_PDF:
        return Verdict(
            "Not a PDF file",
            "The reports of this shop are PDF files, and this file is none. Choose the file that you were given.",
            "notice-wrong",
            "octagon-alert",
        )
    if check.by_file:
        return Verdict(
            "Not ours",
            "This file is not a report that was issued here, and carries no trace of one. "
            "If it shows a number and a code, check those.",
            "notice-wrong",
            "octagon-alert",
        )
    return Verdict(
        "Not confirmed",
        "No report was issued here with this number and this code. Check both against the paper: "
        "letters and digits that look alike are not used.",
        "notice-wrong",
        "octagon-alert",
    )


def _facts(report: IssuedReport, record: Record) -> list[tuple[str, str]]:
    findings, issue = record.findings, record.issue
    facts = [("Report", report.number), ("Signed", _day(report.signed_at, findings)), ("Shop", findings.shop.name)]
    if issue:
        who = ", ".join(word for word in [issue.signer.name, issue.signer.role, issue.signer.qualification] if word)
        facts.append(("Signer", who))
    if report.supersedes:
        facts.append(("Supersedes", report.supersedes.number))
    if report.level:
        facts.append(("Signature", f"PAdES {report.level}"))
    return [
        *facts,
        ("SHA-256 of the file", report.pdf_sha256),
        ("SHA-256 of the certificate", report.certificate_sha256),
    ]


def _compare(findings: Findings, report: IssuedReport) -> list[tuple[str, str]]:
    """What the true paper says, for comparing with the one at hand."""
    vessel = findings.vessel
    name = vessel.name or " ".join(word for word in [vessel.maker, vessel.model] if word)
    hours = [
        f"{engine.position}: {hours_words(engine.hours)}"
        + (f", read {_day(engine.hours_at, findings)}" if engine.hours_at else "")
        for engine in findings.engines
        if engine.hours is not None
    ]
    facts = [("Vessel", name), ("HIN", hin_words(findings)), ("Engine hours", "; ".join(hours) or "not known")]
    facts += [("Serial numbers", "; ".join(f"{one.position}: {one.serial or 'not known'}" for one in findings.engines))]
    facts += [("Job", f"{findings.job.number}, opened {_day(findings.job.opened_at, findings)}")]
    facts += [(figure.label.capitalize(), figure.value) for figure in figures_of(findings)]
    for stand in stands(findings):
        looked = [*stand.codes, *(f"{unit}: no code listed" for unit in stand.without)]
        looked += [f"{unit}: not scanned" for unit in stand.not_scanned]
        looked += [
            *(one.rstrip(".") for one in stand.another),
            *stand.not_since,
            *(f"{unit}: no later scan" for unit in stand.no_later),
            *stand.more,
        ]
        codes = "Codes listed" if findings.wording >= EVERY_SCAN else "Codes"
        facts.append((f"{codes}, {stand.heading.lower()}", "; ".join(looked) or "no control unit on record"))
        out = "; ".join([*stand.out, *([stand.none_out] if stand.none_out else [])])
        facts.append((f"Readings out of limits, {stand.readings_heading.lower()}", out))
    facts += [
        (f"Recommendations, {label.lower()}", str(sum(1 for one in findings.recommendations if one.urgency == urgency)))
        for urgency, label in URGENCIES.items()
    ]
    return [*facts, ("Pages", str(report.pages))]


def _day(moment: datetime, findings: Findings) -> str:
    return date_format(moment.astimezone(ZoneInfo(findings.shop.time_zone)), "F j, Y")
