"""The pages of saved sheets: the list, one sheet with its versions, sharing it and ending it."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from findings.readings.actions.saving import end_sheet, may_change, save_sheet_version, share_sheet
from findings.readings.models import ReadingSheet, SheetVersion
from findings.readings.saved import offered_sheets, rows_as_text, rows_from_text
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from web.submission import Submission, attempted
from web.texts import odd_signs
from web.typed import sent_id


class SavedSheetForm(forms.Form):
    """A sheet's name, its rows in order, and the conditions of its columns."""

    entry_id = forms.UUIDField(required=False, initial=uuid4, widget=forms.HiddenInput(attrs={"data-entry-id": ""}))
    seen_number = forms.IntegerField(widget=forms.HiddenInput)
    name = forms.CharField(max_length=80, label="Name", help_text="Such as: Sea trial.")
    rows = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 8}),
        max_length=6000,
        label="Rows, in order",
        help_text="One name a line, with its unit behind a comma, such as: Oil pressure, psi.",
    )
    conditions = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=800,
        label="Conditions in columns",
        help_text="One a line, in order, such as: Idle, warm. Leave empty for one column.",
    )

    def __init__(self, *args: Any, system: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system = system

    def clean_rows(self) -> list[Any]:
        """The rows that the lines name."""
        understood = rows_from_text(self.cleaned_data["rows"], self.system)
        if understood.problems:
            raise forms.ValidationError([forms.ValidationError(one) for one in understood.problems])
        return list(understood.rows)

    def clean_conditions(self) -> list[str]:
        """The conditions, one each."""
        text = self.cleaned_data["conditions"]
        if "conditions" in self.changed_data and (said := odd_signs(text)):
            raise forms.ValidationError(said)
        return [line.strip() for line in text.splitlines() if line.strip()]


@permission_required(Permission.LOG_FINDINGS)
def sheets(request: HttpRequest) -> HttpResponse:
    """The saved sheets that are offered to the person, by family."""
    context = {"sheets": offered_sheets(request.user), "may_share": may(request.user, Permission.SHARE_SHEETS)}
    return render(request, "findings/readings/sheets.html", context)


@permission_required(Permission.LOG_FINDINGS)
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """One saved sheet: its rows and versions, and its next version from whoever may change it."""
    found = get_object_or_404(ReadingSheet.objects.select_related("family", "made_by"), pk=pk)
    versions = list(
        SheetVersion.objects.filter(sheet=found).select_related("saved_by").prefetch_related("rows__parameter")
    )
    is_theirs = found.ended_at is None and may_change(request.user, found)
    newest = versions[0]
    initial = {
        "name": found.name, "rows": rows_as_text(newest), "conditions": "\n".join(newest.conditions),
        "seen_number": newest.number,
    }  # fmt: skip
    system = request.shop.units  # type: ignore[attr-defined]
    form = SavedSheetForm(request.POST if request.method == "POST" else None, initial=initial, system=system)
    sending = Submission(request, form)

    def act() -> None:
        told = form.cleaned_data
        save_sheet_version(
            by=signed_in(request), sheet=found, seen_number=told["seen_number"], name=told["name"],
            rows=told["rows"], conditions=told["conditions"], entry_id=told["entry_id"],
        )  # fmt: skip

    if sending.save(act):
        number = found.versions.values_list("number", flat=True)[0]
        is_another = number > form.cleaned_data["seen_number"]
        as_what = f"is saved as version {number}" if is_another else f"is saved; its rows are those of version {number}"
        messages.success(request, f"“{form.cleaned_data['name']}” {as_what}.")
        return redirect("findings:sheet", pk=pk)
    return sending.page(
        "findings/readings/saved.html",
        sheet=found, versions=versions, is_theirs=is_theirs, may_share=may(request.user, Permission.SHARE_SHEETS),
    )  # fmt: skip


@permission_required(Permission.SHARE_SHEETS)
@require_POST
def sheet_share(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a sheet to everybody, or no longer."""
    found = get_object_or_404(ReadingSheet, pk=pk)
    is_shared = request.POST.get("shared") == "yes"
    if attempted(
        request, lambda: share_sheet(by=signed_in(request), sheet=found, is_shared=is_shared, entry_id=sent_id(request))
    ):
        said = "is offered to everybody" if is_shared else "is offered to its maker alone"
        messages.success(request, f"“{found}” {said}.")
    return redirect("findings:sheet", pk=pk)


@permission_required(Permission.LOG_FINDINGS)
@require_POST
def sheet_end(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a sheet no more."""
    found = get_object_or_404(ReadingSheet, pk=pk)
    if attempted(request, lambda: end_sheet(by=signed_in(request), sheet=found, entry_id=sent_id(request))):
        messages.success(request, f"“{found}” is no longer offered.")
    return redirect("findings:sheets")
