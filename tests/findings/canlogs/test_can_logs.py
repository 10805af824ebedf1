"""A CAN log is brought to a job and read."""

from __future__ import annotations

import gzip
import re
import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.background.running import run
from commands.models import BackgroundTask
from commands.refusals import Refused
from files.store import name_of
from findings.canlogs import actions, reading
from findings.canlogs.models import CanLog, CanLogState
from tests.files.disk import safe_when_written
from tests.findings.canlogs import samples as can_logs
from tests.findings.canlogs.samples import (
    BEGIN,
    OVER_TEMPERATURE,
    answers_of,
    page_of,
    read_waiting,
    run_text,
    send,
    summary_here,
    upload,
)
from tests.findings.story import open_job

END = BEGIN + timedelta(seconds=5, milliseconds=504)
NOTHING = "(1777906800.000000) can0 1DF11223#FF1020FF7FFF7FFD\n"


pytestmark = pytest.mark.usefixtures("can_log_world")


def test_a_log_is_kept_by_its_digest_and_waits_to_be_read(bring, job, cast):
    answer = bring(run_text())
    log = CanLog.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"/jobs/{job.number}/can-logs/{log.pk}/")
    assert (log.state, log.name, log.size, log.brought_by) == ("waiting", "trip.log", len(run_text()), cast.tech)
    task = BackgroundTask.objects.get()
    assert (task.kind, task.subject, task.state) == ("read_can_log", str(log.pk), "asked")


def test_the_same_file_is_stored_once_and_said_so(bring, job, cast, tech, settings, tmp_path):
    bring(run_text())
    again = bring(run_text(), "copy.log")
    assert CanLog.objects.count() == 1
    assert "is already on this job" in tech.get(again["Location"]).content.decode()
    other = open_job(cast)
    elsewhere = bring(run_text(), job=other)
    assert CanLog.objects.count() == 2
    assert "was stored before" in tech.get(elsewhere["Location"]).content.decode()
    assert len([path for path in (tmp_path / "media").rglob("*") if path.is_file()]) == 1


def test_what_was_read_for_another_job_is_not_read_again(cast, job, log):
    brought = actions.bring_log(by=cast.tech, job=open_job(cast), file=upload(run_text(status=OVER_TEMPERATURE)))
    assert (brought.log.state, brought.log.summary) == ("read", log.summary)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "This file is empty."),
        (b"   \n ", "only blanks"),
        (b"PK\x03\x04 and more", "ZIP archive"),
        (b"%PDF-1.7", "a PDF"),
        (b"\x7fELF\0\0\0\0", "no CAN log that can be read here"),
        (b"\x1f\x8bnot really", "damaged from its beginning"),
        (gzip.compress(gzip.compress(b"(1.0) can0 123#00", mtime=0), mtime=0), "gzip twice"),
        (gzip.compress(b"", mtime=0), "This file is empty."),
    ],
)
def test_what_is_no_log_is_refused_beside_the_field_and_not_kept(bring, content, says, tmp_path):
    answer = bring(content)
    assert answer.status_code == 422
    assert says in answer.context["form"].errors["file"][0]
    assert not CanLog.objects.exists()
    assert not [path for path in (tmp_path / "media").rglob("*") if path.is_file()]


def test_no_file_chosen_is_said(tech, job):
    answer = tech.post(reverse("findings:can_logs", args=[job.number]), {})
    assert (answer.status_code, "file" in answer.context["form"].errors) == (422, True)


def test_a_file_beyond_the_limit_is_refused_before_it_is_read(tech, job, settings, tmp_path):
    settings.CAN_LOG_LIMIT_MB = 1
    url = reverse("findings:can_logs", args=[job.number])
    answer = tech.post(url, {"file": upload(b"x" * (2 * 1024 * 1024))})
    assert answer.status_code == 413
    assert "larger than 1 MB" in answer.context["form"].errors["file"][0]
    just_over = tech.post(url, {"file": upload(b"x" * (1024 * 1024 + 1))})
    assert (just_over.status_code, CanLog.objects.count()) == (413, 0)
    assert not list((tmp_path / "media" / "uploads").glob("*"))


