"""What keeps the program from starting is said in a sentence, and never by a traceback."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from shopfloor import secret_key
from shopfloor.checks import check_paper
from shopfloor.collecting import CollectedFiles
from shopfloor.environment import Problem
from shopfloor.readiness import NotReadyError, collect_static_files, take_folder_for_demo
from tests.acceptance.running import environment
from tests.conftest import ROOT

NOWHERE = "postgresql://nobody@127.0.0.1:1/nothing"
WITHOUT_PANGO = """
import cffi
find = cffi.FFI.dlopen
def dlopen(self, name, *more):
    if "pango" in str(name):
        raise OSError(f"cannot load library {name!r}")
    return find(self, name, *more)
cffi.FFI.dlopen = dlopen
"""

NOT_FOR_EVERY_COMMAND = ["aiohttp", "can", "jsonschema", "numpy", "pint", "pyhanko", "scipy", "weasyprint"]
START = """
import json
import sys
from django.core.management import call_command
import django
django.setup()
call_command("check")
import shopfloor.urls
print(json.dumps(sorted(set(sys.argv[1:]) & set(sys.modules))))
from shopfloor.readiness import load_what_is_shared
load_what_is_shared()
print(json.dumps(sorted(set(sys.argv[1:]) & set(sys.modules))))
"""


def said(var: Path, **settings: str) -> str:
    """What ``serve`` says before it ends, which has to be with an error and in sentences."""
    env = environment(var, **{"PUBLIC_URL": "http://127.0.0.1:8000", "DATABASE_URL": NOWHERE, **settings})
    command = [sys.executable, "manage.py", "serve"]
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=100, check=False)
    assert done.returncode not in {0, None}
    assert "Traceback" not in done.stderr
    return done.stderr


def test_a_database_that_does_not_answer_and_a_key_that_is_too_short(tmp_path: Path) -> None:
    assert "The database named in DATABASE_URL does not answer" in said(tmp_path, SECRET_KEY="")
    assert "SECRET_KEY is too short or too plain" in said(tmp_path, SECRET_KEY="short")


def test_a_kept_key_that_is_empty_and_pango_that_is_missing(tmp_path: Path) -> None:
    (tmp_path / "secret_key").touch()
    (tmp_path / "sitecustomize.py").write_text(WITHOUT_PANGO)
    words = said(tmp_path, PYTHONPATH=str(tmp_path))
    assert f"{tmp_path / 'secret_key'}, where the secret key is kept, is empty. Delete the file" in words
    assert "Pango, the library that sets the letters of reports, is not on this machine. Install it" in words


def test_a_kept_key_of_another_user_is_not_to_be_deleted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Deleted, every second factor would be lost with it."""

    def refused(self: Path) -> str:
        raise PermissionError(13, "Permission denied", str(self))

    found: list[Problem] = []
    monkeypatch.setattr(secret_key, "PROBLEMS", found)
    monkeypatch.setattr(Path, "read_text", refused)
    secret_key._secret_in(tmp_path / "secret_key")
    (problem,) = found
    assert problem.says == f"{tmp_path / 'secret_key'}, where the secret key is kept, belongs to another user."
    assert "Give the file to the user that the program runs as" in problem.hint
    assert "Delete" not in problem.hint


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    file = tmp_path / "taken"
    file.touch()
    assert "can't be written" in said(file)
    assert "can't be written" in said(file, DATABASE_URL="")


def test_no_command_loads_what_draws_signs_or_reckons_before_it_is_used(tmp_path: Path) -> None:
    """Each takes a tenth to half of a second; a server has loaded them before it forks the processes that use them."""
    done = subprocess.run(
        [sys.executable, "-c", START, *NOT_FOR_EVERY_COMMAND],
        cwd=ROOT,
        env=environment(tmp_path, DJANGO_SETTINGS_MODULE="shopfloor.settings"),
        capture_output=True,
        text=True,
        timeout=100,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    after_start, before_forking = map(json.loads, done.stdout.splitlines()[-2:])
    assert after_start == []
    assert set(before_forking) >= {"aiohttp", "jsonschema", "numpy", "pint", "pyhanko", "weasyprint"}


def test_pango_is_here() -> None:
    assert check_paper(None) == []


def test_a_second_demo_in_one_folder_is_refused(settings, tmp_path: Path) -> None:
    settings.VAR = tmp_path
    take_folder_for_demo()
    with pytest.raises(NotReadyError, match=r"A demo is running in .* already"):
        take_folder_for_demo()


def test_static_files_are_laid_out_again_when_others_are_to_be(settings, tmp_path: Path, monkeypatch) -> None:
    """What was laid out by an older version, which left some of them out, is not taken for whole."""
    settings.STATIC_ROOT = tmp_path
    with monkeypatch.context() as older:
        older.setattr(CollectedFiles, "ignore_patterns", [*CollectedFiles.ignore_patterns, "css/paper*"])
        collect_static_files()
    assert not (tmp_path / "css/paper.css").exists()
    collect_static_files()
    assert (tmp_path / "css/paper.css").is_file()
    (tmp_path / "css/paper.css").unlink()
    collect_static_files()
    assert not (tmp_path / "css/paper.css").exists()  # nothing has changed, so that nothing is laid out
