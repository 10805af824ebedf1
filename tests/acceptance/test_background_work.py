"""Reports and CAN logs on one box whose worker is killed, whose messages are lost, and whose power is cut."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import psutil
import psycopg
import pytest

from shopfloor.database import ROOT
from shopfloor.postgres import EmbeddedPostgres
from tests.acceptance.conftest import Start
from tests.acceptance.running import (
    PYTHON,
    Running,
    environment,
    free_port,
    get,
    kill_everything,
    processes_of,
    wait_until,
)

IN_TIME = 120.0
PREPARE = """
from tests.cast import make_cast
from tests.findings import story
from tests.findings.reports import scene
cast = make_cast()
for job in [scene.job_with_findings(cast), story.open_job(cast, 20), story.open_job(cast, 21)]:
    scene.reviewed(cast, job)
"""
SIGN = """
from findings.reports.models import ReportDraft
from staff.models import Person
from tests.findings.reports import scene
scene.sign(Person.objects.get(role="owner"), ReportDraft.objects.filter(state="reviewed").first())
"""
BRING = """
from django.core.files.uploadedfile import SimpleUploadedFile
from findings.canlogs.actions import bring_log
from staff.models import Person
from tests.findings.canlogs.samples import run_text
from workorders.models import Job
bring_log(by=Person.objects.filter(role="technician").first(), job=Job.objects.first(),
          file=SimpleUploadedFile("trip.log", run_text({seconds}).encode()))
