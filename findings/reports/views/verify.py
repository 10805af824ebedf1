"""The public page where anybody checks a report."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.datastructures import MultiValueDict
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_safe

from files.paper.codes import tidy_code
from findings.reports.forms import FileForm, NumberForm
from findings.reports.limiting import CHECKS
from findings.reports.numbers import tidy_number
from findings.reports.verdicts import verdict_of
from findings.reports.verifying import MOST_BYTES, Check, check_file, check_number, check_whole_file
from staff.doors.client import counted_address
from web.typed import announced_size

ENVELOPE = 64 * 1024  # what a form wraps around the file


@login_not_required
@csrf_exempt  # for the size to be looked at before anything is read; _check_upload is protected
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def verify(request: HttpRequest) -> HttpResponse:
    """Ask for number and code, or for the file."""
    if request.method == "POST":
        if announced_size(request) > MOST_BYTES + ENVELOPE:
            form = FileForm(QueryDict(), MultiValueDict())
            form.add_error(
                "file", f"This file is larger than {MOST_BYTES // 2**20} MB, and none of our reports is that large."
            )
            return _page(request, files=form, status=413)
        return _check_upload(request)
    if "number" in request.GET or "code" in request.GET:
        numbers = NumberForm(request.GET)
        if numbers.is_valid():
            number, code = tidy_number(numbers.cleaned_data["number"]), tidy_code(numbers.cleaned_data["code"])
            if "/" not in number and number and code:
                return redirect("reports:verify_code", number, code)
            numbers.add_error(
                "number" if not number else "code", "This does not look like the number or code of a report."
            )
        return _page(request, numbers=numbers, status=422)
    return _page(request)


@login_not_required
@never_cache
@require_safe
def verify_code(request: HttpRequest, report: str, code: str) -> HttpResponse:
    """Answer for a number and its code; where the QR code of a report leads.

    A right code is always answered: whoever holds a report is not kept waiting because others guess from the same
    address. Only misses are counted, and only they are slowed down.
    """
    check = check_number(report, code)
    if check.report is None and not CHECKS.take(counted_address(request)):
        return _slow_down(request)
    return _answer(request, check)


@csrf_protect
def _check_upload(request: HttpRequest) -> HttpResponse:
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, files=form, status=422)
    file = form.cleaned_data["file"]
    if file.size > MOST_BYTES:
        form.add_error(
            "file", f"This file is larger than {MOST_BYTES // 2**20} MB, and none of our reports is that large."
        )
        return _page(request, files=form, status=413)
    data = file.read()
    check = check_whole_file(data)
    if check is None:
        if not CHECKS.take(counted_address(request)):
            return _slow_down(request)
        check = check_file(data)
    return _answer(request, check)


def _answer(request: HttpRequest, check: Check) -> HttpResponse:
    return render(request, "findings/reports/verdict.html", {"verdict": verdict_of(check), "check": check})


def _page(
    request: HttpRequest, *, numbers: NumberForm | None = None, files: FileForm | None = None, status: int = 200
) -> HttpResponse:
    context = {"numbers": numbers or NumberForm(), "files": files or FileForm()}
    return render(request, "findings/reports/verify.html", context, status=status)


def _slow_down(request: HttpRequest) -> HttpResponse:
    return render(request, "findings/reports/slow_down.html", status=429)
