"""Reading a backup to its end, so that what is wrong with it is known before anything is touched."""

from __future__ import annotations

import gzip
import hashlib
import tarfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from io import BufferedReader
from pathlib import Path
from typing import IO, Any

from shopfloor.backup.description import DESCRIPTION, FILES, Description
from shopfloor.backup.sealing import PIECE, Opened, SealError

DAMAGED = "The backup is damaged or was cut off."


@contextmanager
def entries_of(path: Path, passphrase: str) -> Iterator[Iterator[tuple[str, IO[bytes]]]]:
    """Every entry of a backup with its bytes, in order; each has to be read before the next is asked for.

    Raises:
        SealError: it is no backup, is damaged, or the passphrase is another one; also from any reading.
    """
    try:
        with path.open("rb") as source:
            opened = BufferedReader(Opened(source, passphrase), PIECE)
            with gzip.GzipFile(fileobj=opened, mode="rb") as packed, tarfile.open(fileobj=packed, mode="r|") as tar:
                yield _entries(tar)
            while opened.read(PIECE):  # to the end, which proves that nothing was cut off
                pass
    except (tarfile.TarError, EOFError, gzip.BadGzipFile, zlib.error) as problem:
        raise SealError(DAMAGED) from problem
    except OSError as problem:
        raise SealError(f"{path} can't be read ({problem.strerror or problem}).") from problem


def _entries(tar: tarfile.TarFile) -> Iterator[tuple[str, IO[bytes]]]:
    for info in tar:
        stream = tar.extractfile(info)
        if stream is None or not info.isfile():
            raise SealError(DAMAGED)
        yield info.name, stream


def check(path: Path, passphrase: str) -> Description:
    """Read all of a backup and hold every entry against the backup's own description.

    Raises:
        SealError: it is not whole, is no backup, or the passphrase is another one.
    """
    found: dict[str, list[Any]] = {}
    text = b""
    with entries_of(path, passphrase) as entries:
        for name, stream in entries:
            if name == DESCRIPTION:
                text = stream.read()
                continue
            sha256, size = hashlib.sha256(), 0
            while piece := stream.read(PIECE):
                sha256.update(piece)
                size += len(piece)
            found[name] = [size, sha256.hexdigest()]
    try:
        description = Description.from_json(text)
    except (ValueError, TypeError) as problem:
        raise SealError(f"The backup's description can't be read: {problem}.") from problem
    if found != description.entries:
        raise SealError(DAMAGED)
    if any(name.startswith(FILES) and name.removeprefix(FILES) != digest for name, (_, digest) in found.items()):
        raise SealError(DAMAGED)
    return description
