"""The process that decodes a log, and the thread that listens to it where there is no worker."""

from __future__ import annotations

import sys

import pytest
from django.urls import reverse
from kombu.exceptions import OperationalError as BrokerAwayError

from commands import tasks
from commands.background import asking
from commands.models import BackgroundTask
from engineering.canlog import from_json
from findings.canlogs import decoding
from findings.canlogs.decoding import CouldNotReadError, Progress, summary_of
from findings.canlogs.models import CanLog
from tests.cast import make_cast
from tests.findings.canlogs.samples import run_text, upload
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
    assert "stopped before the end" in problem.value.sentence


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


@pytest.mark.django_db
def test_the_queue_is_asked_and_a_queue_that_is_away_is_no_error(
    client, settings, tmp_path, monkeypatch, django_capture_on_commit_callbacks, caplog
):
    settings.MEDIA_ROOT = str(tmp_path / "media")
    sent: list[int] = []
    monkeypatch.setattr(asking, "_in_this_process", False)
    monkeypatch.setattr(tasks.do_task, "apply_async", lambda arguments, **more: sent.extend(arguments))
    cast = make_cast()
    job = open_job(cast)
    client.force_login(cast.tech)
    url = reverse("findings:can_logs", args=[job.number])
    with django_capture_on_commit_callbacks(execute=True):
        client.post(url, {"file": upload(run_text())})
    assert sent == [BackgroundTask.objects.get(subject=str(CanLog.objects.get().pk)).pk]

    def away(*_, **__):
        raise BrokerAwayError("Error 111 connecting to redis")

    monkeypatch.setattr(tasks.do_task, "apply_async", away)
    with django_capture_on_commit_callbacks(execute=True):
        assert client.post(url, {"file": upload(run_text(40))}).status_code == 302
    assert BackgroundTask.objects.filter(state="asked").count() == 2
    assert "could not be sent to a worker" in caplog.text
