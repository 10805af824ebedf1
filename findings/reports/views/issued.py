"""An issued report: its page, its file, revising and withdrawing it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from commands.refusals import Refused
from files.paper.qr import qr_svg
from findings.reports import actions
from findings.reports.corrected_since import corrected_since, entered_since
from findings.reports.forms import ReviseForm, WithdrawForm
from findings.reports.models import IssuedReport, ReportDraft
from findings.reports.queries import open_draft, verify_address
from findings.reports.record import from_json
from findings.reports.report_status import ReportStatus, status_of
from findings.reports.storage import stored_pdf
from findings.reports.verdicts import successor_words
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from web.submission import Submission
from web.typed import sent_id
from workorders.frames import job_frame

TAB = "reports:job"


def _report(number: str) -> IssuedReport:
    reports = IssuedReport.objects.select_related(
        "job__vessel",
        "job__customer",
        "job__technician",
        "signer",
        "draft__reviewed_by",
        "supersedes",
        "superseded_by",
        "withdrawal__entry__author",
    )
    return get_object_or_404(reports, number=number)


@permission_required(Permission.SEE_RECORDS)
def issued(request: HttpRequest, report: str) -> HttpResponse:
    """One issued report: what it is, what became of it, and what can be done with it."""
    found = _report(report)
    address, row = verify_address(found.number, found.code), status_of(found)
    context = {
        "job": found.job,
        "frame": job_frame(request.user, found.job, TAB),
        "row": row,
        "superseded": successor_words(found, from_json(found.record).findings) if row.successor else "",
        "story": _story(found, row),
        "corrected": corrected_since(found) if row.is_effective else [],
        "entered": entered_since(found) if row.is_effective else [],
        "report": found,
        "address": address,
        "qr": qr_svg(address, title=f"QR code of {address}"),
        "may_sign": may(request.user, Permission.SIGN_REPORTS),
        "has_draft": open_draft(found.job) is not None,
    }
    return render(request, "findings/reports/issued.html", context)


def _story(report: IssuedReport, row: ReportStatus) -> str:
    """The further records of the journal that tell of a report: its draft, and the signing that superseded it."""
    told = [f"{ReportDraft._meta.label_lower}:{report.draft_id}"]
    if row.successor is not None:
        told.append(f"{ReportDraft._meta.label_lower}:{row.successor.draft_id}@sign_report")
    return " ".join(told)


@permission_required(Permission.SEE_RECORDS)
def pdf(request: HttpRequest, report: str) -> HttpResponse:
    """The file as it was signed; one that is not what was signed is not handed out."""
    found = _report(report)
    try:
        data = stored_pdf(found)
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return redirect("reports:issued", found.number)
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="condition-report-{found.number}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@permission_required(Permission.SIGN_REPORTS)
def revise(request: HttpRequest, report: str) -> HttpResponse:
    """Begin the report that will supersede this one."""
    found = _report(report)
    form = ReviseForm(request.POST if request.method == "POST" else None, asked=request)
    sending = Submission(request, form)
    if sending.save(lambda: actions.revise_report(by=signed_in(request), report=found, entry_id=sent_id(request))):
        messages.success(request, f"A draft is open. Report {found.number} stays valid until the new one is signed.")
        return redirect(TAB, found.job.number)
    return sending.page(
        "findings/reports/revise.html",
        job=found.job,
        frame=job_frame(request.user, found.job, TAB),
        report=found,
        back=reverse("reports:issued", args=[found.number]),
    )


@permission_required(Permission.SIGN_REPORTS)
def withdraw(request: HttpRequest, report: str) -> HttpResponse:
    """Withdraw an issued report, with the reason."""
    found = _report(report)
    form = WithdrawForm(request.POST or None, asked=request)
    sending = Submission(request, form)

    def act() -> None:
        actions.withdraw_report(
            by=signed_in(request),
            report=found,
            reason=form.cleaned_data["reason"],
            entry_id=form.cleaned_data.get("entry_id"),
        )

    if sending.save(act):
        messages.success(request, f"Report {found.number} is withdrawn. Anyone who checks it is told so.")
        return redirect("reports:issued", found.number)
    frame = job_frame(request.user, found.job, TAB)
    return sending.page(
        "findings/reports/withdraw.html",
        job=found.job,
        frame=frame,
        report=found,
        back=reverse("reports:issued", args=[found.number]),
    )
