"""Pages: log one of these, and correct one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from findings import cautions
from findings.happenings.actions import (
    changes_of_setting,
    log_function_test,
    log_setting,
    log_visual_finding,
    set_back_setting,
)
from findings.happenings.forms import FunctionTestForm, HappeningForm, VisualForm
from findings.happenings.kinds import SETTING, TEST, VISUAL
from findings.happenings.models import FunctionTest, SettingChange, VisualFinding
from findings.happenings.setting_forms import SetBackForm, SettingForm
from findings.happenings.standing import endings
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.log.afterwards import afterwards_of_entry
from vessels.log.entries import shown_entries, single_entry
from vessels.models import Engine, LogEntry
from web.submission import Submission
from workorders.frames import job_frame, job_or_404


@dataclass(frozen=True)
class Page:
    """What is its own in the pages of one kind."""

    kind: str
    name: str
    form: type[HappeningForm]
    action: Callable[..., object]
    detail: type[Any]
    fields: tuple[str, ...]
    title: str
    button: str
    cautions: tuple[str, ...]
    warns_first: bool = False
    """Whether the cautions are open before the form is: the entry is of work that moves something."""


VISUAL_PAGE = Page(
    VISUAL,
    "visual finding",
    VisualForm,
    log_visual_finding,
    VisualFinding,
    ("place", "severity", "recommendation"),
    "Log a visual finding",
    "Log the visual finding",
    (cautions.ROTATING, cautions.HOT_COOLANT, cautions.FUEL, cautions.RAISED_BOAT, cautions.MANUAL_FIRST),
)


TEST_PAGE = Page(
    TEST,
    "function test",
    FunctionTestForm,
    log_function_test,
    FunctionTest,
    ("operated", "lasted", "lasted_unit", "verdict"),
    "Log a function test",
    "Log the function test",
    (
        cautions.DRIVEN,
        cautions.ROTATING,
        cautions.FUEL,
        cautions.CARBON_MONOXIDE,
        cautions.RAISED_BOAT,
        cautions.MANUAL_FIRST,
    ),
    warns_first=True,
)


SETTING_PAGE = Page(
    SETTING,
    "changed setting",
    SettingForm,
    log_setting,
    SettingChange,
    (
        "setting",
        "sort",
        "before",
        "after",
        "unit",
        "authority",
        "consent_by",
        "consent_on",
        "consent_how",
    ),
    "Log a setting that was changed",
    "Log the setting",
    (cautions.PROTECTION, cautions.EMISSIONS, cautions.MANUAL_FIRST),
    warns_first=True,
)


@permission_required(Permission.LOG_FINDINGS)
def visual_finding(request: HttpRequest, number: int) -> HttpResponse:
    """Log what somebody saw."""
    return _log(request, number, VISUAL_PAGE)


@permission_required(Permission.AMEND_FINDINGS)
def correct_visual_finding(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Correct a visual finding."""
    return _correct(request, pk, VISUAL_PAGE)


@permission_required(Permission.LOG_FINDINGS)
def function_test(request: HttpRequest, number: int) -> HttpResponse:
    """Log what was driven or operated."""
    return _log(request, number, TEST_PAGE)


@permission_required(Permission.AMEND_FINDINGS)
def correct_function_test(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Correct a function test."""
    return _correct(request, pk, TEST_PAGE)


@permission_required(Permission.LOG_FINDINGS)
def setting(request: HttpRequest, number: int) -> HttpResponse:
    """Log a setting that was changed permanently."""
    return _log(request, number, SETTING_PAGE)


@permission_required(Permission.AMEND_FINDINGS)
def correct_setting(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Correct the entry of a setting that was changed."""
    return _correct(request, pk, SETTING_PAGE)


@permission_required(Permission.LOG_FINDINGS)
def set_back(request: HttpRequest, number: int, pk: UUID) -> HttpResponse:
    """Log that a setting is again what it was before a change, on this job or an earlier one."""
    job = job_or_404(number)
    change = get_object_or_404(
        SettingChange.objects.select_related("entry__vessel", "entry__engine", "entry__job", "entry__author"),
        pk=pk,
        entry__vessel=job.vessel_id,
    )
    form = SetBackForm(
        request.POST if request.method == "POST" else None, change=change, open_changes=changes_of_setting(change)
    )
    sending = Submission(request, form)
    if sending.save(lambda: set_back_setting(by=signed_in(request), job=job, **form.answers())):
        messages.success(request, "It is in the log that the setting was set back.")
        return redirect("findings:job", number=job.number)
    return sending.page(
        "findings/happenings/set_back.html",
        frame=job_frame(request.user, job, "findings:job"),
        job=job,
        page=SETTING_PAGE,
        shown=shown_entries(single_entry(pk), most=1)[0],
        ending=endings([change.root_id]).get(change.root_id),
    )


def _log(request: HttpRequest, number: int, page: Page) -> HttpResponse:
    job = job_or_404(number)
    engines = list(job.vessel.engines.filter(removed_on=None))
    form = page.form(request.POST if request.method == "POST" else None, engines=engines)
    sending = Submission(request, form)
    if sending.save(
        lambda: page.action(by=signed_in(request), vessel=job.vessel, job=job, **form.answers()),
    ):
        messages.success(request, f"The {page.name} is in the log.")
        return redirect("findings:job", number=job.number)
    return sending.page(
        "findings/happenings/log.html", frame=job_frame(request.user, job, "findings:job"), job=job, page=page
    )


def _correct(request: HttpRequest, pk: UUID, page: Page) -> HttpResponse:
    entry = get_object_or_404(LogEntry.objects.select_related("vessel__owner", "engine", "job"), pk=pk, kind=page.kind)
    detail = page.detail.objects.get(pk=pk)
    engines = _engines_for(entry)
    initial = page.form.as_it_was(entry) | {name: getattr(detail, name) for name in page.fields}
    form = page.form(request.POST if request.method == "POST" else None, engines=engines, wrong=entry, initial=initial)
    sending = Submission(request, form)
    if sending.save(
        lambda: page.action(by=signed_in(request), vessel=entry.vessel, job=entry.job, amends=entry, **form.answers())
    ):
        messages.success(request, "The correction is what counts now. Both stay visible.")
        return redirect("findings:job", entry.job.number) if entry.job else redirect("vessels:entry", pk)
    later = afterwards_of_entry(entry)
    return sending.page(
        "findings/happenings/correct.html",
        frame=vessel_frame(request.user, entry.vessel, "vessels:log"),
        vessel=entry.vessel,
        page=page,
        shown=shown_entries(single_entry(pk), most=1)[0],
        later=later,
        is_again=later.replaced is not None and later.can_be_corrected,
    )


def _engines_for(entry: LogEntry) -> list[Engine]:
    """The engines aboard, and the one that the entry is of."""
    return [one for one in entry.vessel.engines.all() if one.removed_on is None or one.pk == entry.engine_id]
