"""What became of an issued report, in a word: one that counts, one with another in its place, one withdrawn."""

from __future__ import annotations

import pytest

from findings.reports import report_status
from findings.reports.models import IssuedReport, ReportWithdrawal
from findings.reports.report_status import status_of, statuses_of
from workorders.models import Job


def report(*, successor: str = "", is_withdrawn: bool = False) -> IssuedReport:
    made = IssuedReport(number="MC-1001-1")
    if is_withdrawn:
        made.withdrawal = ReportWithdrawal()
    if successor:
        made.superseded_by = IssuedReport(number=successor)
    return made


@pytest.mark.parametrize(
    ("made", "word", "counts"),
    [
        (report(), "issued", True),
        (report(successor="MC-1001-2"), "superseded by MC-1001-2", False),
        (report(is_withdrawn=True), "withdrawn", False),
        # who withdrew it meant it for good, whatever was written after it
        (report(successor="MC-1001-2", is_withdrawn=True), "withdrawn", False),
    ],
)
def test_a_report_counts_until_it_is_withdrawn_or_another_stands_in_its_place(
    made: IssuedReport, word: str, counts: bool
) -> None:
    status = status_of(made)
    assert (status.report, status.word, status.is_effective) == (made, word, counts)
    assert status.withdrawal is getattr(made, "withdrawal", None)
    assert status.successor is getattr(made, "superseded_by", None)


def test_the_reports_of_a_job_are_its_own_in_their_order(monkeypatch: pytest.MonkeyPatch) -> None:
    job, newest, first = Job(number=1001), report(), report(successor="MC-1001-2")
    monkeypatch.setattr(report_status, "issued_reports", lambda asked: [newest, first] if asked is job else [])
    assert [one.word for one in statuses_of(job)] == ["issued", "superseded by MC-1001-2"]
