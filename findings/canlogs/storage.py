"""CAN logs in the store, and what is said where one cannot be had."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from django.core.files.uploadedfile import UploadedFile

from commands.refusals import Refused
from files import store
from findings.canlogs.models import CanLog

CHUNK = 1024 * 1024
FROM_BACKUP = "Add the file again, or restore it from a backup."


def store_file(file: UploadedFile[Any]) -> tuple[str, bool]:
    """Keep a log for good, unless it is kept already. Returns its SHA-256, and whether it was there, whole."""
    kept = store.keep_file(file)
    return kept.digest, kept.was_there


def sha256_of(file: UploadedFile[Any]) -> str:
    """The digest of a file that is on its way in: taken as it came, or now."""
    if known := getattr(file, "sha256", ""):
        return str(known)
    digest = hashlib.sha256()
    for chunk in file.chunks():
        digest.update(chunk)
    file.seek(0)
    return digest.hexdigest()


def open_log(log: CanLog) -> BinaryIO:
    """The file of a log, opened, after all of it was held against its digest.

    Raises:
        Refused: it is missing, or is not the file that was brought.
    """
    try:
        return store.open_file(log.sha256)
    except store.FileProblem as problem:
        if problem.is_missing:
            raise Refused(f"The file of “{log.name}” is missing from the media folder. {FROM_BACKUP}") from problem
        raise Refused(f"The stored file of “{log.name}” is not what was added. {FROM_BACKUP}") from problem


@contextmanager
def path_of(log: CanLog) -> Iterator[Path]:
    """The file of a log as a path on this machine.

    Raises:
        Refused: as for ``open_log``.
    """
    with open_log(log):
        yield store.path_of(log.sha256)


def delete_file(digest: str) -> None:
    """Throw a file away that no record names."""
    store.discard(digest)


def kept_logs() -> Iterator[tuple[str, int | None, str]]:
    """The file of every log, for ``files.references``."""
    rows = CanLog.objects.order_by("pk").values_list("sha256", "size", "name", "job__number")
    for digest, size, name, job in rows:
        yield digest, size, f"CAN log “{name}” of job {job}"
