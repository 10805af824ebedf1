"""What a code says while it is typed."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from commands.refusals import Refused
from engineering.codes import CodeStatus, CodeSystem, beyond_range, count_behind, same_words
from findings.faults.listed import ListedCode
from findings.faults.queries import faults_of_unit, now_of
from findings.faults.remarks import of_another_kind
from findings.faults.typed_codes import codes_typed
from staff.policy import Permission, permission_required
from vessels.models import ControlUnit


@dataclass(frozen=True)
class Recognized:
    """One code in what was typed, and what it was on this unit before."""

    listed: ListedCode
    last_time: str
    other_kind: str
    same: str
    is_silent: bool = False
    """Whether nothing is said of the past: the scan is of an earlier time, and what is known now may be of later."""


@permission_required(Permission.SEE_RECORDS)
def explain_code(request: HttpRequest, pk: int) -> HttpResponse:
    """A fragment: the codes recognized so far with their meaning, or that nothing is recognized yet."""
    unit = get_object_or_404(ControlUnit.objects.select_related("engine"), pk=pk)
    beyond = ""
    typed = request.GET.get("code", "").replace("\0", "").strip()[:200]
    system = request.GET.get("system", "")
    found: list[Recognized] = []
    if typed:
        try:
            codes = codes_typed(
                typed,
                status=CodeStatus.ACTIVE,
                count=None,
                system=CodeSystem(system) if system in set(CodeSystem) else None,
                preferred=CodeSystem(unit.code_system),
            )
        except Refused:
            codes = []  # half typed: the page says that it is not recognized yet
            beyond = beyond_range(count_behind(typed)[0])
        faults = {seen.fault.as_code: seen for seen in faults_of_unit(unit)} if codes else {}
        now = now_of(unit)
        of_then = bool(request.GET.get("corrects") or request.GET.get("happened_at"))
        found = [
            Recognized(
                one, "" if of_then else faults[one.code].last_time(now), "", same_words(one.code, faults), of_then
            )
            if one.code in faults
            else Recognized(one, "", of_another_kind(one.code, unit), same_words(one.code, faults))
            for one in codes
        ]
    return render(request, "findings/faults/explain.html", {"typed": typed, "found": found, "beyond": beyond})
