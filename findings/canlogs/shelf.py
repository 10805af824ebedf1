"""Where CAN logs lie: in the media storage, each under its own digest, so that the same file is stored once."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO, Any

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import UploadedFile

from findings.models import CanLog
from staff.refusals import Refused

CHUNK = 1024 * 1024
FROM_BACKUP = "Restore it from a backup."


def shelf_name(digest: str) -> str:
    """The name of a log in the storage."""
    return f"can-logs/{digest[:2]}/{digest}"


def put_on_shelf(file: UploadedFile[Any]) -> tuple[str, bool]:
    """Store a log, unless it is there already. Returns its SHA-256, and whether it was there.

    The file is read in pieces and never held whole.
    """
    digest = _digest_of(file)
    name = shelf_name(digest)
    if default_storage.exists(name) and default_storage.size(name) != file.size:
        default_storage.delete(name)  # what a crash left half written
    if default_storage.exists(name):
        return digest, True
    stored = default_storage.save(name, file)
    if stored != name:  # somebody else brought the same file at the same moment
        default_storage.delete(stored)
    return digest, stored != name


def open_log(log: CanLog) -> File[Any]:
    """The file of a log, opened.

    Raises:
        Refused: it is missing, or is not the file that was brought.
    """
    name = shelf_name(log.sha256)
    try:
        file = default_storage.open(name, "rb")
    except OSError as problem:
        raise Refused(f"The file of “{log.name}” is missing from the media folder. {FROM_BACKUP}") from problem
    if file.size != log.size:
        file.close()
        raise Refused(f"The stored file of “{log.name}” is not what was brought. {FROM_BACKUP}")
    return file


def pieces_of(log: CanLog) -> Iterator[bytes]:
    """The file of a log, piece by piece. That it can be had is found out at once, not with the first piece.

    Raises:
        Refused: as for ``open_log``.
    """
    open_log(log).close()
    return _pieces(log)


def _pieces(log: CanLog) -> Iterator[bytes]:
    with open_log(log) as file:
        yield from file.chunks(CHUNK)


@contextmanager
def path_of(log: CanLog) -> Iterator[Path]:
    """The file of a log as a path on this machine: its own, or of a copy where the storage is elsewhere.

    Raises:
        Refused: as for ``open_log``.
    """
    with open_log(log) as file:
        try:
            path = Path(default_storage.path(shelf_name(log.sha256)))
        except NotImplementedError:
            with NamedTemporaryFile(prefix="can-log-") as copy:
                _copy(file, copy)
                yield Path(copy.name)
            return
        yield path


def take_off_shelf(digest: str) -> None:
    """Throw a file away."""
    default_storage.delete(shelf_name(digest))


def _copy(source: File[Any], target: IO[bytes]) -> None:
    for piece in source.chunks(CHUNK):
        target.write(piece)
    target.flush()


def _digest_of(file: UploadedFile[Any]) -> str:
    known: str | None = getattr(file, "sha256", None)
    if known is not None:
        return known
    sha256 = hashlib.sha256()
    for piece in file.chunks(CHUNK):
        sha256.update(piece)
    file.seek(0)
    return sha256.hexdigest()
