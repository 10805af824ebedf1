"""Signed PDFs in the store, and what is said where one cannot be had."""

from __future__ import annotations

from collections.abc import Iterator

from commands.refusals import Refused
from files import store
from findings.reports.models import IssuedReport

stored_name = store.name_of


def store_pdf(data: bytes) -> str:
    """Keep a PDF for good, unless it is kept already. Returns its SHA-256."""
    return store.keep_bytes(data).digest


def stored_pdf(report: IssuedReport) -> bytes:
    """The PDF of a report, exactly as it was signed.

    Raises:
        Refused: the file is missing, or is not what was signed.
    """
    try:
        return store.read(report.pdf_sha256)
    except store.FileProblem as problem:
        if problem.is_missing:
            raise Refused(
                f"The file of report {report.number} is missing from the media folder. Restore it from a backup."
            ) from problem
        raise Refused(
            f"The stored file of report {report.number} is not what was signed. Restore it from a backup; "
            "do not hand it out."
        ) from problem


def kept_reports() -> Iterator[tuple[str, int | None, str]]:
    """The file of every issued report, for ``files.references``."""
    rows = IssuedReport.objects.order_by("pk").values_list("pdf_sha256", "pdf_size", "number")
    for digest, size, number in rows:
        yield digest, size, f"report {number}"
