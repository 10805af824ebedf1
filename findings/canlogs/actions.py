"""What people do with CAN logs: bring one, have it read again, throw it away. Logging is in ``importing``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from commands.background import ask
from commands.envelope import command
from commands.refusals import Refused
from findings.canlogs.models import CanLog, CanLogState
from findings.canlogs.queries import is_logged_anywhere, logged_from
from findings.canlogs.recognizing import HEAD, refuse_what_is_no_log
from findings.canlogs.storage import delete_file, sha256_of, store_file
from findings.canlogs.tasks import READ_CAN_LOG
from staff.models import Person
from staff.policy import Permission
from workorders.models import Job


@dataclass(frozen=True)
class StoredLog:
    """A log that was brought. ``was_here``: on this job before; ``was_stored``: the file, from wherever."""

    log: CanLog
    was_here: bool
    was_stored: bool


def _file_as_kept(file: UploadedFile[Any]) -> tuple[str, str]:
    """A file by its name and its digest, which was taken as it came in where it came through the upload handler."""
    return tidy_name(file.name or ""), sha256_of(file)


def _brought_before(given: Mapping[str, Any]) -> StoredLog:
    """The same file on the same job is one log, whichever sending brought it."""
    digest = _file_as_kept(given["file"])[1]
    log = CanLog.objects.filter(job=given["job"], sha256=digest).first()
    if log is None:
        raise Refused("This log was added before and has been discarded since. Open the page again and add it.")
    return StoredLog(log, was_here=True, was_stored=True)


@command(
    "bring_log", needs=Permission.LOG_FINDINGS, writes_to="job", as_kept={"file": _file_as_kept}, again=_brought_before
)
def bring_log(*, by: Person, job: Job, file: UploadedFile[Any], entry_id: UUID | None = None) -> StoredLog:
    """Keep a file under its digest and have it read after the commit. The same file on the same job is one log.

    Raises:
        Refused: the file can be no CAN log.
    """
    refuse_what_is_no_log(file.read(HEAD))
    file.seek(0)
    size = file.size or 0
    digest, was_stored = store_file(file)
    facts = {"name": tidy_name(file.name or ""), "size": size, "brought_by": by, "brought_at": timezone.now()}
    log, is_new = CanLog.objects.get_or_create(job=job, sha256=digest, defaults=facts)
    if is_new:
        _take_over_what_is_known(log)
    if is_new and log.state == CanLogState.WAITING:
        ask(READ_CAN_LOG.name, str(log.pk))
    return StoredLog(log, was_here=not is_new, was_stored=was_stored)


def _take_over_what_is_known(log: CanLog) -> None:
    """The same file was read for another job: what it says is the same here."""
    known = CanLog.objects.filter(sha256=log.sha256, state=CanLogState.READ).exclude(pk=log.pk).first()
    if known is not None:
        log.state, log.summary = CanLogState.READ, known.summary
        log.bytes_read, log.frames_read = known.bytes_read, known.frames_read
        log.save(update_fields=["state", "summary", "bytes_read", "frames_read"])


@command("read_again", needs=Permission.LOG_FINDINGS, writes_to="log.job")
def read_again(*, by: Person, log: CanLog, entry_id: UUID | None = None) -> CanLog:
    """Have a log read once more from its beginning; one that is being read is left to whoever reads it."""
    stored = _lock(log)
    if stored.is_under_way:
        return stored
    stored.state, stored.problem = CanLogState.WAITING, ""
    stored.bytes_read = stored.frames_read = 0
    stored.save(update_fields=["state", "problem", "bytes_read", "frames_read"])
    ask(READ_CAN_LOG.name, str(stored.pk))
    return stored


@command("discard_log", needs=Permission.LOG_FINDINGS, writes_to="log.job")
def discard_log(*, by: Person, log: CanLog, entry_id: UUID | None = None) -> None:
    """Throw a log away that nothing was logged from. The file goes with the last job that has it.

    Raises:
        Refused: something is logged from it, so that it is evidence.
    """
    stored = _lock(log)
    if logged_from(stored).on_job(stored.job).is_anything:
        raise Refused(
            f"Something was logged from “{stored.name}”: the file stays with the job. Void those entries first."
        )
    digest = stored.sha256
    stored.delete()
    if not CanLog.objects.filter(sha256=digest).exists() and not is_logged_anywhere(digest):
        transaction.on_commit(lambda: delete_file(digest))


def _lock(log: CanLog) -> CanLog:
    try:
        return CanLog.objects.select_for_update(of=("self",)).select_related("job__vessel").get(pk=log.pk)
    except CanLog.DoesNotExist as problem:
        raise Refused("This log was discarded in the meantime.") from problem


def tidy_name(name: str) -> str:
    """A file's name without its folder, as it is shown and handed out."""
    bare = PurePath(name.replace("\\", "/")).name
    plain = "".join(character if character.isprintable() else " " for character in bare)
    return " ".join(plain.split())[-120:] or "can.log"
