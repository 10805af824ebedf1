"""The tests' own surroundings, made before Django reads its settings.

One embedded PostgreSQL under ``var/test`` serves every run on this machine, with fsync off; each run has a database
of its own, named by ``GARBOARD_TEST_DB`` or the first free one. Nothing of the developer's own settings gets in.
"""

from __future__ import annotations

import fcntl
import gc
import os
import re
import shutil
import signal
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import psycopg
import pytest
from hypothesis import HealthCheck, settings

from shopfloor.database import ROOT, start_database

if TYPE_CHECKING:
    from pytest_django import DjangoDbBlocker

    from files.paper.drawing import Drawn

AROUND = ROOT / "var" / "test"
LONGEST = {
    name: place
    for place, name in enumerate(
        [
            "browser/test_every_page.py",
            "acceptance/test_one_box.py",
            "browser/test_whole_job.py",
            "browser/test_bench.py",
            "acceptance/test_demo.py",  # when the first has filled the demo
            "acceptance/test_compose.py",
            # of the others: at the end of a run one of them would keep one core alone for up to two minutes
            "migrations/test_upgrade.py",
            "published/test_pdf_archive.py",
            "reports/test_page_breaks.py",
            "published/test_invoice_papers.py",
        ]
    )
}
LEFT_OUT = pytest.StashKey[int]()
gc.set_threshold(100_000, 20, 100)  # twelve thousand tests are looked through at each turn of the usual collection
KEPT: list[object] = []  # open files whose locks last as long as the run


def _database_name() -> str:
    """The name given, or the first that no other run holds."""
    given = os.environ.get("GARBOARD_TEST_DB")
    if given:
        return given
    for number in range(1, 100):
        name = f"main{number}"
        file = (AROUND / f"{name}.lock").open("ab")
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.close()
            continue
        KEPT.append(file)
        return name
    raise RuntimeError("A hundred test runs at once? Name this one in GARBOARD_TEST_DB.")


def _prepare_environment() -> None:
    for name in settings_of_the_environment():
        os.environ.pop(name, None)
    os.environ["GARBOARD_SETTINGS"] = os.devnull
    AROUND.mkdir(parents=True, exist_ok=True)
    name = _database_name()
    var = AROUND / name
    shutil.rmtree(var / "media", ignore_errors=True)
    os.environ.update(
        {"GARBOARD_TEST_DB": name, "GARBOARD_VAR": str(var), "DJANGO_SETTINGS_MODULE": "shopfloor.settings"}
    )
    os.environ.pop("DATABASE_URL", None)
    # Every run of pytest closes the folder above its temporary ones to all but its own account, also for a database of
    # another run whose server has an account of its own. So each run has that folder for itself.
    temporary = var / "tmp"
    temporary.mkdir(parents=True, exist_ok=True)
    os.environ["PYTEST_DEBUG_TEMPROOT"] = str(temporary)
    start_database(AROUND / "postgresql", durable=False)


def settings_of_the_environment() -> set[str]:
    """The name of every variable that the settings read."""
    text = "".join((ROOT / "shopfloor" / name).read_text() for name in ("settings.py", "secret_key.py"))
    return set(re.findall(r'\b(?:address|names|networks|number|switch|text|word)\(\s*"([A-Z0-9_]+)"', text)) - {
        "GARBOARD_TEST_DB"
    }


# Twenty examples in the usual run, a hundred in the long one; a busy machine draws them slowly, which is no fault.
settings.register_profile(
    "usual",
    max_examples=int(os.environ.get("GARBOARD_EXAMPLES", "20")),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("usual")

if "PYTEST_XDIST_WORKER" not in os.environ:  # a worker inherits all of this from the run that started it
    _prepare_environment()
LAST = float(os.environ.get("GARBOARD_LAST") or 0)  # when a run ends that may take so long only


def pytest_configure() -> None:
    """Settings that only make sense in tests. A shell that runs them beside others has Ctrl-C ignored: it is heard."""
    from django.conf import settings

    if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
    settings.WHITENOISE_USE_FINDERS = settings.WHITENOISE_AUTOREFRESH = True
    _let_flush_empty_the_log()


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> bool | None:
    """Of a run that may take so many seconds only (make test-fast), leave out what is left when they are over.

    Thousands of tests that are skipped one by one would take seconds of their own.
    """
    if not LAST or time.time() <= LAST:
        return None
    item.config.stash[LEFT_OUT] = item.config.stash.get(LEFT_OUT, 0) + 1
    return True


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A worker tells how many it left out."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left_out"] = session.config.stash.get(LEFT_OUT, 0)


