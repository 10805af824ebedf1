"""What ``make test-fast`` runs first, and that it ends in its time; how long a test may take."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time

import pytest

from shopfloor.database import ROOT
from tests import conftest
from tests.changed import nearest_first


def test_a_test_that_was_changed_comes_first_and_then_what_imports_what_was_changed() -> None:
    found = nearest_first(["engineering/measures.py", "tests/web/test_pager.py"])
    assert found[0] == "tests/web/test_pager.py"
    assert found.index("tests/engineering/test_measures.py") < found.index("tests/engineering/test_hull_numbers.py")


def test_what_tests_share_leads_to_the_tests_that_use_it() -> None:
    assert "tests/findings/bench/test_bench_tools.py" in nearest_first(["tests/findings/bench/world.py"])


def test_templates_and_pages_in_words_lead_to_the_tests_of_their_folder() -> None:
    found = nearest_first(["templates/workorders/job.html"])
    assert found.index("tests/workorders/test_job_pages.py") < found.index("tests/look/test_templates.py")
    assert "tests/look/test_documents.py" in nearest_first(["DEVELOPERS.md"])


def test_nothing_drives_a_browser_or_starts_the_program() -> None:
    found = nearest_first(["staff/models.py", "tests/browser/test_tablet.py", "tests/cast.py"])
    assert len(found) > 50
    assert [file for file in found if file.startswith(("tests/browser/", "tests/acceptance/"))] == []


def test_what_has_no_test_leads_to_none() -> None:
    assert nearest_first(["LICENSE", "nowhere/at_all.py"]) == []


def test_after_its_time_a_run_leaves_out_what_is_left_and_says_how_many() -> None:
    file = "tests/shopfloor/test_queue_folder.py"
    tests = len(re.findall(r"^def test_", (ROOT / file).read_text(), re.MULTILINE))
    surroundings = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    over = surroundings | {"GARBOARD_LAST": str(time.time() - 1)}
    command = [sys.executable, "-m", "pytest", "-q", "-n", "2", "-p", "no:django", "-p", "no:playwright", file]
    after = subprocess.run(command, cwd=ROOT, env=over, check=False, capture_output=True, text=True).stdout
    assert f"{tests} left out: the time is over" in after
    assert "passed" not in after


def test_before_its_time_is_over_a_run_leaves_out_nothing(
    monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    for last, wanted in [(0.0, None), (time.time() + 600, None), (time.time() - 1, True)]:
        monkeypatch.setattr(conftest, "LAST", last)
        left = request.config.stash.get(conftest.LEFT_OUT, 0)
        try:
            assert conftest.pytest_runtest_protocol(request.node) is wanted
        finally:
            request.config.stash[conftest.LEFT_OUT] = left


def test_the_limit_of_a_test_waits_while_the_database_of_all_is_migrated() -> None:
    left = signal.getitimer(signal.ITIMER_REAL)[0]
    with conftest._limit_of_the_test_waits():
        assert signal.getitimer(signal.ITIMER_REAL)[0] == 0
        time.sleep(0.2)
    now = signal.getitimer(signal.ITIMER_REAL)[0]
    assert left == now == 0 or left - 0.15 < now <= left, (left, now)
