"""The one store: what it keeps outlasts a power cut, is what its name says, and is mended by bringing it again."""

from __future__ import annotations

import errno
import hashlib
import io
import os
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from pytest_django import Settings

from files import checking, durable, references, store, troubles
from tests.files.disk import Disk, PowerCutError

pytestmark = pytest.mark.django_db
DATA = b"what was signed " * 50
DIGEST = hashlib.sha256(DATA).hexdigest()


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    folder = tmp_path / "media"
    folder.mkdir(mode=0o700)
    settings.MEDIA_ROOT = str(folder)
    return folder


@pytest.fixture
def named(monkeypatch: pytest.MonkeyPatch) -> dict[str, int | None]:
    """Files that some row names, and no others."""
    rows: dict[str, int | None] = {}
    told = {"tests": lambda: [(digest, size, "the log “run.log”") for digest, size in rows.items()]}
    monkeypatch.setattr(references, "_rows", told)
    return rows


class Upload(ContentFile[bytes]):
    """A file that came in beside the store."""

    def __init__(self, path: Path) -> None:
        path.write_bytes(DATA)
        super().__init__(DATA, path.name)
        self.path = path

    def temporary_file_path(self) -> str:
        return str(self.path)


def write(media: Path) -> None:
    store.keep_bytes(DATA)


def move(media: Path) -> None:
    uploads = media / "uploads"
    uploads.mkdir(exist_ok=True)
    store.keep_file(Upload(uploads / "one.upload"))


def find_it_there(media: Path) -> None:
    """Another writer has put it into its place, and has not come to any sync of the folders."""
    target = store.path_of(DIGEST)
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(DATA)
    store.keep_bytes(DATA)


