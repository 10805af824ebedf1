"""The process that decodes a log, and the thread that listens to it where there is no worker."""

from __future__ import annotations

import sys
import time

import pytest
from django.core.cache import cache
from django.db import connection
from django.urls import reverse

from engineering.canlog import from_json
from findings.canlogs import decoding
from findings.canlogs.decoding import CouldNotReadError, Progress, summary_of
from findings.models import CanLog
from tests.cast import make_cast
from tests.findings.can_logs import run_text, upload
from tests.findings.story import open_job


@pytest.fixture
def path(tmp_path):
    file = tmp_path / "trip.log"
    file.write_text(run_text(400))
    return file


def read(path, on_progress=lambda progress: None):
    return summary_of(path, name=path.name, size=path.stat().st_size, on_progress=on_progress)


def test_a_process_of_its_own_sums_a_log_up_and_tells_how_far_it_is(path):
    told: list[Progress] = []
    summary = from_json(read(path, told.append))
    assert summary.frames == len(run_text(400).splitlines())
    assert told
    assert told[-1].bytes_read == path.stat().st_size
    assert [one.frames_read for one in told] == sorted(one.frames_read for one in told)


def test_what_is_no_log_is_said_in_the_decoders_words(tmp_path):
    path = tmp_path / "letter.log"
    path.write_text("Dear customer\n" * 50)
    with pytest.raises(CouldNotReadError) as problem:
        read(path)
    assert "not a CAN log" in problem.value.sentence


def child_that(monkeypatch, script):
    """Let another process take the child's place."""
    started = decoding.subprocess.Popen

    def start(command, **more):
        return started([sys.executable, "-c", script], **more)

    monkeypatch.setattr(decoding.subprocess, "Popen", start)


def test_a_process_that_dies_is_a_sentence(path, monkeypatch):
    child_that(monkeypatch, "import os, signal; os.kill(os.getpid(), signal.SIGKILL)")
    with pytest.raises(CouldNotReadError) as problem:
        read(path)
    assert "broke off before the end" in problem.value.sentence


def test_a_process_that_falls_silent_is_stopped(path, monkeypatch):
    child_that(monkeypatch, "import time; time.sleep(60)")
    monkeypatch.setattr(decoding, "SAY_AGAIN_SECONDS", 0.05)
    monkeypatch.setattr(decoding, "SILENCE_SECONDS", 0.2)
    told: list[Progress] = []
    with pytest.raises(CouldNotReadError) as problem:
        read(path, told.append)
    assert "Nothing was read for five minutes" in problem.value.sentence
    assert len(told) >= 2  # whoever waits hears that the reader is alive


def test_who_goes_away_takes_the_process_along(path, monkeypatch):
    children = []
    started = decoding.subprocess.Popen

    def start(*args, **more):
        children.append(started(*args, **more))
        return children[-1]

    def stop(progress):
        raise KeyboardInterrupt

    monkeypatch.setattr(decoding.subprocess, "Popen", start)
    with pytest.raises(KeyboardInterrupt):
        read(path, stop)
    assert children[0].poll() is not None


@pytest.mark.django_db(transaction=True)
def test_without_a_worker_a_thread_reads_it_after_the_answer(client, settings, tmp_path):
    cache.clear()
    settings.MEDIA_ROOT = str(tmp_path / "media")
    assert settings.CELERY_TASK_ALWAYS_EAGER
    cast = make_cast()
    job = open_job(cast)
    client.force_login(cast.tech)
    answer = client.post(reverse("findings:can_logs", args=[job.number]), {"file": upload(run_text(), "trip.log")})
    assert answer.status_code == 302
    deadline = time.monotonic() + 30
    while CanLog.objects.get().is_under_way and time.monotonic() < deadline:
        time.sleep(0.1)
    assert CanLog.objects.get().state == "read"
    assert "What was read" in client.get(answer["Location"]).content.decode()
    _wait_for_threads()


def _wait_for_threads():
    """The thread gives its connection back after its last word; the test's database cannot be emptied before."""
    import threading

    for thread in threading.enumerate():
        if thread.name.startswith("can-log-"):
            thread.join(timeout=10)
    assert connection.is_usable()


@pytest.mark.django_db
def test_with_a_worker_the_queue_is_asked(client, settings, tmp_path, monkeypatch, django_capture_on_commit_callbacks):
    settings.MEDIA_ROOT = str(tmp_path / "media")
    settings.CELERY_TASK_ALWAYS_EAGER = False
    sent: list[int] = []
    monkeypatch.setattr("findings.canlogs.tasks.read_can_log.delay", sent.append)
    cast = make_cast()
    job = open_job(cast)
    client.force_login(cast.tech)
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("findings:can_logs", args=[job.number]), {"file": upload(run_text())})
    assert sent == [CanLog.objects.get().pk]
