"""Checking a report that somebody holds: by number and code, or by the file itself.

No PDF of a stranger is ever parsed. A file is ours when its digest is; it is an altered copy when it carries a trace
of one of our reports: the words or the bytes of our signature, or our number and code in a stream that it packs. All
of that is looked for in plain bytes, within bounds.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from hmac import compare_digest

from django.db.models import QuerySet

from files.paper.codes import tidy_code
from files.paper.signing import signature_digests
from findings.reports.models import DraftState, IssuedReport, ReportDraft
from findings.reports.numbers import tidy_number
from findings.reports.record import from_json
from vessels.log.verify import broken_link

MOST_BYTES = 25 * 1024 * 1024
MOST_STREAMS = 400
MOST_UNPACKED = 2 * 1024 * 1024
MOST_UNPACKED_IN_ALL = 40 * 1024 * 1024
NOBODY = "0" * 12
ISSUED, WITHDRAWN = "report-issued", "report-withdrawn"
LEAST_CODE = 6
_NUMBER = re.compile(r"([0-9]{1,9})-([0-9]{1,4})")

_TRACES = [
    re.compile(rb"([0-9]{1,10}-[0-9]{1,5}) code ([0-9A-Z]{2,6}-[0-9A-Z]{2,6})"),
    re.compile(rb"/verify/([0-9]{1,10}-[0-9]{1,5})/([0-9A-Z]{2,6}-[0-9A-Z]{2,6})"),
    re.compile(rb'"number": ?"([0-9]{1,10}-[0-9]{1,5})",\s{0,8}"code": ?"([0-9A-Z]{2,6}-[0-9A-Z]{2,6})"'),
    re.compile(rb"report ([0-9]{1,10}-[0-9]{1,5}), code ([0-9A-Z]{2,6}-[0-9A-Z]{2,6})"),
]
_STREAM = re.compile(rb"stream\r?\n")


class CheckResult(StrEnum):
    """What a check comes to."""

    AUTHENTIC = "authentic"
    SUPERSEDED = "superseded"
    WITHDRAWN = "withdrawn"
    ALTERED = "altered"
    NOT_AS_WRITTEN = "not as written"
    """What is kept here of the report, or of what followed it, is not what was written."""
    NOT_OURS = "not ours"
    NOT_A_PDF = "not a pdf"


@dataclass(frozen=True)
class Check:
    """The answer to a check, with the report it is about where there is one."""

    result: CheckResult
    report: IssuedReport | None = None
    by_file: bool = False


def check_number(number: str, code: str) -> Check:
    """Whether a report with this number and this code was issued here, and what became of it."""
    number, code = tidy_number(number), tidy_code(code)
    report = _by_number_and_code(number, code)
    if report is not None:
        return Check(_result_of(report), report)
    return Check(CheckResult.NOT_AS_WRITTEN if _was_issued(number, code) else CheckResult.NOT_OURS)


def check_whole_file(data: bytes) -> Check | None:
    """The report that these bytes are, to the last one; None where they are none. Looks at nothing but their digest."""
    report = _reports().filter(pdf_sha256=hashlib.sha256(data).hexdigest()).first()
    return Check(_result_of(report), report, by_file=True) if report else None


def check_file(data: bytes) -> Check:
    """Whether these bytes are, to the last one, a report that was issued here."""
    if whole := check_whole_file(data):
        return whole
    if claimed := _claimed_report(data):
        return Check(CheckResult.ALTERED, claimed, by_file=True)
    if b"%PDF-" not in data[:1024]:
        return Check(CheckResult.NOT_A_PDF, by_file=True)
    return Check(CheckResult.NOT_OURS, by_file=True)


def _reports() -> QuerySet[IssuedReport]:
    return IssuedReport.objects.select_related(
        "signer", "superseded_by__entry", "withdrawal__entry", "job__vessel", "entry__vessel", "supersedes"
    )


def _result_of(report: IssuedReport) -> CheckResult:
    if not is_as_written(report):
        return CheckResult.NOT_AS_WRITTEN
    if hasattr(report, "withdrawal"):
        return CheckResult.WITHDRAWN
    return CheckResult.SUPERSEDED if hasattr(report, "superseded_by") else CheckResult.AUTHENTIC


def is_as_written(report: IssuedReport) -> bool:
    """Whether the report's own entry and all that came after it on that boat still have the digests they were given.

    A report that was withdrawn, superseded or corrected since is so by later entries: whoever takes one away leaves a
    gap. The evidence of before needs no look, as what the report says of it is in its own entry.
    """
    withdrawal, newer = getattr(report, "withdrawal", None), getattr(report, "superseded_by", None)
    told = [(report, ISSUED), *([(withdrawal, WITHDRAWN)] if withdrawal else []), *([(newer, ISSUED)] if newer else [])]
    if any(one.entry.kind != kind for one, kind in told):
        return False
    if hashlib.sha256(report.record.encode()).hexdigest() != report.record_sha256:
        return False
    return broken_link(report.entry.vessel, since=report.entry.position) is None


def _was_issued(number: str, code: str) -> bool:
    """Whether a report of this number and code that is not there was there: its row is gone, or was changed."""
    kept = IssuedReport.objects.filter(number=number).values_list("record", flat=True).first()
    if kept is not None:
        return was_signed_with(kept, code)
    said = _NUMBER.fullmatch(number)
    signed = ReportDraft.objects.filter(state=DraftState.ISSUED)
    return said is not None and signed.filter(job__number=int(said[1]), sequence=int(said[2])).exists()


def was_signed_with(record: str, code: str) -> bool:
    """Whether a record names this code; so is one that can no longer be read, as none was written so."""
    try:
        issue = from_json(record).issue
    except (ValueError, KeyError, TypeError):
        return True
    return issue is not None and len(code) >= LEAST_CODE and issue.code == code


def _by_number_and_code(number: str, code: str) -> IssuedReport | None:
    """The report, if the code is its own. Takes as long for a number that there is as for one that there is not."""
    report = _reports().filter(number=number).first()
    right = report.code if report else NOBODY
    return report if compare_digest(right.encode(), code.encode()) and report else None


def _claimed_report(data: bytes) -> IssuedReport | None:
    """The report of ours that a file was made from, by the traces that it carries."""
    report: IssuedReport | None = _reports().filter(signature_sha256__in=list(signature_digests(data))).first()
    if report:
        return report
    tried: set[tuple[bytes, bytes]] = set()
    for found in _traces(data):
        if found not in tried and len(tried) < 20:
            tried.add(found)
            report = _by_number_and_code(found[0].decode(), found[1].decode())
            if report:
                return report
    return None


def _traces(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Numbers with codes that stand in the file, in the open first, then in what it packs."""
    for part in _parts(data):
        for pattern in _TRACES:
            for found in pattern.finditer(part):
                yield found[1], found[2]


def _parts(data: bytes) -> Iterator[bytes]:
    yield data
    left = MOST_UNPACKED_IN_ALL
    for number, start in enumerate(_STREAM.finditer(data)):
        if number >= MOST_STREAMS or left <= 0:
            return
        unpacked = _unpacked(data[start.end() : start.end() + MOST_UNPACKED])
        left -= len(unpacked)
        yield unpacked


def _unpacked(data: bytes) -> bytes:
    """What a stream unpacks to, up to a bound; nothing where it is not packed this way."""
    try:
        return zlib.decompressobj().decompress(data, MOST_UNPACKED)
    except zlib.error:
        return b""