def pytest_collection_finish() -> None:
    """What has been read so far stays to the end: it is no garbage to look for."""
    gc.collect()
    gc.freeze()


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Add up what the workers left out."""
    told = getattr(node, "workeroutput", {}).get("left_out", 0)
    node.config.stash[LEFT_OUT] = node.config.stash.get(LEFT_OUT, 0) + told


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many that were."""
    if left := terminalreporter.config.stash.get(LEFT_OUT, 0):
        terminalreporter.write_line(f"{left} left out: the time is over, and make test runs them.")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What drives a browser or starts the program stands in its own folder: the run is cut by folders.

    Files are handed out whole in that tier. Those that take longest go first, whatever order was drawn.
    """
    parts = {path: path.relative_to(ROOT / "tests").parts for path in {item.path for item in items}}
    items.sort(key=lambda item: LONGEST.get("/".join(parts[item.path][-2:]), len(LONGEST)))
    for item in items:
        folder = parts[item.path][0]
        for tier in ("browser", "acceptance"):
            if (item.get_closest_marker(tier) is not None) != (folder == tier):
                raise pytest.UsageError(f"{item.nodeid}: what is marked {tier} stands in tests/{tier}, and only that.")


KEPT_BY_FLUSH = {"auth_permission", "django_content_type"}  # the framework's, of the models: they stay as they are


def _let_flush_empty_the_log() -> None:
    """Tests that commit are cleaned up by taking out all rows, which the log's triggers refuse to everybody else.

    TRUNCATE makes hundreds of files anew, for the two tables in ten that a test has written to; deleting takes a tenth
    of it. The locks are those of TRUNCATE: who still writes is waited for.
    """
    from django.db.backends.postgresql.operations import DatabaseOperations

    truncate = DatabaseOperations.sql_flush
    without_triggers = "SET LOCAL session_replication_role = replica"

    def delete(
        self: DatabaseOperations,
        style: Any,
        tables: Iterable[str],
        *,
        reset_sequences: bool = False,
        allow_cascade: bool = False,
    ) -> list[str]:
        if reset_sequences:
            return [without_triggers, *truncate(self, style, tables, reset_sequences=True, allow_cascade=allow_cascade)]
        names = [self.quote_name(table) for table in sorted(tables) if table not in KEPT_BY_FLUSH]
        return [
            without_triggers,
            f"LOCK TABLE {', '.join(names)} IN ACCESS EXCLUSIVE MODE",
            f"DO $$ BEGIN {' '.join(f'DELETE FROM {name};' for name in names)} END $$",
        ]

    DatabaseOperations.sql_flush = delete


@pytest.fixture(autouse=True, scope="session")
def _background_work_at_the_commit() -> Iterator[None]:
    """No worker runs beside the tests: what is asked for is done at the commit, by the same row."""
    from commands.background import done_in_this_process

    with done_in_this_process():
        yield


@pytest.fixture(autouse=True, scope="session")
def _the_shops_calendar() -> None:
    """A test that asks for today is asked in the shop, whose day is not the server's for some hours of each day.

    The server's zone stays UTC: what runs in a thread or a process of its own has to look for the shop's by itself.
    """
    from django.utils import timezone

    timezone.activate("America/New_York")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, django_db_blocker: DjangoDbBlocker
) -> None:
    """The run's database is a copy of one that is migrated already."""
    from django.db import connections

    from tests.template_database import template_database

    with django_db_blocker.unblock(), _limit_of_the_test_waits():
        connections["default"].settings_dict["TEST"]["TEMPLATE"] = template_database(AROUND)


@contextmanager
def _limit_of_the_test_waits() -> Iterator[None]:
    """The first test of each worker waits for a migration, of which it is no part: that does not count against it."""
    left, _ = signal.setitimer(signal.ITIMER_REAL, 0)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, left)


@pytest.fixture(scope="class")
def class_db(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """One transaction around the tests of a class: what its fixtures write is there for each test as they left it."""
    from django.db import transaction

    with django_db_blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="session")
def project_root() -> Path:
    """The folder of the project."""
    return ROOT


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A var folder with the demo, as ``make demo`` leaves it when it was filled and stopped; to be copied."""
    from tests.acceptance.demo_once import fill
    from tests.acceptance.folders import made_once

    with made_once(tmp_path_factory, "demo", fill) as folder:
        yield folder


@pytest.fixture(scope="session")
def drawn() -> Drawn:
    """A paper ready to be signed, drawn once for all tests that look at what becomes of it."""
    from files.paper.drawing import Stationery
    from findings.reports.render import draw_pdf
    from tests.findings.reports import sample

    return draw_pdf(sample.record(), Stationery("letter"))


@pytest.fixture(autouse=True, scope="module")
def _tables_without_leavings() -> None:
    """Sweep out the rows that earlier tests wrote and rolled back.

    The planner would count their pages, or, once analyzed, take a table for empty for good; either way the plans of
    the tests that follow would hang on what ran before them.
    """
    from django.db import connections

    place = connections["default"].settings_dict
    if not str(place["NAME"]).startswith("test_"):  # no test has asked for the database yet
        return
    with psycopg.connect(
        host=place["OPTIONS"]["host"], user=place["USER"], dbname=place["NAME"], autocommit=True
    ) as sweeper:
        swept = sweeper.execute(
            "SELECT format('%I', relname) FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace "
            "AND (relpages > 0 AND reltuples = 0 OR pg_relation_size(oid) > 1000000)"
        ).fetchall()
        for (table,) in swept:
            sweeper.execute(f"VACUUM {table}")
