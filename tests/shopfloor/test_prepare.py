"""``deploy/prepare.sh``: what is missing is installed where that can be done, and else named in a sentence."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = ["sh", "dirname", "grep", "ls", "rm", "mktemp", "tail", "cat", "env"]


class Machine:
    """A machine with a few programs, on which a copy of the project lies."""

    def __init__(self, folder: Path, project: Path, *, uid: int) -> None:
        self.project = folder / "project"
        (self.project / "deploy").mkdir(parents=True)
        shutil.copy(project / "deploy" / "prepare.sh", self.project / "deploy")
        self.bin = folder / "bin"
        self.bin.mkdir()
        self.heard = folder / "heard"
        self.heard.touch()
        for tool in TOOLS:
            found = shutil.which(tool)
            assert found
            (self.bin / tool).symlink_to(found)
        self.has("id", f"echo {uid}")
        self.has("python3", f'exec {sys.executable} "$@"')

    def has(self, program: str, does: str = "exit 0") -> None:
        """Put a program on this machine."""
        file = self.bin / program
        file.write_text(f'#!/bin/sh\necho "{program} $*" >>{self.heard}\n{does}\n')
        file.chmod(0o755)

    def prepare(self, what: str) -> subprocess.CompletedProcess[str]:
        """Run the script as on that machine."""
        return subprocess.run(
            ["sh", "deploy/prepare.sh", what],
            cwd=self.project,
            env={"PATH": str(self.bin)},
            capture_output=True,
            text=True,
            check=False,
        )

    def installations(self) -> list[str]:
        """What apt-get was asked to install."""
        return [line for line in self.heard.read_text().splitlines() if line.startswith("apt-get install")]


def test_without_apt_get_it_says_what_to_install(tmp_path: Path, project_root: Path) -> None:
    done = Machine(tmp_path, project_root, uid=1000).prepare("dev")
    assert done.returncode == 1
    assert "Missing: what the tests drive. Install these Debian packages, or what they are called" in done.stderr
    assert "chromium-headless-shell redis-server poppler-utils qpdf" in done.stderr.splitlines()[-1]


def test_without_root_and_without_sudo_it_says_what_to_install(tmp_path: Path, project_root: Path) -> None:
    machine = Machine(tmp_path, project_root, uid=1000)
    machine.has("apt-get")
    done = machine.prepare("dev")
    assert done.returncode == 1
    assert "    chromium-headless-shell" in done.stderr
    assert machine.installations() == []


@pytest.mark.parametrize("uid", [0, 1000])
def test_root_and_those_with_sudo_get_it_installed(tmp_path: Path, project_root: Path, uid: int) -> None:
    machine = Machine(tmp_path, project_root, uid=uid)
    machine.has("apt-get", "[ $1 = update ] || exit 1")  # the installation fails, so the script ends there
    machine.has("sudo", 'shift; exec "$@"')
    done = machine.prepare("dev")
    assert done.returncode == 1
    [installation] = machine.installations()
    assert "chromium-headless-shell redis-server poppler-utils qpdf" in installation
    assert ("sudo" in machine.heard.read_text()) is (uid != 0)
    assert "Missing: what the tests drive." in done.stderr


def test_only_what_is_missing_is_installed(tmp_path: Path, project_root: Path) -> None:
    machine = Machine(tmp_path, project_root, uid=0)
    for program in ["chromium-headless-shell", "redis-server", "pdfsig"]:
        machine.has(program)
    machine.has("apt-get", "[ $1 = update ] || exit 1")
    machine.prepare("dev")
    [installation] = machine.installations()
    assert "qpdf" in installation
    assert "chromium" not in installation


def test_where_the_whole_browser_is_there_its_small_form_is_a_matter_of_speed(
    tmp_path: Path, project_root: Path
) -> None:
    for uid, asked in ((0, 1), (1000, 0)):
        folder = tmp_path / str(uid)
        folder.mkdir()
        machine = Machine(folder, project_root, uid=uid)
        for program in ["chromium", "redis-server", "pdfsig", "qpdf", "initdb"]:
            machine.has(program)
        machine.has("apt-get", "exit 1")
        done = machine.prepare("dev")
        heard = machine.heard.read_text()
        assert heard.count("apt-get update") == asked
        assert "Missing: what the tests drive" not in done.stderr


def test_an_old_python_is_refused_with_a_sentence(tmp_path: Path, project_root: Path) -> None:
    machine = Machine(tmp_path, project_root, uid=0)
    machine.has("python3", "exit 1")
    machine.has("apt-get")
    done = machine.prepare("base")
    assert done.returncode == 1
    assert "Python 3.11 or newer is needed" in done.stderr


def test_where_nothing_is_missing_it_is_quick_and_silent(project_root: Path) -> None:
    before = os.times()
    done = subprocess.run(
        ["sh", "deploy/prepare.sh", "dev"],
        cwd=project_root,
        env=os.environ,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    after = os.times()
    assert after.children_user + after.children_system - before.children_user - before.children_system < 10


def test_the_locks_agree_and_are_hashed(project_root: Path) -> None:
    def pins(name: str) -> dict[str, str]:
        lines = (project_root / "requirements" / name).read_text().splitlines()
        found = [line.split(" ")[0].split("==") for line in lines if "==" in line and line[0].isalnum()]
        return dict(found)

    base, dev = pins("base.txt"), pins("dev.txt")
    assert base.items() <= dev.items()
    for name in ["base.txt", "dev.txt"]:
        text = (project_root / "requirements" / name).read_text()
        assert text.count("--hash=sha256:") >= len(pins(name))
        assert "://" not in text