def test_a_log_may_be_larger_than_other_files(bring, settings):
    settings.BODY_LIMIT = 1000
    assert bring(run_text(40)).status_code == 302
    assert CanLog.objects.get().size > 1000


def test_nothing_of_a_strangers_body_is_read(cast, job, settings, tmp_path):
    url = reverse("findings:can_logs", args=[job.number])
    client = Client(enforce_csrf_checks=True)
    assert client.post(url, {"file": upload(run_text())})["Location"].startswith("/accounts/login/")
    client.force_login(cast.desk)
    assert client.post(url, {"file": upload(run_text())}).status_code == 403
    assert not (tmp_path / "media" / "uploads").exists()
    client.force_login(cast.tech)
    assert client.post(url, {"file": upload(run_text())}).status_code == 403  # without the token
    assert not CanLog.objects.exists()


def test_a_full_disk_is_said_and_nothing_stays(tech, job, monkeypatch, tmp_path):
    from findings.canlogs.uploads import IncomingFile

    def full(self, data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(IncomingFile, "write", full, raising=False)
    answer = tech.post(reverse("findings:can_logs", args=[job.number]), {"file": upload(run_text())})
    assert answer.status_code == 507
    assert "disk of the server is full" in answer.context["form"].errors["file"][0]
    assert not CanLog.objects.exists()
    assert not list((tmp_path / "media" / "uploads").glob("*"))


def test_the_file_is_handed_out_as_it_was_brought(tech, log):
    answer = tech.get(reverse("findings:can_log_file", args=[log.sha256]))
    assert answer["Content-Disposition"] == 'attachment; filename="trip.log"'
    assert answer["Content-Type"] == "application/octet-stream"
    assert b"".join(answer.streaming_content).decode() == run_text(status=OVER_TEMPERATURE)
    assert tech.get(reverse("findings:can_log_file", args=["0" * 64])).status_code == 404


def test_a_file_that_is_gone_is_said(tech, log, settings, tmp_path):
    (tmp_path / "media" / name_of(log.sha256)).unlink()
    answer = tech.get(reverse("findings:can_log_file", args=[log.sha256]))
    assert (answer.status_code, "missing from the media folder" in answer.content.decode()) == (409, True)


def test_the_file_is_safe_from_a_power_cut_before_the_log_is_written_down(bring, tmp_path, monkeypatch):
    with safe_when_written(CanLog, "sha256", tmp_path / "media", monkeypatch) as found:
        bring(run_text())
    assert found == {CanLog.objects.get().sha256: True}


def test_an_altered_log_of_the_same_size_is_not_served_and_bringing_it_again_mends_it(bring, tech, tmp_path):
    bring(run_text())
    log = CanLog.objects.get()
    file = tmp_path / "media" / name_of(log.sha256)
    good = file.read_bytes()
    file.write_bytes(good[:-2] + bytes([good[-2] ^ 1]) + b"\n")
    answer = tech.get(reverse("findings:can_log_file", args=[log.sha256]))
    assert (answer.status_code, "is not what was added" in answer.content.decode()) == (409, True)
    page = tech.get(bring(run_text())["Location"])
    assert "missing or damaged and is now complete again" in page.content.decode()
    answer = tech.get(reverse("findings:can_log_file", args=[log.sha256]))
    assert b"".join(answer.streaming_content) == good


def test_a_log_is_thrown_away_with_its_file_unless_something_is_logged(
    tech, cast, log, tmp_path, django_capture_on_commit_callbacks
):
    url = reverse("findings:can_log_discard", args=[log.job.number, log.pk])
    send(tech, log, answers_of(page_of(tech, log)))
    assert "Something was logged from" in tech.post(url, follow=True).content.decode()
    assert CanLog.objects.exists()
    other = actions.bring_log(by=cast.tech, job=open_job(cast), file=upload(run_text(status=OVER_TEMPERATURE))).log
    with django_capture_on_commit_callbacks(execute=True):
        tech.post(reverse("findings:can_log_discard", args=[other.job.number, other.pk]))
    assert (tmp_path / "media" / name_of(log.sha256)).exists()  # the first job still has it


def test_a_log_that_nobody_needs_takes_its_file_along(tech, log, tmp_path, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        tech.post(reverse("findings:can_log_discard", args=[log.job.number, log.pk]))
    assert not CanLog.objects.exists()
    assert not (tmp_path / "media" / name_of(log.sha256)).exists()


def test_progress_is_shown_and_the_page_can_be_come_back_to(tech, job, cast, monkeypatch):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log
    url = reverse("findings:can_log_progress", args=[job.number, log.pk])
    seen = []

    def slow(path, *, name, size, on_progress):
        monkeypatch.setattr(reading, "NOTE_EVERY_SECONDS", 0)
        on_progress(reading.Progress(size // 2, 12_345, "reading and decoding frames"))
        seen.append(tech.get(url).content.decode())
        seen.append(page_of(tech, log).content.decode())
        return summary_here(path, name=name, size=size, on_progress=on_progress)

    monkeypatch.setattr(reading, "summary_of", slow)
    assert "Waiting to be read" in page_of(tech, log).content.decode()
    read_waiting(log)
    for page in seen:
        assert re.search(r"(49|50) % of", page)
        assert "12,345 frames: reading and decoding frames" in page
        assert "Refresh" in page
        assert 'hx-trigger="every 2s"' in page
    done = tech.get(url)
    assert (done.status_code, done["HX-Refresh"]) == (204, "true")
    assert "What was read" in page_of(tech, log).content.decode()


def test_two_workers_read_it_once(job, cast, monkeypatch):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log
    task = BackgroundTask.objects.get()
    calls = []

    def other_comes(path, *, name, size, on_progress):
        calls.append(name)
        run(task.pk, has_pulse=False)
        return summary_here(path, name=name, size=size, on_progress=on_progress)

    monkeypatch.setattr(reading, "summary_of", other_comes)
    run(task.pk, has_pulse=False)
    run(task.pk, has_pulse=False)
    log.refresh_from_db()
    task.refresh_from_db()
    assert (calls, log.state, task.state, task.tries) == (["trip.log"], "read", "done", 1)


def test_a_page_says_that_nobody_reads_and_since_when(tech, job, cast):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log
    assert "waiting for its turn" in page_of(tech, log).content.decode()
    BackgroundTask.objects.update(asked_at=datetime(2026, 5, 6, 11, 0, tzinfo=UTC))
    for page in [page_of(tech, log), tech.get(reverse("findings:can_log_progress", args=[job.number, log.pk]))]:
        said = page.content.decode()
        assert "nobody has taken it up yet" in said
        assert "May 6, 2026" in said
        assert "Nothing is lost" in said


def test_a_reading_that_broke_off_is_begun_again(tech, job, cast):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log
    heard = datetime(2026, 5, 6, 11, 30, tzinfo=UTC)
    BackgroundTask.objects.update(state="taken", taker=uuid.uuid4(), heard_at=heard, tries=1)
    said = page_of(tech, log).content.decode()
    assert "was last heard from" in said
    assert "May 6, 2026" in said
    run(BackgroundTask.objects.get().pk, has_pulse=False)
    log.refresh_from_db()
    assert (log.state, BackgroundTask.objects.get().tries) == ("read", 2)


def test_a_worker_that_was_taken_for_dead_goes_without_a_word(job, cast, monkeypatch):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log

    def overtaken(path, *, name, size, on_progress):
        BackgroundTask.objects.update(taker=uuid.uuid4())
        on_progress(reading.Progress(1, 1, "reading"))
        raise AssertionError("it should have gone")

    monkeypatch.setattr(reading, "summary_of", overtaken)
    run(BackgroundTask.objects.get().pk, has_pulse=False)
    log.refresh_from_db()
    assert (log.state, log.bytes_read, log.problem) == ("waiting", 0, "")


def test_what_was_read_by_a_worker_taken_for_dead_is_not_stored(job, cast, monkeypatch):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log

    def overtaken(path, *, name, size, on_progress):
        BackgroundTask.objects.update(taker=uuid.uuid4())
        return {"another": "summary"}

    monkeypatch.setattr(reading, "summary_of", overtaken)
    run(BackgroundTask.objects.get().pk, has_pulse=False)
    log.refresh_from_db()
    assert (log.state, log.summary) == ("waiting", None)


def test_what_breaks_again_and_again_is_given_up_and_can_be_tried_by_hand(tech, job, cast):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log
    BackgroundTask.objects.update(
        state="taken", taker=uuid.uuid4(), heard_at=timezone.now() - timedelta(hours=1), tries=reading.MOST_ATTEMPTS
    )
    run(BackgroundTask.objects.get().pk, has_pulse=False)
    page = page_of(tech, log).content.decode()
    assert "Reading stopped 3 times" in page
    tech.post(reverse("findings:can_log_again", args=[job.number, log.pk]))
    read_waiting(log)
    log.refresh_from_db()
    assert log.state == CanLogState.READ


def test_a_decoder_that_dies_is_tried_three_times_and_then_said(job, cast, monkeypatch):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log
    calls = []

    def dies(path, **more):
        calls.append(path)
        raise reading.CouldNotReadError(reading.BROKE_OFF)

    monkeypatch.setattr(reading, "summary_of", dies)
    task = read_waiting(log)
    log.refresh_from_db()
    assert (len(calls), task.state, task.problem) == (3, "failed", reading.BROKE_OFF)
    assert (log.state, log.problem) == ("failed", reading.BROKE_OFF)


def test_a_log_thrown_away_while_it_is_read_ends_the_reading(job, cast, monkeypatch):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log

    def thrown_away(path, *, name, size, on_progress):
        log.delete()
        on_progress(reading.Progress(1, 1, "reading"))
        raise AssertionError("it should have gone")

    monkeypatch.setattr(reading, "summary_of", thrown_away)
    run(BackgroundTask.objects.get().pk, has_pulse=False)
    assert BackgroundTask.objects.get().state == "done"


def test_a_text_that_is_no_log_is_said_on_its_page(tech, job, cast):
    log = can_logs.read_log(cast, job, "Dear customer,\nyour boat is ready.\n" * 20)
    assert log.state == "failed"
    page = page_of(tech, log).content.decode()
    assert log.problem in page.replace("&#x27;", "'")
    assert "Read it again" in page
    main = re.findall(r'<button class="btn btn-do"[^>]*>.*?</button>', page, re.S)
    assert ["Discard this log" in button for button in main] == [True]
    CanLog.objects.update(problem=reading.GAVE_UP)
    page = page_of(tech, log).content.decode()
    main = re.findall(r'<button class="btn btn-do"[^>]*>.*?</button>', page, re.S)
    assert ["Read it again" in button for button in main] == [True]
    assert page.count("Discard this log") == 1


def test_an_unexpected_end_is_logged_and_said(tech, job, cast, monkeypatch, caplog):
    log = actions.bring_log(by=cast.tech, job=job, file=upload(run_text())).log

    def breaks(path, **more):
        raise RuntimeError("a bug")

    monkeypatch.setattr(reading, "summary_of", breaks)
    read_waiting(log)
    log.refresh_from_db()
    assert (log.state, "could not be read" in log.problem) == ("failed", True)
    assert "a bug" in caplog.text


def test_a_summary_that_cannot_be_read_any_more_asks_for_another_reading(tech, log):
    CanLog.objects.update(summary={"format": "of another time"})
    page = page_of(tech, log).content.decode()
    assert "Read the log again" in page


def test_actions_ask_who_it_is(cast, job, log):
    with pytest.raises(Refused):
        actions.bring_log(by=cast.desk, job=job, file=upload(run_text()))
    with pytest.raises(Refused):
        actions.read_again(by=cast.desk, log=log)
    with pytest.raises(Refused):
        actions.discard_log(by=cast.desk, log=log)
