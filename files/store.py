"""The one store: files of any kind, each in a place named by its SHA-256, so that a file is what its name says.

``keep`` puts a file there for good before it returns: a row that is committed afterwards never points at a file that
a power cut has taken or halved. What is read, or brought again, is held against its digest first. A file that is
missing or altered is remembered (``files.troubles``), said on ``/health/``, and mended by keeping the same file again.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from django.conf import settings
from django.core.files.base import File
from django.db import connection, transaction

from commands.refusals import Refused
from files import durable, troubles
from files.references import is_referenced

PIECE = 1024 * 1024
_BACKUP = "hashtext('garboard backup')"
DIGEST = re.compile(r"[0-9a-f]{64}")


class FileProblem(Refused):
    """A file cannot be had as it was kept. ``is_missing``: it is gone; else it is there, and is something else."""

    def __init__(self, sentence: str, *, is_missing: bool) -> None:
        super().__init__(sentence)
        self.is_missing = is_missing


@dataclass(frozen=True)
class Kept:
    """A file in the store. ``was_there``: the very same one was kept before."""

    digest: str
    size: int
    was_there: bool


def name_of(digest: str) -> str:
    """The place of a file, below the media folder."""
    if not DIGEST.fullmatch(digest):
        raise ValueError("a file is known by the 64 lower-case hex characters of its SHA-256")
    return f"files/{digest[:2]}/{digest}"


def path_of(digest: str) -> Path:
    """The place of a file on this machine. What lies there is to be trusted only through ``open_file``."""
    return Path(settings.MEDIA_ROOT) / name_of(digest)


def keep_bytes(data: bytes) -> Kept:
    """Keep some bytes as a file."""
    digest = hashlib.sha256(data).hexdigest()
    return _keep(digest, len(data), lambda target: durable.write(target, [data]))


def keep_file(file: File[Any]) -> Kept:
    """Keep a file that is open, piece by piece and never whole in memory.

    One that came in as a file of its own beside the store (``temporary_file_path``) is moved and not copied.
    """
    digest = _digest_of_file(file)
    size = int(file.size or 0)
    source = Path(file.temporary_file_path()) if hasattr(file, "temporary_file_path") else None

    def put(target: Path) -> None:
        if source is not None and source.stat().st_dev == target.parent.stat().st_dev:
            file.flush()
            durable.move(source, target)
        else:
            file.seek(0)
            durable.write(target, file.chunks(PIECE))

    return _keep(digest, size, put)


def keep_path(source: Path) -> Kept:
    """Keep a copy of a file that lies elsewhere on this machine."""
    with source.open("rb") as stream:
        return keep_file(File(stream, name=source.name))


def open_file(digest: str) -> BinaryIO:
    """A file, opened at its beginning, after all of it was held against its digest.

    Raises:
        FileProblem: it is missing, or is not what was kept.
    """
    try:
        stream = path_of(digest).open("rb")
    except FileNotFoundError as problem:
        troubles.note(digest, troubles.MISSING)
        raise FileProblem(
            "The file is missing from the media folder. Bring it again, or restore it from a backup.", is_missing=True
        ) from problem
    try:
        if _digest_of_stream(stream) == digest:
            stream.seek(0)
            return stream
    except OSError:
        stream.close()
        troubles.note(digest, troubles.ALTERED)
        raise
    stream.close()
    troubles.note(digest, troubles.ALTERED)
    raise FileProblem(
        "The stored file is not what was kept. Bring it again, or restore it from a backup.", is_missing=False
    )


def read(digest: str) -> bytes:
    """The bytes of a file.

    Raises:
        FileProblem: as for ``open_file``.
    """
    with open_file(digest) as stream:
        return stream.read()


def discard(digest: str) -> bool:
    """Throw a file away, unless some row still names it, or a backup is being made. Returns whether it did."""
    with transaction.atomic():
        _take_turn(digest)
        if is_referenced(digest) or _is_being_backed_up():
            return False
        path_of(digest).unlink(missing_ok=True)
    troubles.forget(digest)
    return True


@contextmanager
def backup_turn() -> Iterator[None]:
    """While this lasts no file is thrown away: a backup names files as of its beginning and reads them later."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT pg_advisory_lock_shared({_BACKUP})")
        try:
            yield
        finally:
            cursor.execute(f"SELECT pg_advisory_unlock_shared({_BACKUP})")


def _is_being_backed_up() -> bool:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT pg_try_advisory_xact_lock({_BACKUP})")
        return not cursor.fetchone()[0]


def is_whole(digest: str) -> bool:
    """Whether a file is there and is what was kept; reads all of it."""
    try:
        return digest_of_path(path_of(digest)) == digest
    except OSError:
        return False


def _keep(digest: str, size: int, put: Callable[[Path], None]) -> Kept:
    _take_turn(digest)
    target = path_of(digest)
    if _is_already_there(target, digest, size):
        # Whoever brought it first may not have come to the folder's fsync yet, and our row may be committed first.
        durable.settle(target)
        was_there = True
    else:
        durable.make_folder(target.parent)
        put(target)
        was_there = False
    troubles.forget(digest)
    return Kept(digest, size, was_there)


def _is_already_there(target: Path, digest: str, size: int) -> bool:
    try:
        return target.stat().st_size == size and digest_of_path(target) == digest
    except OSError:
        return False


def _take_turn(digest: str) -> None:
    """Keep others from throwing this file away until the transaction that relies on it has ended."""
    if not connection.in_atomic_block:
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtext('garboard file'), hashtext(%s))", [digest])


def _digest_of_file(file: File[Any]) -> str:
    known: str | None = getattr(file, "sha256", None)
    if known:
        return known
    file.seek(0)
    return _digest_of_pieces(file.chunks(PIECE))


def digest_of_path(path: Path) -> str:
    """The SHA-256 of a file on this machine."""
    with path.open("rb") as stream:
        return _digest_of_stream(stream)


def _digest_of_stream(stream: BinaryIO) -> str:
    return _digest_of_pieces(iter(lambda: stream.read(PIECE), b""))


def _digest_of_pieces(pieces: Iterable[bytes]) -> str:
    sha256 = hashlib.sha256()
    for piece in pieces:
        sha256.update(piece)
    return sha256.hexdigest()


def stored_digests() -> dict[str, int]:
    """Every file in the store with its size, as the folders tell: nothing is read."""
    found: dict[str, int] = {}
    root = Path(settings.MEDIA_ROOT) / "files"
    for folder in _folders(root):
        with os.scandir(folder) as entries:
            for entry in entries:
                if DIGEST.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                    found[entry.name] = entry.stat(follow_symlinks=False).st_size
    return found


def _folders(root: Path) -> list[Path]:
    try:
        return sorted(path for path in root.iterdir() if path.is_dir())
    except FileNotFoundError:
        return []
