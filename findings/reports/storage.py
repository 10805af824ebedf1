"""Signed PDFs in the store, and what is said where one cannot be had."""

from __future__ import annotations

from collections.abc import Iterator

from files import store
from files.paper.kept import read_kept
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
    return read_kept(report.pdf_sha256, f"report {report.number}")


def kept_reports() -> Iterator[tuple[str, int | None, str]]:
    """The file of every issued report, for ``files.references``."""
    rows = IssuedReport.objects.order_by("pk").values_list("pdf_sha256", "pdf_size", "number")
    for digest, size, number in rows:
        yield digest, size, f"report {number}"
