"""One mutant, one process: forked from a parent that has loaded the libraries and nothing of the program.

The fork puts the changed text in the place of the module before anything imports it, and runs the tests that are about
it, to the first that fails. The database is made once; every fork finds it ready.
"""

from __future__ import annotations

import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import resource
import sys
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import CodeType
from typing import Any

from tests.house import FLOORS

KILLED, SURVIVED, ENDLESS = "killed", "survived", "endless"
NOTHING_RAN = 5


@dataclass(frozen=True)
class Subject:
    """A module, the tests that are about it, and whether it can do without database and Django."""

    path: str
    tests: Sequence[str]
    is_pure: bool = False

    @property
    def module(self) -> str:
        """The name under which it is imported."""
        return self.path.removesuffix(".py").replace("/", ".")


class _Changed(importlib.abc.MetaPathFinder, importlib.machinery.SourceFileLoader):
    """Gives the changed text wherever the module is imported."""

    def __init__(self, name: str, path: str, source: str) -> None:
        super().__init__(name, str(Path(path).resolve()))
        self._source = source

    def find_spec(self, fullname: str, path: Any = None, target: Any = None) -> importlib.machinery.ModuleSpec | None:
        return (
            importlib.util.spec_from_file_location(fullname, self.path, loader=self) if fullname == self.name else None
        )

    def get_code(self, fullname: str) -> CodeType:
        return compile(self._source, self.path, "exec")


def _in_a_fork(work: Callable[[], int], *, seconds: int | None = None) -> int | None:
    """The code with which the work ended; None where it used more processor time than it may."""
    sys.stdout.flush()
    pid = os.fork()
    if pid == 0:
        if seconds is not None:
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        code = 99
        try:
            code = work()
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    _, status = os.waitpid(pid, 0)
    return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else None


def load_libraries() -> None:
    """Import what the program and its tests import from elsewhere, as a fork that starts the program finds it."""
    import pytest  # noqa: F401

    from tests import conftest  # noqa: F401  makes the surroundings: settings, PostgreSQL

    reader, writer = os.pipe()

    def names() -> int:
        import django

        django.setup()
        import tests.cast  # noqa: F401

        found = [name for name in sys.modules if name.split(".")[0] not in {*FLOORS, "tests", "__main__"}]
        os.write(writer, "\n".join(found).encode()[:60000])
        return 0

    _in_a_fork(names)
    os.close(writer)
    with os.fdopen(reader, "rb") as file:
        wanted = file.read().decode().split("\n")
    for name in wanted:
        if name.split(".")[0] in {"django", "pytest_django"} or ".models" in name:
            continue
        try:
            importlib.import_module(name)
        except Exception:
            continue


def _tests(subject: Subject, source: str | None, *, is_ready: bool, is_quiet: bool) -> int:
    import pytest

    if source is not None:
        if subject.module in sys.modules:
            raise RuntimeError(f"{subject.module} was loaded before it could be changed")
        sys.meta_path.insert(0, _Changed(subject.module, subject.path, source))
    if is_quiet:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)
    given = ["-x", "-q", "-p", "no:randomly", "-p", "no:xdist", "-p", "no:cacheprovider", "-p", "no:warnings"]
    given += ["-m", "not long", "--timeout=0"]
    if subject.is_pure:
        given += ["--noconftest", "-p", "no:django"]
    else:
        given.append("--reuse-db")
        if is_ready:
            _find_the_database_ready()
    return int(pytest.main([*given, *subject.tests]))


def _find_the_database_ready() -> None:
    """Take the test database as an earlier run left it, without looking at its migrations."""
    import django.test.utils as utils

    def as_it_stands(*_: object, **__: object) -> list[object]:
        from django.db import connections

        for connection in connections.all():
            connection.close()
            connection.settings_dict["NAME"] = connection.creation._get_test_db_name()
        return []

    utils.setup_databases = as_it_stands
    utils.teardown_databases = lambda *_, **__: None


def begin(subject: Subject) -> float:
    """Run the tests on the module as it is; the seconds of processor time that they took.

    Raises:
        RuntimeError: they fail.
    """
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    if _in_a_fork(lambda: _tests(subject, Path(subject.path).read_text(), is_ready=False, is_quiet=False)) != 0:
        raise RuntimeError(f"The tests of {subject.path} fail as it is.")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def judge(subject: Subject, source: str, *, seconds: int) -> str:
    """What became of a mutant under the tests about it: the quickest file alone, and the others where it survives that.

    Collecting the others takes longer than the quickest takes to fail.
    """
    for tests in (subject.tests[:1], subject.tests[1:]):
        if tests and (verdict := _judge(replace(subject, tests=tests), source, seconds=seconds)) != SURVIVED:
            return verdict
    return SURVIVED


def _judge(subject: Subject, source: str, *, seconds: int) -> str:
    code = _in_a_fork(lambda: _tests(subject, source, is_ready=True, is_quiet=True), seconds=seconds)
    if code == NOTHING_RAN:
        raise RuntimeError(f"No test of {subject.path} was run.")
    # Whatever else is not 0 is a test that failed, or a program that could not even be started, by a test or by Django.
    # That the tests can be started and pass is known from before and looked at once more at the end.
    return ENDLESS if code is None else SURVIVED if code == 0 else KILLED
