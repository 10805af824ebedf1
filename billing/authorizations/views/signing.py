"""The page on which a customer reads what is agreed to and signs it, and the pictures that are kept of that."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from billing.authorizations.filing import kept_pdf
from billing.authorizations.forms import AnswerForm, HowForm
from billing.authorizations.models import Authorization
from billing.authorizations.queries import Standing
from billing.authorizations.sheet import digest_of
from billing.authorizations.signing import Answered, sheet_text
from billing.authorizations.strokes import HIGH, WIDE
from billing.authorizations.tasks import DRAW_AUTHORIZATION
from files import store
from files.paper.later import Paper, handed_out
from staff.policy import Permission, permission_required
from workorders.models import Job

NOT_CARRIED = {"csrfmiddlewaretoken", "strokes", "seen_sheet", "step", "picture"}


def sign_page(
    request: HttpRequest,
    job: Job,
    form: HowForm,
    standing: Standing,
    *,
    answered: Answered | None = None,
) -> HttpResponse:
    """What is signed for, word by word, and the box to sign in; everything that was typed is carried along."""
    told: dict[str, Any] = form.cleaned_data
    wished = Authorization(
        job=job,
        amount=(told.get("amount") or 0) if answered is None else answered[1].total,
        adds=told.get("adds") == "yes",
        is_ceiling=told.get("is_ceiling", False),
        is_open=told.get("is_open") == "yes",
        likely=told.get("likely"),
        how=Authorization.DRAWN,
        who=str(told.get("who", "")).strip(),
        words=str(told.get("words", "")).strip(),
    )
    answer = form.answer(told) if isinstance(form, AnswerForm) else None
    text = sheet_text(wished, standing, answered, answer)
    problem = " ".join(str(one) for errors in form.errors.values() for one in errors)
    sent = form.data.lists()  # type: ignore[attr-defined]
    context = {
        "job": job,
        "sheet": text,
        "seen_sheet": digest_of(text),
        "who": wished.who,
        "problem": problem,
        "carried": [(name, value) for name, values in sent if name not in NOT_CARRIED for value in values],
        "wide": WIDE,
        "high": HIGH,
    }
    return render(request, "billing/authorizations/sign.html", context, status=422 if problem else 200)


def _authorization_or_404(number: int, pk: int) -> Authorization:
    return get_object_or_404(Authorization.objects.select_related("job__vessel", "noted_by"), pk=pk, job__number=number)


def _picture(digest: str, content_type: str) -> HttpResponse:
    if not digest:
        raise Http404
    try:
        data = store.read(digest)
    except store.FileProblem as problem:
        raise Http404(problem.sentence) from problem
    answer = HttpResponse(data, content_type=content_type)
    answer["Content-Security-Policy"] = "default-src 'none'; style-src 'none'; sandbox"
    answer["Cache-Control"] = "private, max-age=300"
    return answer


@permission_required(Permission.SEE_PRICES)
def signature(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """The strokes of a signature."""
    return _picture(_authorization_or_404(number, pk).signature_sha256, "image/svg+xml")


@permission_required(Permission.SEE_PRICES)
def photo(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """The photo of a sheet that was signed on paper."""
    return _picture(_authorization_or_404(number, pk).picture_sha256, "image/jpeg")


@permission_required(Permission.SEE_PRICES)
def paper(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """An authorization on paper, as it stood when that was drawn; while it is being drawn, how far that is."""
    found = _authorization_or_404(number, pk)
    asked = Paper(
        DRAW_AUTHORIZATION.name,
        str(found.pk),
        called=f"Authorization of job {number}",
        name=f"authorization-{number}-{pk}",
        back=reverse("authorizations:job", args=[number]),
    )
    return handed_out(request, asked, lambda: kept_pdf(found))
