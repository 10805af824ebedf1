"""Invoices and credit notes on paper: as they were signed, or the page that says how far that is."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from billing.invoices.filing import pdf_of, safe_name
from billing.invoices.models import CreditNote, Invoice
from billing.invoices.tasks import CREDIT, DRAW_PAPER, INVOICE, subject_of
from files.paper.later import Paper, handed_out
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
    called = f"{'Invoice' if sort == INVOICE else 'Credit note'} {paper}"
    asked = Paper(DRAW_PAPER.name, subject_of(sort, paper.pk), called, safe_name(paper.number), back)
    return handed_out(request, asked, lambda: pdf_of(paper))