@pytest.mark.parametrize("way", [write, move])
def test_whatever_moment_the_power_goes_a_row_never_points_at_a_lost_or_short_file(
    way: Any, media: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = Disk(media)
    monkeypatch.setattr(durable, "os", whole)
    way(media)
    monkeypatch.undo()
    assert whole.after_a_power_cut()[store.name_of(DIGEST)] == DATA  # a row may be committed from here on
    assert whole.calls.count("fsync") >= 4  # two new folders' names, the file, and its name
    assert whole.calls.index("replace") > whole.calls.index("fsync")
    for step in range(len(whole.calls)):
        folder = tmp_path / f"cut-{step}"
        folder.mkdir()
        monkeypatch.setattr("django.conf.settings.MEDIA_ROOT", str(folder))
        disk = Disk(folder, cut_at=step)
        monkeypatch.setattr(durable, "os", disk)
        with pytest.raises(PowerCutError):  # so no row was committed
            way(folder)
        monkeypatch.undo()
        found = disk.after_a_power_cut()
        assert found.get(store.name_of(DIGEST), DATA) == DATA, f"step {step}: {disk.calls}"
        monkeypatch.setattr("django.conf.settings.MEDIA_ROOT", str(folder))
        assert store.keep_bytes(DATA).digest == DIGEST  # and it can be brought again
        assert store.read(DIGEST) == DATA
        monkeypatch.undo()


def test_a_file_that_another_writer_has_just_put_there_is_synced_before_it_is_relied_on(
    media: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk = Disk(media)
    monkeypatch.setattr(durable, "os", disk)
    find_it_there(media)
    target = store.path_of(DIGEST)
    assert disk.bytes_by_inode[target.stat().st_ino] == DATA
    assert disk.names_by_inode[target.parent.stat().st_ino] == {DIGEST: target.stat().st_ino}


def test_only_the_program_may_look(media: Path) -> None:
    os.umask(before := os.umask(0))
    try:
        os.umask(0)
        store.keep_bytes(DATA)
        move(media)
    finally:
        os.umask(before)
    target = store.path_of(DIGEST)
    assert target.stat().st_mode & 0o777 == 0o600
    for folder in [target.parent, target.parent.parent]:
        assert folder.stat().st_mode & 0o777 == 0o700


def test_the_same_file_is_kept_once_and_said_so() -> None:
    assert store.keep_bytes(DATA).was_there is False
    assert store.keep_file(ContentFile(DATA)) == store.Kept(DIGEST, len(DATA), was_there=True)


@pytest.mark.parametrize("damage", [DATA[:-1], b"", DATA[:-1] + b"x", None])
def test_a_damaged_file_is_never_handed_out_and_is_mended_by_bringing_it_again(damage: bytes | None) -> None:
    store.keep_bytes(DATA)
    target = store.path_of(DIGEST)
    target.unlink() if damage is None else target.write_bytes(damage)
    with pytest.raises(store.FileProblem) as refused:
        store.read(DIGEST)
    assert refused.value.is_missing == (damage is None)
    assert troubles.noted() == {DIGEST: "missing" if damage is None else "altered"}
    assert store.keep_bytes(DATA).was_there is False
    assert store.read(DIGEST) == DATA
    assert troubles.noted() == {}


def test_a_full_disk_leaves_nothing_half_written(media: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: Any) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(durable, "_write_all", full)
    with pytest.raises(OSError, match="No space"):
        store.keep_bytes(DATA)
    assert not [path for path in media.rglob("*") if path.is_file()]


def test_a_file_that_a_row_names_is_not_thrown_away(named: dict[str, int | None]) -> None:
    store.keep_bytes(DATA)
    named[DIGEST] = len(DATA)
    assert store.discard(DIGEST) is False
    assert store.read(DIGEST) == DATA
    named.clear()
    assert store.discard(DIGEST) is True
    assert not store.is_whole(DIGEST)


def test_at_a_glance_sees_missing_and_short_files_and_reading_sees_altered_ones(named: dict[str, int | None]) -> None:
    short, altered = (store.keep_bytes(DATA + tail).digest for tail in [b"1", b"2"])
    named |= {DIGEST: len(DATA), short: len(DATA) + 1, altered: len(DATA) + 1}
    store.path_of(short).write_bytes(DATA)
    store.path_of(altered).write_bytes(DATA + b"3")
    assert {one.reference.digest: one.is_missing for one in checking.damages_at_a_glance()} == {
        DIGEST: True,
        short: False,
    }
    assert {one.reference.digest for one in checking.damages_by_digest()} == {DIGEST, short, altered}
    assert {one.reference.digest for one in checking.damages_at_a_glance()} == {DIGEST, short, altered}


def test_the_commands_name_what_is_lost_and_take_it_back(named: dict[str, int | None], tmp_path: Path) -> None:
    named[DIGEST] = len(DATA)
    said = io.StringIO()
    with pytest.raises(CommandError, match=r"1 file\(s\) are missing or altered"):
        call_command("check_files", stdout=said)
    assert f"The file of the log “run.log” is missing (SHA-256 {DIGEST})." in said.getvalue()
    (tmp_path / "copy").write_bytes(DATA)
    (tmp_path / "stranger").write_bytes(b"something else")
    with pytest.raises(CommandError, match=r"1 file\(s\) were not kept"):
        call_command("bring_file", str(tmp_path / "stranger"), str(tmp_path / "copy"), stdout=said)
    assert "the log “run.log” is complete again." in said.getvalue()
    call_command("check_files", stdout=said)
    assert "1 file(s): every digest agrees." in said.getvalue()


def test_what_killed_writers_left_is_swept_when_it_is_old(media: Path) -> None:
    store.keep_bytes(DATA)
    left = store.path_of(DIGEST).with_name(f".{DIGEST}.1{durable.BESIDE}")
    left.write_bytes(b"half")
    assert checking.sweep() == 0
    os.utime(left, (0, 0))
    assert checking.sweep() == 1
    assert store.read(DIGEST) == DATA


def test_djangos_storage_is_the_same_store() -> None:
    name = default_storage.save("../../logo.png", ContentFile(DATA))
    assert name == store.name_of(DIGEST)
    with default_storage.open(name) as file:
        assert file.read() == DATA
    assert (default_storage.exists(name), default_storage.size(name)) == (True, len(DATA))
    store.path_of(DIGEST).write_bytes(b"x")
    with pytest.raises(OSError, match="not what was kept"):
        default_storage.open(name)
    for stranger in ["shop/logo.png", f"files/00/{DIGEST}", "../secret_key"]:
        assert not default_storage.exists(stranger)
        with pytest.raises(FileNotFoundError):
            default_storage.open(stranger)


@pytest.mark.parametrize("name", ["", "x", "../../etc/passwd", DIGEST.upper(), DIGEST + "\n"])
def test_nothing_but_a_digest_is_a_name(name: str) -> None:
    with pytest.raises(ValueError, match="64 lower-case"):
        store.path_of(name)
