"""Insight: what returns across the shop, and the evidence one touch behind each figure."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from commands.refusals import Refused
from engineering.codes import Code
from findings.faults.listed import code_key, code_of_key
from findings.faults.models import Episode
from findings.insight import queries
from findings.insight.fleet import code_recurrence, fleet_recurrence
from findings.insight.holding_times import holding_groups, holding_seen
from findings.insight.queries import PERIODS, Scope
from findings.insight.repair_sorts import repair_sorts
from findings.insight.tabs import shown_tabs
from staff.policy import Permission, permission_required
from staff.queries import hold
from web.typed import whole_number

FEW = 10
PAGE = 50


@permission_required(Permission.SEE_INSIGHT)
def insight(request: HttpRequest) -> HttpResponse:
    """The figures, and the first of each list."""
    scope, context = _scope(request)
    context |= {
        "figures": queries.figures(scope),
        "returned": queries.seen_faults(queries.returned_faults(scope), 0, FEW),
        "comebacks": queries.seen_episodes(queries.comebacks_in(scope), 0, FEW, are_comebacks=True),
        "holding": queries.holding(scope, PAGE),
        "few": FEW,
        "hold": hold(),
        "tabs": shown_tabs(request.user, "findings:insight"),
    }
    return render(request, "findings/insight/overview.html", context)


@permission_required(Permission.SEE_INSIGHT)
def returned(request: HttpRequest) -> HttpResponse:
    """Every fault that came back, the most often first."""
    scope, context = _scope(request)
    start = _start(request)
    rows = queries.seen_faults(queries.returned_faults(scope), start, PAGE)
    return render(request, "findings/insight/returned.html", context | _page(request, rows, start))


@permission_required(Permission.SEE_INSIGHT)
def comebacks(request: HttpRequest) -> HttpResponse:
    """Every fault that came back within the hold time after our repair, newest first."""
    scope, context = _scope(request)
    start = _start(request)
    rows = queries.seen_episodes(queries.comebacks_in(scope), start, PAGE, are_comebacks=True)
    context |= {"hold": hold(), "in_doubt": queries.comebacks_counted(scope)["in_doubt"]}
    return render(request, "findings/insight/comebacks.html", context | _page(request, rows, start))


@permission_required(Permission.SEE_INSIGHT)
def repairs(request: HttpRequest) -> HttpResponse:
    """Every repair and what came of it, newest first."""
    scope, context = _scope(request)
    start = _start(request)
    rows = queries.seen_episodes(queries.repairs_in(scope), start, PAGE, are_comebacks=False)
    context["hold"] = held_for = hold()
    if not start:
        hours, families = held_for.hours, context["families"]
        context["curve"] = holding_seen(scope, hours)
        context["sorts"] = repair_sorts(scope, hours) if scope.code else None
        context["by_code"] = [] if scope.code else holding_groups(scope, "code", hours, families)
        context["by_family"] = [] if scope.family_id else holding_groups(scope, "family", hours, families)
    return render(request, "findings/insight/repairs.html", context | _page(request, rows, start))


@permission_required(Permission.SEE_INSIGHT)
def recurrence(request: HttpRequest) -> HttpResponse:
    """Every code across the shop: how often it comes back, and whether more often; one code over its hulls."""
    scope, context = _scope(request)
    start = _start(request)
    rows = fleet_recurrence(scope, start, PAGE)
    context["one"] = code_recurrence(scope) if scope.code else None
    return render(request, "findings/insight/recurrence.html", context | _page(request, rows, start))


def _scope(request: HttpRequest) -> tuple[Scope, dict[str, Any]]:
    """The part of the history asked for; what makes no sense is left out."""
    asked = request.GET
    families = queries.families()
    family = next((one for one in families if str(one.pk) == asked.get("family")), None)
    months = asked.get("months", "") if asked.get("months") in dict(PERIODS) else ""
    code = _code(asked.get("code", ""))
    outcome = asked.get("outcome", "") if asked.get("outcome") in dict(Episode.OUTCOMES) else ""
    kept = {
        "family": str(family.pk) if family else "",
        "months": months,
        "code": code_key(code) if code else "",
        "outcome": outcome,
    }
    scope = Scope(family.pk if family else None, queries.since_months(months), code, outcome)
    context = {
        "families": families,
        "family": family,
        "periods": PERIODS,
        "months": months,
        "code": code,
        "outcome": outcome,
        "outcome_words": dict(Episode.OUTCOMES).get(outcome, ""),
        "since": scope.since,
        "outcomes": Episode.OUTCOMES,
        "kept": {name: value for name, value in kept.items() if value},
        "asked": urlencode({name: kept[name] for name in ("family", "months") if kept[name]}),
    }
    return scope, context


def _code(key: str) -> Code | None:
    if not key:
        return None
    try:
        return code_of_key(key)
    except Refused:
        return None  # an address that was cut off: the whole list is shown


def _start(request: HttpRequest) -> int:
    return whole_number(request.GET.get("from", ""), digits=6) or 0


def _page(request: HttpRequest, rows: list[Any], start: int) -> dict[str, Any]:
    """One page of a list, and the addresses of the pages beside it."""

    def address(first: int) -> str:
        kept = request.GET.copy()
        kept["from"] = str(first)
        return f"?{kept.urlencode()}"

    return {
        "rows": rows[:PAGE],
        "next_url": address(start + PAGE) if len(rows) > PAGE else "",
        "previous_url": address(max(0, start - PAGE)) if start else "",
    }
