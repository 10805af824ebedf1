"""Writing that a power cut cannot halve: beside the place, to the disk, then into the place, and that to the disk.

A file's bytes and its name in the folder reach the disk on their own, in any order. Until ``fsync`` of the file its
bytes may be lost, and until ``fsync`` of the folder its name. Whoever lets a row point at a file has to wait for both.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

FILE_MODE = 0o600
FOLDER_MODE = 0o700
BESIDE = ".new"


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, each with its name on the disk."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    with suppress(FileExistsError):  # somebody else was quicker, and may not have come to its parent yet
        os.mkdir(folder, FOLDER_MODE)
    sync_folder(folder.parent)


def write(target: Path, pieces: Iterable[bytes]) -> None:
    """Write a file so that its place holds all of it or what was there before, whatever happens."""
    beside = target.with_name(f".{target.name}.{uuid.uuid4().hex}{BESIDE}")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, FILE_MODE)
    try:
        try:
            for piece in pieces:
                _write_all(handle, piece)
            os.fsync(handle)
        finally:
            os.close(handle)
        os.replace(beside, target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def move(source: Path, target: Path) -> None:
    """Move a file that lies on the same file system into its place; the same promise as ``write``."""
    os.chmod(source, FILE_MODE)
    sync_file(source)
    os.replace(source, target)
    sync_folder(target.parent)


def settle(target: Path) -> None:
    """See to it that a file that somebody else has put into its place is on the disk with its name."""
    sync_file(target)
    sync_folder(target.parent)


def sync_file(path: Path) -> None:
    """Put the bytes of a file on the disk."""
    _sync(path, os.O_RDONLY)


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on the disk."""
    _sync(folder, os.O_RDONLY | os.O_DIRECTORY)


def _sync(path: Path, flags: int) -> None:
    handle = os.open(path, flags | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write_all(handle: int, data: bytes) -> None:
    left = memoryview(data)
    while left:
        left = left[os.write(handle, left) :]
