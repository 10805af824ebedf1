"""Invoices and credit notes on paper: as they were signed, or the page that says how far that is."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from billing.invoices.filing import kept_pdf, safe_name, unsigned_pdf, why_unsigned
from billing.invoices.models import CreditNote, Invoice
from billing.invoices.tasks import CREDIT, INVOICE, ask_for, drawing_of
from commands.refusals import Refused
from staff.policy import Permission, permission_required


@permission_required(Permission.SEE_MONEY)
def pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """An invoice on paper."""
    return _paper(request, INVOICE, get_object_or_404(Invoice, pk=pk), reverse("invoices:invoice", args=[pk]))


@permission_required(Permission.SEE_MONEY)
def credit_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """A credit note on paper."""
    note = get_object_or_404(CreditNote.objects.select_related("invoice"), pk=pk)
    return _paper(request, CREDIT, note, reverse("invoices:invoice", args=[note.invoice_id]))


def _paper(request: HttpRequest, sort: str, paper: Invoice | CreditNote, back: str) -> HttpResponse:
    """The PDF; while it is being drawn, a page that asks again; or back, with the reason why there is none."""
    if request.method == "POST":
        ask_for(sort, paper.pk)
        return redirect(request.path)
    try:
        data = kept_pdf(paper)
        if data is None and why_unsigned(paper):
            data = unsigned_pdf(paper)
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return redirect(back)
    if data is None:
        return _not_yet(request, sort, paper, back)
    if request.htmx:  # type: ignore[attr-defined]
        answer = HttpResponse(status=204)
        answer["HX-Redirect"] = request.path
        return answer
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{safe_name(paper.number)}.pdf"'
    return answer


def _not_yet(request: HttpRequest, sort: str, paper: Invoice | CreditNote, back: str) -> HttpResponse:
    task, problem = drawing_of(sort, paper.pk)
    word = "Invoice" if sort == INVOICE else "Credit note"
    context = {"paper": paper, "word": word, "task": task, "problem": problem, "back": back, "here": request.path}
    is_part = request.htmx  # type: ignore[attr-defined]
    return render(request, f"billing/invoices/drawing.html{'#drawing' if is_part else ''}", context)
