"""Pages of the shop's figures, and their rows as tables to keep."""

from __future__ import annotations

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from billing.figures.pages import PAGE, Asked, money
from billing.figures.pages import comebacks as of_comebacks
from billing.figures.pages import hours as of_hours
from billing.figures.pages import states as of_states
from billing.figures.period import Period, period_of
from billing.figures.shown import Figure, Table
from billing.invoices.forms import DaysForm
from findings.insight.tabs import shown_tabs
from staff.models import ShopProfile
from staff.policy import Permission, may, permission_required
from vessels.wording import date_words
from web.tables import table
from web.typed import whole_number


@permission_required(Permission.SEE_INSIGHT)
def hours(request: HttpRequest) -> HttpResponse:
    """Hours sold against hours worked."""
    return _page(request, "hours", "Hours sold", of_hours.figure)


@permission_required(Permission.SEE_INSIGHT)
@require_safe
def hours_csv(request: HttpRequest) -> HttpResponseBase:
    """The rows behind it."""
    return _kept(request, "hours", of_hours.rows_behind)


@permission_required(Permission.SEE_INSIGHT)
def comebacks(request: HttpRequest) -> HttpResponse:
    """Comebacks, and what they cost."""
    return _page(request, "comebacks", "Cost of comebacks", of_comebacks.figure)


@permission_required(Permission.SEE_INSIGHT)
@require_safe
def comebacks_csv(request: HttpRequest) -> HttpResponseBase:
    """The rows behind it."""
    return _kept(request, "comebacks", of_comebacks.rows_behind)


@permission_required(Permission.SEE_INSIGHT)
def states(request: HttpRequest) -> HttpResponse:
    """Days that jobs spend in each state."""
    return _page(request, "states", "Days in each state", of_states.figure)


@permission_required(Permission.SEE_INSIGHT)
@require_safe
def states_csv(request: HttpRequest) -> HttpResponseBase:
    """The rows behind it."""
    return _kept(request, "states", of_states.rows_behind)


@permission_required(Permission.SEE_MONEY)
def estimates(request: HttpRequest) -> HttpResponse:
    """Estimates that wait for an answer."""
    return _page(request, "estimates", "Open estimates", money.estimates, is_of_today=True)


@permission_required(Permission.SEE_MONEY)
@require_safe
def estimates_csv(request: HttpRequest) -> HttpResponseBase:
    """The rows behind it."""
    return _kept(request, "open-estimates", money.estimates_rows, is_of_today=True)


@permission_required(Permission.SEE_MONEY)
def owed(request: HttpRequest) -> HttpResponse:
    """What is owed by age."""
    return _page(request, "owed", "Owed by age", money.owed, is_of_today=True)


@permission_required(Permission.SEE_MONEY)
@require_safe
def owed_csv(request: HttpRequest) -> HttpResponseBase:
    """The rows behind it."""
    return _kept(request, "owed", money.owed_rows, is_of_today=True)


@permission_required(Permission.SEE_MONEY)
def sales(request: HttpRequest) -> HttpResponse:
    """Sales by week."""
    return _page(request, "sales", "Sales by week", money.sales)


@permission_required(Permission.SEE_MONEY)
@require_safe
def sales_csv(request: HttpRequest) -> HttpResponseBase:
    """The rows behind it."""
    return _kept(request, "sales", money.sales_rows)


def _page(
    request: HttpRequest, name: str, title: str, figure: Callable[[Asked], Figure], *, is_of_today: bool = False
) -> HttpResponse:
    asked = _asked(request, is_of_today=is_of_today)
    found = figure(asked)
    shown = Table(
        found.rows.title, found.rows.columns, found.rows.rows[:PAGE], key=found.rows.key, empty=found.rows.empty
    )
    form = DaysForm(initial={"first": asked.period.first, "last": asked.period.last}, auto_id="filter_%s")
    context = {
        "title": title,
        "tabs": shown_tabs(request.user, f"figures:{name}"),
        "figure": found,
        "rows": shown,
        "period": asked.period,
        "form": None if is_of_today else form,
        "days": date_words(asked.period.today) if is_of_today else asked.period.words,
        "csv": f"figures:{name}_csv",
        "csv_asked": "" if is_of_today else f"?{asked.period.asked}",
        **_addresses(request, asked, len(found.rows.rows)),
    }
    return render(request, "billing/figures/figure.html", context)


def _kept(
    request: HttpRequest, name: str, rows: Callable[[Asked], Table], *, is_of_today: bool = False
) -> HttpResponseBase:
    """All rows, under a name that says of which days they are."""
    asked = _asked(request, is_of_today=is_of_today, is_whole=True)
    found, period = rows(asked), asked.period
    days = period.today.isoformat() if is_of_today else f"{period.first}-{period.last}"
    cells = ([cell.kept for cell in row] for row in found.rows)
    return table(f"{name}-{days}.csv", [column.heading for column in found.columns], cells)


def _asked(request: HttpRequest, *, is_of_today: bool, is_whole: bool = False) -> Asked:
    shop: ShopProfile = request.shop  # type: ignore[attr-defined]
    period: Period = period_of({} if is_of_today else request.GET, timezone.localdate(), ZoneInfo(shop.time_zone))
    start = whole_number(request.GET.get("from", ""), digits=6) or 0
    sees = may(request.user, Permission.SEE_PRICES)
    return Asked(period, shop.currency, sees, 0 if is_whole else start, None if is_whole else PAGE)


def _addresses(request: HttpRequest, asked: Asked, found: int) -> dict[str, str]:
    """The addresses of the pages beside this one."""

    def address(first: int) -> str:
        kept = request.GET.copy()
        kept["from"] = str(first)
        return f"?{kept.urlencode()}#rows-title"

    return {
        "next_url": address(asked.start + PAGE) if found > PAGE else "",
        "previous_url": address(max(0, asked.start - PAGE)) if asked.start else "",
    }
