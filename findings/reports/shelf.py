"""Where signed PDFs lie: in the media storage, each under its own digest, so that a file is what its name says."""

from __future__ import annotations

import hashlib

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from findings.reports.models import IssuedReport
from staff.refusals import Refused


def shelf_name(digest: str) -> str:
    """The name of a PDF in the storage."""
    return f"reports/{digest[:2]}/{digest}.pdf"


def put_on_shelf(data: bytes) -> str:
    """Store a PDF, unless it is there already. Returns its SHA-256."""
    digest = hashlib.sha256(data).hexdigest()
    name = shelf_name(digest)
    if default_storage.exists(name) and default_storage.size(name) != len(data):
        default_storage.delete(name)  # what a crash left half written
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(data))
    return digest


def take_from_shelf(report: IssuedReport) -> bytes:
    """The PDF of a report, exactly as it was signed.

    Raises:
        Refused: the file is missing, or is not what was signed.
    """
    try:
        with default_storage.open(shelf_name(report.pdf_sha256), "rb") as file:
            data: bytes = file.read()
    except OSError as problem:
        raise Refused(
            f"The file of report {report.number} is missing from the media folder. Restore it from a backup."
        ) from problem
    if hashlib.sha256(data).hexdigest() != report.pdf_sha256:
        raise Refused(
            f"The stored file of report {report.number} is not what was signed. Restore it from a backup; "
            "do not hand it out."
        )
    return data
