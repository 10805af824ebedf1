"""A disk that keeps only what was synced, as real ones may when the power goes.

It watches the calls that ``files.durable`` makes. A file's bytes last from its ``fsync`` on, the names in a folder from
the folder's. ``after_a_power_cut`` is what would be found when the machine is switched on again.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import models
from django.db.models.signals import post_save

from files import durable, store

WATCHED = ["open", "write", "fsync", "close", "replace", "mkdir", "chmod"]


class PowerCutError(BaseException):
    """The power goes now. Nothing of ours may catch it and go on."""


class Disk:
    """Stands in for the module ``os``; ends the power before call number ``cut_at``."""

    def __init__(self, root: Path, cut_at: int | None = None) -> None:
        self.root, self.cut_at = root, cut_at
        self.calls: list[str] = []
        self.bytes_by_inode: dict[int, bytes] = {}
        self.names_by_inode: dict[int, dict[str, int]] = {root.stat().st_ino: {}}

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in WATCHED:
            return real

        def watched(*args: Any, **kwargs: Any) -> Any:
            if self.cut_at is not None and len(self.calls) >= self.cut_at:
                raise PowerCutError
            self.calls.append(name)
            result = real(*args, **kwargs)
            if name == "fsync":
                self._keep(Path(f"/proc/self/fd/{args[0]}").resolve())
            return result

        return watched

    def _keep(self, path: Path) -> None:
        inode = path.stat().st_ino
        if path.is_dir():
            self.names_by_inode[inode] = {one.name: one.stat().st_ino for one in path.iterdir()}
        else:
            self.bytes_by_inode[inode] = path.read_bytes()

    def after_a_power_cut(self) -> dict[str, bytes]:
        """The files that are found again by their paths below the root; unsynced bytes are gone."""
        return dict(self._found(self.root.stat().st_ino, ""))

    def _found(self, folder: int, where: str) -> list[tuple[str, bytes]]:
        found = []
        for name, inode in self.names_by_inode.get(folder, {}).items():
            if inode in self.names_by_inode:
                found += self._found(inode, f"{where}{name}/")
            else:
                found.append((where + name, self.bytes_by_inode.get(inode, b"")))
        return found


@contextmanager
def safe_when_written(
    model: type[models.Model], field: str, media: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[dict[str, bool]]:
    """For each row that is written meanwhile: whether the file that it names had been safe from a power cut by then."""
    media.mkdir(exist_ok=True)
    disk = Disk(media)
    monkeypatch.setattr(durable, "os", disk)
    found: dict[str, bool] = {}

    def look(sender: object, instance: models.Model, created: bool, **kwargs: object) -> None:
        digest = getattr(instance, field)
        if created:
            found[digest] = bool(disk.after_a_power_cut().get(store.name_of(digest)))

    post_save.connect(look, sender=model)
    try:
        yield found
    finally:
        post_save.disconnect(look, sender=model)
