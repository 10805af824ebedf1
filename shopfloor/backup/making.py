"""Making a backup while the program runs: one moment of the database, and every file that it names."""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import os
import re
import tarfile
import uuid
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

from django.conf import settings

from files import durable, store
from files.store import backup_turn
from shopfloor.backup import postgresql
from shopfloor.backup.checking import check
from shopfloor.backup.description import DATABASE, DESCRIPTION, FILES, FORM, KEYS, Description
from shopfloor.backup.sealing import Sealing
from vessels.log.anchor import current_head

ENDING = ".backup"
NAME = re.compile(r"garboard-\d{8}T\d{6}Z\.backup")
LEFT_AFTER_SECONDS = 24 * 3600.0


@dataclass(frozen=True)
class Made:
    """A backup that was made, and read again to its end."""

    path: Path
    size: int
    description: Description


def make_backup(folder: Path, passphrase: str) -> Made:
    """Make a backup in a folder, under a name with the time in it. A half one is never found under that name.

    Raises:
        OSError: the folder can't be written, or is full.
        ProgramFailedError: pg_dump failed.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _sweep(folder)
    now = datetime.now(UTC)
    target = folder / f"garboard-{now:%Y%m%dT%H%M%SZ}{ENDING}"
    beside = folder / f".{target.name}.{uuid.uuid4().hex}{durable.BESIDE}"
    head = current_head()
    try:
        with open(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
            sealing = Sealing(out, passphrase)
            with gzip.GzipFile(fileobj=sealing, mode="wb", compresslevel=1, mtime=0) as packed:
                description = _fill(packed, now, head.number, head.head)
            sealing.finish()
        durable.sync_file(beside)
        check(beside, passphrase)
        os.replace(beside, target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    beside_it = {"made_at": description.made_at, "number": head.number, "head": head.head, "backup": target.name}
    beside_it |= {"sha256": store.digest_of_path(target), "size": target.stat().st_size}
    durable.write(target.with_suffix(".json"), [json.dumps(beside_it, indent=1).encode()])
    return Made(target, target.stat().st_size, description)


def backups_in(folder: Path) -> list[Path]:
    """The backups in a folder, the oldest first."""
    try:
        return sorted(path for path in folder.iterdir() if NAME.fullmatch(path.name))
    except FileNotFoundError:
        return []


def newest_backup(folder: Path) -> Path | None:
    """The newest backup in a folder."""
    return next(reversed(backups_in(folder)), None)


def made_at(backup: Path) -> datetime:
    """When a backup was made, as its name tells."""
    return datetime.strptime(backup.name, f"garboard-%Y%m%dT%H%M%SZ{ENDING}").replace(tzinfo=UTC)


def rotate(folder: Path, keep: int) -> list[Path]:
    """Throw away all but the newest backups of a folder, and nothing else that lies there."""
    gone = backups_in(folder)[:-keep] if keep > 0 else []
    for path in gone:
        path.with_suffix(".json").unlink(missing_ok=True)
        path.unlink(missing_ok=True)
    return gone


@dataclass
class _Writer:
    """Entries of a tar, with their digests."""

    tar: tarfile.TarFile
    entries: dict[str, list[Any]] = field(default_factory=dict)

    def add(self, name: str, data: bytes) -> None:
        self.stream(name, len(data), io.BytesIO(data), hashlib.sha256(data).hexdigest())

    def stream(self, name: str, size: int, source: BinaryIO, digest: str) -> None:
        info = tarfile.TarInfo(name)
        info.size, info.mode = size, 0o600
        self.tar.addfile(info, source)
        self.entries[name] = [size, digest]


def _fill(packed: gzip.GzipFile, now: datetime, number: int, head: str) -> Description:
    with tarfile.open(fileobj=packed, mode="w|", format=tarfile.PAX_FORMAT) as tar, backup_turn():
        writer = _Writer(tar)
        with postgresql.snapshot() as (reader, name):
            for index, piece in enumerate(_pieces(postgresql.dump(name))):
                writer.add(f"{DATABASE}{index:06d}.sql", piece)
            tables = postgresql.table_digests(reader)
            rows = reader.execute("SELECT app, name FROM django_migrations ORDER BY id").fetchall()
        damaged = _add_files(writer)
        for key, data in _keys().items():
            writer.add(f"{KEYS}{key}", data)
        migrations = [[str(app), str(migration)] for app, migration in rows]
        description = Description(
            FORM, now.isoformat(), number, head, migrations, tables, dict(writer.entries), damaged
        )
        writer.add(DESCRIPTION, description.to_json())
    return description


def _pieces(source: Iterable[bytes]) -> Iterable[bytes]:
    """Pieces of a size that memory is no question of, and none of them empty."""
    return (piece for piece in source if piece)


def _add_files(writer: _Writer) -> list[str]:
    """Every file of the store that is whole. Others are named, and the backup is made all the same."""
    damaged = []
    for digest in sorted(store.stored_digests()):
        try:
            with store.open_file(digest) as stream:
                writer.stream(f"{FILES}{digest}", os.fstat(stream.fileno()).st_size, stream, digest)
        except store.FileProblem:
            damaged.append(digest)
    return damaged


def _keys() -> dict[str, bytes]:
    """What signs: the secret key and the certificates with their keys."""
    found = {"secret_key": settings.SECRET_KEY.encode()}
    paths = sorted((settings.VAR / "signing").glob("*.p12"))
    for path in paths:
        found[f"signing/{path.name}"] = path.read_bytes()
    if settings.SIGNING_P12:
        with suppress(OSError):
            found["signing/own.p12"] = Path(settings.SIGNING_P12).read_bytes()
    return found


def _sweep(folder: Path) -> None:
    for left in folder.glob(f".garboard-*{durable.BESIDE}"):
        with suppress(FileNotFoundError):
            if datetime.now(UTC).timestamp() - left.stat().st_mtime > LEFT_AFTER_SECONDS:
                left.unlink()