"""


class Box:
    """A shop on one box, with its worker."""

    def __init__(self, var: Path, start: Start) -> None:
        self.var, self.start, self.port = var, start, free_port()
        settings = {"PORT": str(self.port), "PUBLIC_URL": f"http://127.0.0.1:{self.port}", "WORKER_PULSE_SECONDS": "1"}
        self.environment = environment(var, **settings)
        self.running = self.serve()

    def serve(self) -> Running:
        """Start it, and wait until the worker is heard of."""
        (self.var / "heartbeat").unlink(missing_ok=True)
        self.running = self.start([PYTHON, "manage.py", "serve"], self.environment)
        self.running.wait_for_line("Ready: ")
        wait_until((self.var / "heartbeat").exists, "the worker is heard of", 60)
        return self.running

    def do(self, code: str) -> None:
        """Do something as a person would, from a process that has no worker of its own."""
        command = [PYTHON, "manage.py", "shell", "--no-imports", "-c", code]
        done = subprocess.run(command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr

    def rows(self, question: str) -> list[tuple[Any, ...]]:
        """What the database answers."""
        with psycopg.connect(EmbeddedPostgres(self.var / "postgresql").url) as connection:
            return connection.execute(question).fetchall()

    def task(self, kind: str) -> tuple[str, int]:
        """State and tries of the last task of a kind."""
        rows = self.rows(
            f"SELECT state, tries FROM commands_backgroundtask WHERE kind = '{kind}' ORDER BY id DESC LIMIT 1"
        )
        return (str(rows[0][0]), int(rows[0][1])) if rows else ("", 0)

    def workers(self) -> list[psutil.Process]:
        """The worker, its processes, beat and what they have started: all but the one that watches over them."""
        mine = psutil.Process(self.running.process.pid).children(recursive=True)
        watcher = next(
            one.pid
            for one in mine
            if one.name() != "postgres" and os.getsid(one.pid) == one.pid and "shopfloor.keeper" not in one.cmdline()
        )
        return [one for one in mine if os.getpgid(one.pid) == watcher and one.pid != watcher]

    def kill_worker_while(self, kind: str) -> None:
        """``kill -9`` to all of the worker as soon as it has taken a task."""
        deadline = time.monotonic() + 60
        while self.task(kind) != ("taken", 1):
            assert time.monotonic() < deadline, self.task(kind)
        killed = self.workers()
        for process in killed:
            process.kill()
        assert len(killed) >= 4  # worker, two processes of its pool, beat
        assert self.task(kind) == ("taken", 1), "it was killed in the middle"

    def wait_for(self, kind: str, end: tuple[str, int]) -> float:
        """Wait until the task has ended so; how long that took."""
        began = time.monotonic()
        wait_until(lambda: self.task(kind) == end, f"{kind} is {end}", IN_TIME)
        return time.monotonic() - began


@pytest.mark.long
def test_a_killed_worker_a_lost_message_and_a_power_cut_lose_nothing(used_var: Path, start: Start) -> None:
    subprocess.run([PYTHON, "manage.py", "make_certificate"], cwd=ROOT, env=environment(used_var), check=True,
                   capture_output=True)  # fmt: skip
    box = Box(used_var, start)
    box.do(PREPARE)

    # kill -9 of the worker in the middle of a report, and of a CAN log
    box.do(SIGN)
    box.kill_worker_while("issue_report")
    took = box.wait_for("issue_report", ("done", 2))
    assert box.rows("SELECT count(*) FROM reports_issuedreport") == [(1,)]
    assert box.rows("SELECT count(*) FROM vessels_logentry WHERE kind = 'report-issued'") == [(1,)]
    print(f"a report whose worker was killed was there after {took:.1f} s")
    wait_until(lambda: len(box.workers()) >= 4, "the worker runs again", 60)

    box.do(BRING.format(seconds=40_000))
    box.kill_worker_while("read_can_log")
    took = box.wait_for("read_can_log", ("done", 2))
    assert box.rows("SELECT state, bytes_read = size, summary IS NOT NULL FROM canlogs_canlog") == [
        ("read", True, True)
    ]
    print(f"a CAN log whose worker was killed was read after {took:.1f} s")
    wait_until(lambda: len(box.workers()) >= 4, "the worker runs again", 60)

    # A message that is lost, while the worker cannot take it.
    stopped = box.workers()
    for process in stopped:
        process.suspend()
    box.do(SIGN)
    messages = list((used_var / "queue").glob("*.msg"))
    assert messages
    for message in messages:
        message.unlink()
    for process in stopped:
        process.resume()
    took = box.wait_for("issue_report", ("done", 1))
    print(f"a report whose message was lost was there after {took:.1f} s")

    # The power is cut in the middle of signing.
    box.do(SIGN)
    deadline = time.monotonic() + 60
    while box.task("issue_report") != ("taken", 1):
        assert time.monotonic() < deadline
    kill_everything(used_var)
    box.running.end()
    box.serve()
    took = box.wait_for("issue_report", ("done", 2))
    print(f"a report whose power was cut was there {took:.1f} s after the worker was")
    assert box.rows("SELECT count(*), count(DISTINCT number) FROM reports_issuedreport") == [(3, 3)]
    check = subprocess.run([PYTHON, "manage.py", "check_files"], cwd=ROOT, env=box.environment, check=False,
                           capture_output=True, text=True)  # fmt: skip
    assert check.returncode == 0, check.stdout + check.stderr
    health = get(f"http://127.0.0.1:{box.port}/health/")
    assert health.json["queue"] == "Nothing waits for the worker."
    assert json.loads(health.body)["worker"].startswith("The worker was last heard from")
    os.kill(box.running.process.pid, signal.SIGINT)
    box.running.end()
    assert processes_of(used_var) == []


def test_of_two_programs_in_one_folder_one_has_the_worker_and_the_other_takes_over(
    used_var: Path, start: Start
) -> None:
    first = Box(used_var, start)
    second = Box(used_var, start)
    assert len(first.workers()) >= 4
    assert second.workers() == []
    for box in [first, second]:
        assert get(f"http://127.0.0.1:{box.port}/accounts/login/").status == 200
    first.running.interrupt()
    wait_until(lambda: len(second.workers()) >= 4, "the second has the worker", 60)
    assert get(f"http://127.0.0.1:{second.port}/accounts/login/").status == 200
    second.running.interrupt()
    assert processes_of(used_var) == []
