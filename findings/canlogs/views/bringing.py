"""Bringing a CAN log to a job, and what can be done with one that was brought."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.datastructures import MultiValueDict
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from commands.envelope import was_done
from commands.refusals import Refused
from files.room import is_full_disk
from findings.canlogs.actions import StoredLog, bring_log, discard_log, read_again
from findings.canlogs.forms import BringForm
from findings.canlogs.models import CanLog
from findings.canlogs.queries import logs_of_job
from findings.canlogs.storage import open_log
from findings.canlogs.uploads import LogUploadHandler
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import attempted, show_refusal
from web.typed import announced_size, sent_id
from workorders.frames import job_frame, job_or_404
from workorders.models import Job

MEGABYTE = 1024 * 1024
FULL = "The disk of the server is full, so the log was not stored. Make room, then add it again."
ENVELOPE = 64 * 1024  # what a form wraps around the file


@csrf_exempt  # for permission and size to be looked at before anything is read; _bring is protected
@permission_required(Permission.LOG_FINDINGS)
def can_logs(request: HttpRequest, number: int) -> HttpResponse:
    """The logs of a job, and the form for another one."""
    job = job_or_404(number)
    if request.method != "POST":
        return _page(request, job, _form())
    if announced_size(request) > settings.CAN_LOG_LIMIT_MB * MEGABYTE + ENVELOPE:
        return _page(request, job, _refused(_too_large()), status=413)
    handler = LogUploadHandler(request)
    request.upload_handlers = [handler]
    return _bring(request, job, handler)


can_logs.limits_its_body = True  # type: ignore[attr-defined]  # for shopfloor.middleware


@csrf_protect
def _bring(request: HttpRequest, job: Job, handler: LogUploadHandler) -> HttpResponse:
    form = _form(request.FILES)
    if handler.is_out_of_room:
        return _page(request, job, _refused(FULL), status=507)
    if not form.is_valid():
        return _page(request, job, form, status=422)
    file = form.cleaned_data["file"]
    if file.size > settings.CAN_LOG_LIMIT_MB * MEGABYTE:
        form.add_error("file", _too_large())
        return _page(request, job, form, status=413)
    try:
        brought = bring_log(by=signed_in(request), job=job, file=file, entry_id=sent_id(request))
    except Refused as refusal:
        show_refusal(form, refusal)
        return _page(request, job, form, status=422)
    except OSError as problem:
        if not is_full_disk(problem):
            raise
        return _page(request, job, _refused(FULL), status=507)
    messages.success(request, _brought_words(brought))
    return redirect("findings:can_log", number=job.number, pk=brought.log.pk)


def _form(files: MultiValueDict[str, UploadedFile[Any]] | None = None) -> BringForm:
    return BringForm(None if files is None else QueryDict(), files, most_megabytes=settings.CAN_LOG_LIMIT_MB)


def _refused(sentence: str) -> BringForm:
    """The form with a sentence about a file that was not even looked at."""
    form = _form(MultiValueDict())
    form.fields["file"].required = False
    form.add_error("file", sentence)
    return form


def _too_large() -> str:
    return (
        f"This file is larger than {settings.CAN_LOG_LIMIT_MB:,} MB. Pack it with gzip, or add a piece of it; "
        "the person who runs Garboard can raise the limit."
    )


def _brought_words(brought: StoredLog) -> str:
    log = brought.log
    if brought.was_here and not brought.was_stored:
        return f"“{log.name}” is already on this job. Its stored file was missing or damaged and is now complete again."
    if brought.was_here:
        return f"This same file is already on this job, as “{log.name}”. It is kept once."
    if brought.was_stored:
        return f"“{log.name}” was added. The same file was stored before, so it is kept once."
    return f"“{log.name}” was added."


def _page(request: HttpRequest, job: Job, form: BringForm, *, status: int = 200) -> HttpResponse:
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "form": form,
        "logs": logs_of_job(job),
    }
    return render(request, "findings/canlogs/logs.html", context, status=status)


@require_POST
@permission_required(Permission.LOG_FINDINGS)
def can_log_again(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Have a log read once more."""
    log = log_or_404(number, pk)
    if not attempted(request, lambda: read_again(by=signed_in(request), log=log, entry_id=sent_id(request))):
        return redirect("findings:can_logs", number=number)
    return redirect("findings:can_log", number=number, pk=pk)


@require_POST
@permission_required(Permission.LOG_FINDINGS)
def can_log_discard(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Throw a log away that nothing was logged from."""
    if was_done(sent_id(request), "discard_log"):
        return redirect("findings:can_logs", number=number)
    log = log_or_404(number, pk)
    if not attempted(request, lambda: discard_log(by=signed_in(request), log=log, entry_id=sent_id(request))):
        return redirect("findings:can_log", number=number, pk=pk)
    messages.success(request, f"“{log.name}” was discarded.")
    return redirect("findings:can_logs", number=number)


@require_safe
@permission_required(Permission.SEE_RECORDS)
def can_log_file(request: HttpRequest, digest: str) -> HttpResponseBase:
    """A log as it was brought, as a file to keep."""
    log = CanLog.objects.filter(sha256=digest).defer("summary").first()
    if log is None:
        raise Http404("no log has this digest")
    try:
        stream = open_log(log)
    except Refused as refusal:
        return render(request, "findings/canlogs/no_file.html", {"sentence": refusal.sentence}, status=409)
    answer = FileResponse(stream, as_attachment=True, filename=log.name, content_type="application/octet-stream")
    answer["Cache-Control"] = "private, no-store"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return answer


def log_or_404(number: int, pk: int) -> CanLog:
    """A log of a job, with what its page shows."""
    logs = CanLog.objects.select_related("job__vessel__owner", "job__customer", "job__technician", "brought_by")
    return get_object_or_404(logs, pk=pk, job__number=number)
