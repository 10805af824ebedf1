"""The job's Report tab: wording, review, preview and signing."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from commands.envelope import together, was_done
from files.paper.drawing import Stationery
from findings.reports import actions, queries
from findings.reports.blocking import blocks, changed_since_review, missing_words
from findings.reports.build import build_findings, draft_record, findings_digest, recommendations_of
from findings.reports.forms import SignForm, WordsForm
from findings.reports.gaps import gaps
from findings.reports.models import DraftState, ReportDraft
from findings.reports.paper import paper_of
from findings.reports.render import draw_pdf
from findings.reports.report_status import statuses_of
from staff.doors.own_word import proving
from staff.policy import Permission, may, permission_required
from staff.queries import shop_profile
from staff.requests import signed_in
from vessels.log.chain import following_id
from web.submission import Submission, attempted
from web.typed import sent_id
from workorders.frames import job_frame, job_or_404
from workorders.models import Job

TAB = "reports:job"


def _draft(job: Job) -> ReportDraft:
    draft = queries.open_draft(job)
    if draft is None:
        raise Http404("this job has no open draft")
    return draft


@permission_required(Permission.SEE_RECORDS, to_post=Permission.DRAFT_REPORTS)
def job(request: HttpRequest, number: int) -> HttpResponse:
    """The report of a job: its draft to be worded, and what was issued."""
    work = job_or_404(number)
    draft = queries.open_draft(work)
    if request.method == "POST" and draft is None:
        messages.error(request, "This draft was issued or discarded in the meantime. Nothing was saved.")
        return redirect(TAB, number)
    form = WordsForm(request.POST or None, instance=draft)
    sending = Submission(request, form, record=draft)
    wants_review = request.POST.get("do") == "review"

    @together()
    def act() -> None:
        if draft is None:
            return
        by = signed_in(request)
        stored = ReportDraft.objects.get(pk=draft.pk)
        key = sent_id(request)
        actions.word_report(
            by=by, draft=stored, seen_version=form.cleaned_data["seen_version"], changes=form.words(), entry_id=key
        )
        if wants_review:
            review = following_id(key, "review")
            actions.review_report(by=by, draft=stored, seen_version=stored.version, entry_id=review)

    if sending.save(act):
        messages.success(request, "Reviewed." if wants_review else "Saved.")
        return redirect(TAB, number)
    issued = statuses_of(work)
    return sending.page(
        "findings/reports/job.html",
        job=work,
        frame=job_frame(request.user, work, TAB),
        draft=draft,
        task=queries.signing_task(draft),
        issued=issued,
        may_draft=may(request.user, Permission.DRAFT_REPORTS),
        may_sign=may(request.user, Permission.SIGN_REPORTS),
        may_start=not any(row.is_effective for row in issued),
        second_person_missing=actions.second_person_missing(draft, signed_in(request)) if draft else "",
        **_still_open(draft, work),
    )


def _still_open(draft: ReportDraft | None, work: Job) -> dict[str, Any]:
    """What a reader will ask about, what has to be written before a review, and what stands in the way of signing.

    And what visual findings recommend, which is in the report without being typed.
    """
    if draft is None or not draft.may_be_worded:
        return {"gaps": [], "unwritten": [], "blocked": [], "recommended": [], "is_outdated": False}
    findings = build_findings(draft)
    unwritten = [one.sentence for one in missing_words(draft)]
    changed = changed_since_review(draft, findings)
    typed = set(recommendations_of(draft))
    return {
        "gaps": gaps(findings, work),
        "unwritten": unwritten,
        "blocked": blocks(findings, changed),
        "is_outdated": bool(changed),
        "recommended": [one for one in findings.recommendations if one not in typed],
    }


@require_POST
@permission_required(Permission.DRAFT_REPORTS)
def start(request: HttpRequest, number: int) -> HttpResponse:
    """Begin the report of a job."""
    work, key = job_or_404(number), sent_id(request)
    attempted(request, lambda: actions.draft_report(by=signed_in(request), job=work, entry_id=key))
    return redirect(TAB, number)


@require_POST
@permission_required(Permission.DRAFT_REPORTS)
def discard(request: HttpRequest, number: int) -> HttpResponse:
    """Throw the open draft away."""
    key = sent_id(request)
    if was_done(key, "discard_draft"):
        return redirect(TAB, number)
    draft = _draft(job_or_404(number))
    if attempted(request, lambda: actions.discard_draft(by=signed_in(request), draft=draft, entry_id=key)):
        messages.success(request, "The draft was discarded.")
    return redirect(TAB, number)


@permission_required(Permission.SEE_RECORDS)
def preview(request: HttpRequest, number: int) -> HttpResponse:
    """What the report says now, as a page."""
    work = job_or_404(number)
    record = draft_record(_draft(work))
    stationery, problem = Stationery.for_looking(shop_profile())
    context = {"job": work, "frame": job_frame(request.user, work, TAB), "logo_problem": problem}
    return render(
        request, "findings/reports/preview.html", {**context, "paper": paper_of(record, logo_png=stationery.logo_png)}
    )


@permission_required(Permission.SEE_RECORDS)
def preview_pdf(request: HttpRequest, number: int) -> HttpResponse:
    """What the report says now, as a PDF that says on every page that it is a draft."""
    record = draft_record(_draft(job_or_404(number)))
    drawn = draw_pdf(record, Stationery.for_looking(shop_profile())[0])
    answer = HttpResponse(drawn.data, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="draft-job-{number}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer


@sensitive_post_parameters("password")
@permission_required(Permission.SIGN_REPORTS)
def sign(request: HttpRequest, number: int) -> HttpResponse:
    """The report to be read, and the place to sign it."""
    work, key = job_or_404(number), sent_id(request)
    if was_done(key, "sign_report"):
        return redirect(TAB, number)
    draft = _draft(work)
    if draft.state != DraftState.REVIEWED:
        return redirect(TAB, number)
    stationery, _ = Stationery.for_looking(shop_profile())
    record = draft_record(draft)
    form = SignForm(request.POST or None, initial={"seen": findings_digest(record.findings)})
    sending = Submission(request, form)
    by = signed_in(request)

    def act() -> None:
        cleaned = form.cleaned_data
        with proving(request, field="password"):
            actions.sign_report(by=by, draft=draft, seen=cleaned["seen"], password=cleaned["password"], entry_id=key)

    if sending.save(act):
        return redirect(TAB, number)
    if form.is_bound:
        form.data = {**request.POST.dict(), "seen": findings_digest(record.findings)}
    return sending.page(
        "findings/reports/sign.html",
        job=work,
        frame=job_frame(request.user, work, TAB),
        draft=draft,
        signer=by,
        second_person_missing=actions.second_person_missing(draft, by),
        gaps=gaps(record.findings, work),
        unwritten=[one.sentence for one in missing_words(draft)],
        blocked=blocks(record.findings, changed_since_review(draft, record.findings)),
        paper=paper_of(record, logo_png=stationery.logo_png),
    )


@permission_required(Permission.SEE_RECORDS)
def progress(request: HttpRequest, number: int) -> HttpResponse:
    """How far the signing is, for a page that asks again and again."""
    work = job_or_404(number)
    draft = queries.open_draft(work)
    if draft is None or draft.state != DraftState.SIGNING:
        answer = HttpResponse(status=204)
        answer["HX-Refresh"] = "true"
        return answer
    context = {
        "job": work,
        "draft": draft,
        "task": queries.signing_task(draft),
        "may_sign": may(request.user, Permission.SIGN_REPORTS),
    }
    return render(request, "findings/reports/progress.html", context)


@require_POST
@permission_required(Permission.SIGN_REPORTS)
def retry(request: HttpRequest, number: int) -> HttpResponse:
    """Have a signing that went wrong done again, or canceled."""
    work, key, is_back = job_or_404(number), sent_id(request), request.POST.get("do") == "back"
    if was_done(key, "cancel_signing" if is_back else "retry_signing"):
        return redirect(TAB, number)
    draft = _draft(work)
    act = actions.cancel_signing if is_back else actions.retry_signing
    if attempted(request, lambda: act(by=signed_in(request), draft=draft, entry_id=key)) and is_back:
        messages.success(request, "The signing was canceled. The draft can be changed and reviewed again.")
    return redirect(TAB, number)
